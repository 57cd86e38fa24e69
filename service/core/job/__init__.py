"""What is given: the walls, the catalog entries they use, prices and terms, in SI."""
