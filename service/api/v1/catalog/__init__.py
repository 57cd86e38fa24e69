"""The catalog as loaded."""
