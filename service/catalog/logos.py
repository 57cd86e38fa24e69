"""Logos beside the files of companies: read, and looked through for what no picture needs."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree as ET
from xml.parsers import expat

from service.catalog.files import CatalogFile, FileUnreadableError
from service.core.errors import Fault

LARGEST_LOGO_BYTES = 256 * 1024
PNG_BEGINS = b"\x89PNG\r\n\x1a\n"
# Elements that draw; any other could run, embed or fetch something.
_DRAWN = frozenset(
    {"svg", "g", "defs", "symbol", "use", "title", "desc", "style", "path", "rect", "circle",
     "ellipse", "line", "polyline", "polygon", "text", "tspan", "lineargradient",
     "radialgradient", "stop", "clippath", "mask", "pattern"}
)  # fmt: skip
_OUTSIDE = re.compile(r"url\(\s*['\"]?(?!#)|@import|javascript:|expression\(", re.IGNORECASE)


def read_logo(file: CatalogFile, name: str) -> bytes:
    """The bytes of a logo beside a company's file.

    Raises FileUnreadableError where it can't be read, or holds what a picture must not hold.
    """
    path = file.path.parent / name
    try:
        if path.is_symlink() or path.stat().st_size > LARGEST_LOGO_BYTES:
            raise _unfit(file, f"{name} is a link, or larger than 256 KiB")
        data = path.read_bytes()
    except OSError as error:
        reason = error.strerror or "unknown reason"
        raise _unfit(file, f"{name} can't be read: {reason}") from error
    found = _picture_fault(path, data)
    if found:
        raise _unfit(file, f"{name} {found}")
    return data


def _picture_fault(path: Path, data: bytes) -> str | None:
    if path.suffix == ".png":
        return None if data.startswith(PNG_BEGINS) else "is no PNG picture"
    if b"<!DOCTYPE" in data or b"<!ENTITY" in data or b"<?xml-stylesheet" in data:
        return "holds a document type or a style sheet: plain SVG alone"
    try:
        root = ET.fromstring(data)  # noqa: S314  no entities are left in it
    except (ET.ParseError, expat.ExpatError, ValueError) as error:
        return f"is no SVG picture: {error}"
    if root.tag.rpartition("}")[2] != "svg":
        return "is no SVG picture: its root is another element"
    return next((fault for fault in map(_element_fault, root.iter()) if fault), None)


def _element_fault(element: ET.Element) -> str | None:
    tag = str(element.tag).rpartition("}")[2].lower()
    if tag not in _DRAWN:
        return f"holds <{tag}>: draw without it"
    for key, value in element.attrib.items():
        attribute = key.rpartition("}")[2].lower()
        outside = attribute == "href" and not value.startswith("#")
        if attribute.startswith("on") or outside or _OUTSIDE.search(value):
            return f"holds {attribute}=…: nothing in it may run or be fetched"
    if tag == "style" and _OUTSIDE.search(element.text or ""):
        return "holds a style that fetches something"
    return None


def _unfit(file: CatalogFile, message: str) -> FileUnreadableError:
    hint = "a small SVG or PNG beside this file"
    return FileUnreadableError(
        Fault(code="logo-unfit", at=(file.name, "logo"), message=message, hint=hint)
    )
