"""Price lists by revision, and suppliers' files."""
