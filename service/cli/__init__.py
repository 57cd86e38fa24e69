"""The command line: thin commands, one file each, wired together in `app.py`."""
