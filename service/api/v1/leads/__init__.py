"""The operations of leads."""
