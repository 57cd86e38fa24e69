"""What setting a document may take of the machine, and what is left of it: nothing."""

from __future__ import annotations

import fcntl
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from service.documents.forms import typeset_child
from service.documents.forms.typeset import pdf
from tests.given.processes import is_there, until
from tests.given.sample_papers import document_of

pytestmark = pytest.mark.no_cover  # others run the same lines

CHILD = Path(typeset_child.__file__)
KILLED = -9
SMALL, LARGE = 400_000, 400_001  # characters
# Begins the child as the service does, says which process it is, and waits for it.
CALLER = """
import os, subprocess, sys
with subprocess.Popen([sys.executable, "-I", "-c", sys.argv[1], str(os.getpid())]) as child:
    print(child.pid, flush=True)
"""


def program(folder: Path, work: str, seconds: int = 20) -> str:
    """The child with something else in place of Typst, which does some work."""
    setter = (
        "import time\nclass TypstError(Exception): pass\n"
        f"def compile(**_asked):\n    {work}\n    return b'set'\n"
    )
    (folder / "typst.py").write_text(setter, encoding="utf-8")
    return (
        f"import sys; sys.path[:0] = [{str(folder)!r}, {str(CHILD.parent)!r}]\n"
        "import typeset_child\n"
        "assert typeset_child.CPU_SECONDS == 20\n"
        f"typeset_child.CPU_SECONDS = {seconds}\n"
        "typeset_child.main(int(sys.argv[1]))\n"
    )


def asked(characters: int = 0) -> bytes:
    """A document of so many characters."""
    return json.dumps({"sys_inputs": {"document": "x" * characters}}).encode()


def child_of(code: str) -> list[str]:
    """The command that runs such a program for this process."""
    return [sys.executable, "-I", "-c", code, str(os.getpid())]


@pytest.mark.parametrize(
    ("work", "ends"),
    [
        ("b'x' * (650 * 1024 * 1024)", 0),
        ("b'x' * (800 * 1024 * 1024)", 1),
        ("next(n for n in iter(int, 1) if n)", KILLED),
    ],
    ids=["memory within", "memory beyond", "no end"],
)
def test_typeset_child_is_bounded(work: str, ends: int, tmp_path: Path) -> None:
    """One that asks for more than 768 MiB fails; one that has no end is killed by its CPU limit,
    of 20 s, here of 1 s."""
    code = program(tmp_path, work, 1 if ends == KILLED else 20)
    done = subprocess.run(
        child_of(code), input=asked(), capture_output=True, check=False, timeout=30
    )
    assert done.returncode == ends, done.stderr
    if ends == 0:
        assert done.stdout == (3).to_bytes(8) + b"set"


def test_typeset_child_ends_with_its_caller(tmp_path: Path) -> None:
    """A caller that is killed, as one that calculates is at its deadline, leaves nobody at work."""
    command = [sys.executable, "-c", CALLER, program(tmp_path, "time.sleep(600)")]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdin=pipe, stdout=pipe) as caller:
        assert caller.stdin
        assert caller.stdout
        caller.stdin.write(asked())
        caller.stdin.close()
        child = int(caller.stdout.readline())
        assert is_there(child)
        caller.send_signal(signal.SIGKILL)
        until(lambda: not is_there(child))


def test_large_documents_are_set_one_at_a_time(tmp_path: Path) -> None:
    """While a large one is set another waits, and one that is not large doesn't."""
    command, pipe = child_of(program(tmp_path, "pass")), subprocess.PIPE
    with (
        subprocess.Popen(command, stdin=pipe, stdout=pipe) as large,
        CHILD.open("rb") as turn,
    ):
        fcntl.flock(turn, fcntl.LOCK_EX)
        assert large.stdin
        large.stdin.write(asked(LARGE))
        large.stdin.close()
        for _ in range(3):
            small = asked(SMALL)
            subprocess.run(command, input=small, check=True, capture_output=True, timeout=30)
        assert large.poll() is None
        fcntl.flock(turn, fcntl.LOCK_UN)
        assert large.wait() == 0


def test_pdf_leaves_nothing_of_typst() -> None:
    """The process that asks for a document does not load what sets it."""
    assert pdf(document_of("Text")).startswith(b"%PDF-")
    assert "typst" not in sys.modules
