"""Secrets that are kept: sealed with a key that stands in a file of its own, not in the database.

AES-256-GCM (NIST SP 800-38D) with a nonce of 96 random bits before each sealed text. What a
secret is for is bound to it: moved to another row it doesn't open.
"""

from __future__ import annotations

import base64
import binascii
import contextlib
import os
import secrets
from os import open as descriptor
from pathlib import Path

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from service.sending.errors import SecretFileError

KEY_BYTES = 32
_NONCE_BYTES = 12
_OWNER_ONLY = 0o600


class SecretBox:
    """Seals and opens texts with the key in a file, which is made by the first sealing."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def seal(self, text: str, about: str) -> bytes:
        """A text, so that only the key's owner reads it again. Raises SecretFileError."""
        nonce = secrets.token_bytes(_NONCE_BYTES)
        cipher = AESGCM(self._key(make=True))
        return nonce + cipher.encrypt(nonce, text.encode(), about.encode())

    def unseal(self, sealed: bytes, about: str) -> str:
        """The text again. Raises SecretFileError where the key isn't that which sealed it."""
        nonce, rest = sealed[:_NONCE_BYTES], sealed[_NONCE_BYTES:]
        try:
            return AESGCM(self._key(make=False)).decrypt(nonce, rest, about.encode()).decode()
        except (InvalidTag, ValueError) as error:
            raise SecretFileError(
                f"the key in {self._path} is not the one that secrets were sealed with: bring the "
                "old file back, or rotate the secret of each webhook"
            ) from error

    def _key(self, *, make: bool) -> bytes:
        try:
            if make and not self._path.exists():
                _make(self._path)
            written = self._path.read_bytes()
        except OSError as error:
            raise SecretFileError(f"{self._path}: {error.strerror}") from error
        try:
            key = base64.b64decode(written.strip(), validate=True)
        except binascii.Error:
            key = b""
        if len(key) != KEY_BYTES:
            raise SecretFileError(f"{self._path} doesn't hold {KEY_BYTES} bytes as base64")
        return key


def _make(path: Path) -> None:
    """Write a new key, whole or not at all; where another process was first, its key stands."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    with beside.open("xb") as stream:
        os.fchmod(stream.fileno(), _OWNER_ONLY)
        stream.write(base64.b64encode(secrets.token_bytes(KEY_BYTES)) + b"\n")
        stream.flush()
        os.fsync(stream.fileno())
    with contextlib.suppress(FileExistsError):
        path.hardlink_to(beside)
    beside.unlink()
    _settle(path.parent)


def _settle(folder: Path) -> None:
    """See that what was put into a folder is still there after a power cut."""
    held = descriptor(folder, os.O_RDONLY)
    try:
        os.fsync(held)
    finally:
        os.close(held)
