"""Price lists: publishing, reading, comparing, importing suppliers' files."""
