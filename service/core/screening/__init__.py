"""Does it stand: a first look with published methods, and layers that would hold it."""
