"""The text of a key: a word that a secret scanner can look for, a public id, 256 random bits and
a checksum.

    wqkey_<10 characters: id>_<52 characters: random part><8 characters: CRC-32>

Letters and digits are those of Base32 (RFC 4648, 6) in lower case. Only the SHA-256 of a key is
kept. With so many random bits it needs no slow hash, and no constant time: it is looked up.
"""

from __future__ import annotations

import base64
import hashlib
import re
import secrets
import zlib
from dataclasses import dataclass

# Where keys are made and listed.
KEYS_AT = "/v1/api-keys"
WORD = "wqkey"
RANDOM_BYTES = 32
_ID_CHARACTERS = 10
_ALPHABET = "abcdefghijklmnopqrstuvwxyz234567"
KEY_ID = re.compile(rf"[{_ALPHABET}]{{{_ID_CHARACTERS}}}", re.ASCII)
_KEY = re.compile(rf"({WORD}_{KEY_ID.pattern}_[{_ALPHABET}]{{52}})([0-9a-f]{{8}})", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewKey:
    """A key as it is shown, once, and what is kept of it."""

    id: str
    digest: str
    text: str

    def __repr__(self) -> str:
        return f"NewKey(id={self.id!r})"


def new_key(id_: str | None = None) -> NewKey:
    """A new key, or a new secret of the key with this id."""
    key_id = id_ or "".join(secrets.choice(_ALPHABET) for _ in range(_ID_CHARACTERS))
    random = base64.b32encode(secrets.token_bytes(RANDOM_BYTES)).decode("ascii")
    body = f"{WORD}_{key_id}_{random.rstrip('=').lower()}"
    text = body + _checksum(body)
    return NewKey(id=key_id, digest=key_digest(text), text=text)


def is_key(text: str) -> bool:
    """Whether a text can be a key: a slip of the hand is told without a look at the database."""
    found = _KEY.fullmatch(text)
    return found is not None and _checksum(found[1]) == found[2]


def key_digest(text: str) -> str:
    """The SHA-256 of a key in hexadecimal digits."""
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _checksum(body: str) -> str:
    return f"{zlib.crc32(body.encode('ascii')):08x}"
