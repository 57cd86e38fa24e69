"""What can be amiss with what is kept for sending."""

from __future__ import annotations


class SecretFileError(Exception):
    """The file with the key of secrets can't be made or read, or its key is another one."""
