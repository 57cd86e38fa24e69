"""The same document has the same bytes, whatever the machine says."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ROOT = Path(__file__).resolve().parents[3]
CODE = """
import hashlib
from service.documents.forms.csv_file import csv_file
from service.documents.forms.html import html_page
from service.documents.forms.typeset import page_pictures, pdf
from service.documents.forms.workbook import workbook
from tests.given.papers import KINDS, books_of, paper_of
from tests.given.sample_papers import document_of
made = [document_of("Łódź קיר 石", "es", "a4")]
made += [paper_of(kind, "two_walls", "es") for kind in KINDS]
for document in made:
    print(hashlib.sha256(pdf(document)).hexdigest())
    print(hashlib.sha256(html_page(document).text.encode()).hexdigest())
print(hashlib.sha256(b"".join(page_pictures(made[0]))).hexdigest())
for book in books_of("two_walls", "es"):
    print(hashlib.sha256(workbook(book)).hexdigest())
    print(hashlib.sha256(csv_file(book.sheets[0])).hexdigest())
"""
MACHINES = (
    {"PYTHONHASHSEED": "1", "TZ": "UTC", "LC_ALL": "C"},
    {"PYTHONHASHSEED": "2", "TZ": "Asia/Kolkata", "LC_ALL": "C.UTF-8"},
    {"PYTHONHASHSEED": "3", "TZ": "America/Los_Angeles", "LC_ALL": "de_DE.UTF-8"},
)


def digests(machine: dict[str, str]) -> list[str]:
    """The digests of the files, made by a process with some environment."""
    done = subprocess.run(
        [sys.executable, "-c", CODE],
        cwd=ROOT,
        env={**os.environ, **machine, "PYTHONPATH": str(ROOT)},
        check=True,
        capture_output=True,
        text=True,
    )
    return done.stdout.split()


def test_forms_have_the_same_bytes_on_any_machine() -> None:
    """Hash seed, time zone, locale and the time of day change no byte of any form."""
    first, *others = [digests(machine) for machine in MACHINES]
    assert len(first) == 2 * 7 + 1 + 4
    assert all(other == first for other in others)
