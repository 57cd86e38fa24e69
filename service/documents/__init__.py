"""Documents on paper and on screen: one content (`tree`), several forms (`forms`), drawings."""
