"""Links to papers of saved quotes: made, listed, ended."""
