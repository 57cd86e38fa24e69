"""A website: its form, what answers come to, and the addresses that visitors leave."""
