"""Documents as PDF and drawings as PNG, set by Typst: data passed in as data, shipped fonts only.

The same document gives the same bytes: the date within the file is fixed, and nothing is read but
the templates and fonts of this folder.
"""

from __future__ import annotations

import base64
import json
import os
import subprocess
import sys
from dataclasses import asdict
from importlib.resources import as_file, files
from typing import Any, Literal

from service.documents.forms import typeset_child
from service.documents.forms.long_words import Room, fitted
from service.documents.forms.typeset_child import LENGTH_BYTES
from service.documents.printed import printed
from service.documents.tree import Block, Document, Figure, Letterhead, Logo

PNG_PPI = 144.0
MARGIN_MM = 18.0
_PAGE_MM = {"letter": 215.9, "a4": 210.0}
# What document.typ keeps for the logo and the page's number, and its larger sizes of type.
_LOGO_MM, _PAGE_NUMBER_MM = 29.0, 40.0
_TITLE_PT, _NAME_PT = 16.0, 11.0
# The date within the file; a reader sees that of the quote.
_STAMP = 1_767_225_600  # 2026-01-01T00:00:00Z


class SettingError(Exception):
    """A document could not be set; what is wrong may quote what stands in it."""


def pdf(document: Document) -> bytes:
    """A document as PDF, tagged, valid as PDF/UA-1."""
    return b"".join(_pages("document.typ", _data(printed(document)), "pdf"))


def png(figure: Figure, language: str) -> bytes:
    """A drawing as a picture of 144 dots an inch."""
    return b"".join(_pages("figure.typ", {**asdict(figure), "language": language}, "png"))


def page_pictures(document: Document, ppi: float = PNG_PPI) -> list[bytes]:
    """The pages of a document as pictures of so many dots an inch, in order."""
    return _pages("document.typ", _data(printed(document)), "png", ppi)


def _pages(
    template: str, data: dict[str, Any], form: Literal["pdf", "png"], ppi: float = PNG_PPI
) -> list[bytes]:
    """What Typst makes of a template and data: one PDF, or a picture for each page."""
    folder = files("service.documents")
    with as_file(folder / "forms") as root, as_file(folder / "fonts") as fonts:
        asked = {
            "input": str(root / template),
            "root": str(root),
            "font_paths": [str(fonts)],
            "ignore_system_fonts": True,
            "format": form,
            "ppi": ppi,
            "sys_inputs": {"document": json.dumps(data, ensure_ascii=False)},
            "pdf_standards": "ua-1" if form == "pdf" else None,
            "timestamp": _STAMP,
        }
        return _apart(_ask_child(asked))


def _ask_child(asked: dict[str, Any]) -> bytes:
    """What the process prints that sets the document. Raises SettingError."""
    command = [sys.executable, "-I", typeset_child.__file__, str(os.getpid())]
    done = subprocess.run(  # noqa: S603  our own program
        command, input=json.dumps(asked).encode(), capture_output=True, check=False
    )
    if done.returncode:
        raise SettingError(f"ended with {done.returncode}: {done.stderr.decode(errors='replace')}")
    return done.stdout


def _apart(told: bytes) -> list[bytes]:
    """Files that are told one after the other, each after its length."""
    found, at = [], 0
    while at < len(told):
        begin = at + LENGTH_BYTES
        at = begin + int.from_bytes(told[at:begin])
        found.append(told[begin:at])
    return found


def _data(document: Document) -> dict[str, Any]:
    """What the template is told; words too wide for their place may be broken."""
    page_mm, head = _PAGE_MM[document.paper] - 2 * MARGIN_MM, document.letterhead
    return {
        "title": document.title,
        "heading": Room(page_mm, _TITLE_PT).fit(document.title),
        "author": head.name if head else "",
        "subtitle": Room(page_mm, _NAME_PT).fit(document.subtitle),
        "language": document.language,
        "paper": document.paper,
        "margin_mm": MARGIN_MM,
        "page": document.page_words[0],
        "of": document.page_words[1],
        "footer": Room(page_mm - _PAGE_NUMBER_MM).fit(document.footer),
        "last_line": Room(page_mm).fit(document.last_line),
        "letterhead": _letterhead(head, page_mm - _LOGO_MM) if head else None,
        "blocks": [_block(fitted(block, page_mm)) for block in document.blocks],
    }


def _letterhead(head: Letterhead, width_mm: float) -> dict[str, Any]:
    return {
        "name": Room(width_mm, _NAME_PT).fit(head.name),
        "lines": Room(width_mm).fit_all(head.lines),
        "logo": _logo(head.logo),
    }


def _block(block: Block) -> dict[str, Any]:
    return {"type": type(block).__name__, "value": asdict(block)}


def _logo(logo: Logo | None) -> dict[str, Any] | None:
    """A logo as text; a PNG goes within an SVG, as data is text here."""
    if logo is None:
        return None
    if logo.kind == "svg":
        return {"data": logo.data.decode(), "kind": "svg", "description": logo.description}
    width, height = _png_size(logo.data)
    address = f"data:image/png;base64,{base64.b64encode(logo.data).decode()}"
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">'
        f'<image width="{width}" height="{height}" href="{address}"/></svg>'
    )
    return {"data": svg, "kind": "svg", "description": logo.description}


def _png_size(data: bytes) -> tuple[int, int]:
    """Width and height in pixels (PNG, third edition, 11.2.1 IHDR)."""
    return int.from_bytes(data[16:20], "big"), int.from_bytes(data[20:24], "big")
