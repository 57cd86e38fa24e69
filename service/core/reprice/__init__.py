"""The price step for many kept quotes at once."""
