"""The operations of a website: its form, and what answers come to."""
