"""A document as data that is kept, and read again by a later version of the service.

Each block stands beside the name of its kind. Texts are printable already, so nothing but a
template stands between what was kept and the page.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Any, get_args

import msgspec

from service.documents.printed import printed
from service.documents.tree import Block, Document, Letterhead

_KINDS = {kind.__name__: kind for kind in get_args(Block)}


def tree_data(document: Document) -> dict[str, Any]:
    """A document as what JSON can say of it."""
    shown = printed(document)
    plain = {field.name: getattr(shown, field.name) for field in fields(shown)}
    plain["blocks"] = [{"kind": type(block).__name__, "value": block} for block in shown.blocks]
    data: dict[str, Any] = msgspec.to_builtins(plain)
    return data


def tree_of(data: dict[str, Any]) -> Document:
    """The document again. Raises msgspec.ValidationError and KeyError for what is none."""
    head = data["letterhead"]
    page, of = data["page_words"]
    return Document(
        **{
            **data,
            "blocks": tuple(
                msgspec.convert(entry["value"], _KINDS[entry["kind"]]) for entry in data["blocks"]
            ),
            "page_words": (page, of),
            "letterhead": None if head is None else msgspec.convert(head, Letterhead),
        }
    )
