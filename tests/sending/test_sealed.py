"""Secrets that are kept sealed, and the file of their key."""

import base64
import stat
import threading
import time
from pathlib import Path

import pytest
from standardwebhooks import Webhook

from service.sending.errors import SecretFileError
from service.sending.sealed import SecretBox
from service.sending.signature import new_secret, signed_headers


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Where the key is to be, in a folder that is to be made."""
    return tmp_path / "made" / "secrets.key"


def test_box_opens_what_it_sealed(file: Path) -> None:
    """A sealed text is another each time, shows nothing, and opens again in another process."""
    box = SecretBox(file)
    sealed, again = box.seal("whsec_secret", "w1"), box.seal("whsec_secret", "w1")
    assert sealed != again
    assert b"whsec" not in sealed
    assert SecretBox(file).unseal(sealed, "w1") == "whsec_secret"


def test_box_binds_a_secret_to_what_it_is_for(file: Path) -> None:
    """Moved to another row, changed in a bit, or under another key, a sealed text doesn't open."""
    box = SecretBox(file)
    sealed = box.seal("whsec_secret", "w1")
    for moved, about in (
        (sealed, "w2"),
        (sealed[:-1] + bytes([sealed[-1] ^ 1]), "w1"),
        (b"", "w1"),
    ):
        with pytest.raises(SecretFileError):
            box.unseal(moved, about)
    file.unlink()
    box.seal("x", "y")
    with pytest.raises(SecretFileError, match="rotate"):
        box.unseal(sealed, "w1")


def test_box_makes_its_key_for_its_owner_alone(file: Path) -> None:
    """32 bytes as base64, mode 600, made whole: nothing is left beside it."""
    SecretBox(file).seal("x", "y")
    assert len(base64.b64decode(file.read_bytes(), validate=False)) == 32
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert list(file.parent.iterdir()) == [file]


def test_box_makes_one_key_by_many_at_once(file: Path) -> None:
    """Of many that make it at the same time one is first, and the others use its key."""
    sealed: list[bytes] = []
    go = threading.Barrier(8)

    def seal() -> None:
        go.wait()
        sealed.append(SecretBox(file).seal("x", "y"))

    threads = [threading.Thread(target=seal) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [SecretBox(file).unseal(each, "y") for each in sealed] == ["x"] * 8


def test_box_makes_no_key_to_open_with(file: Path) -> None:
    """Where the key is missing, nothing opens and none is made."""
    with pytest.raises(SecretFileError):
        SecretBox(file).unseal(b"x" * 40, "y")
    assert not file.exists()


@pytest.mark.parametrize("held", [b"", b"abc", b"!" * 44, base64.b64encode(b"x" * 31)])
def test_box_refuses_a_file_without_a_key(tmp_path: Path, held: bytes) -> None:
    """A file that holds something else is left as it is, and said."""
    file = tmp_path / "key"
    file.write_bytes(held)
    with pytest.raises(SecretFileError, match="32 bytes"):
        SecretBox(file).seal("x", "y")
    assert file.read_bytes() == held


def test_signed_headers_hold_for_each_secret() -> None:
    """The library itself accepts a message by the new secret and by the old one, no other."""
    new, old, other = new_secret(), new_secret(), new_secret()
    headers = signed_headers("17", int(time.time()), b'{"a":"\xc3\xa9"}', [new, old])
    assert headers["webhook-id"] == "17"
    for secret in (new, old):
        assert Webhook(secret).verify(b'{"a":"\xc3\xa9"}', headers) == {"a": "é"}
    for secret, body in ((other, b'{"a":"\xc3\xa9"}'), (new, b'{"a":"e"}')):
        with pytest.raises(Exception, match="No matching signature"):
            Webhook(secret).verify(body, headers)
