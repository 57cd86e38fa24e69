"""Tables for people of the keys of catalog files, generated from their documents.

A page carries each table between two markers; what stands around them is written by hand.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from types import NoneType
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from service.catalog.documents import EntryDocument
from service.catalog.documents.entry import Source
from service.catalog.kinds import KINDS
from service.fields import Measured, Reader

PAGE = "README.md"
COMMAND = "python -m service catalog schema"
MOST_WORDS = 20  # of a longer list of words the schema has all

_HEAD = "| key | value | default | meaning |\n|---|---|---|---|\n"
_BLOCK = re.compile(r"<!-- keys of (\w+):[^>]*-->\n.*?<!-- end of keys -->", re.DOTALL)
# "A ratio as text; from 0 to 1" is a ratio: what a field type is called in its description.
_CALLED = re.compile(r"(?:an? )?(.+?)(?: of (?!money)| as text| with |[,:;.])", re.IGNORECASE)
_HEADER = frozenset(EntryDocument.model_fields)


def write_key_tables(folder: Path) -> tuple[Path, ...]:
    """Make the tables on the page of a catalog folder anew; gives the page if it changed.

    A folder without a page gets none. Raises KeyError where a marker names no kind.
    """
    page = folder / PAGE
    before = page.read_text(encoding="utf-8") if page.is_file() else ""
    after = with_key_tables(before)
    if after == before:
        return ()
    page.write_text(after, encoding="utf-8", newline="\n")
    return (page,)


def with_key_tables(text: str) -> str:
    """A page with the tables between its markers made anew. Raises KeyError for no kind."""
    return _BLOCK.sub(lambda block: key_block(block[1]), text)


def key_block(kind: str) -> str:
    """The table of a kind between its markers. Raises KeyError for no kind."""
    rows = "".join(f"| {' | '.join(row)} |\n" for row in key_rows(kind))
    return f"<!-- keys of {kind}: written by {COMMAND} -->\n{_HEAD}{rows}<!-- end of keys -->"


def key_rows(kind: str) -> list[tuple[str, str, str, str]]:
    """Key, value, default and meaning of each key of a kind of file, without the header that all
    kinds share; a table's own keys follow it. Raises KeyError for no kind."""
    return list(_rows(KINDS[kind].document, ""))


def _rows(model: type[BaseModel], place: str) -> Iterator[tuple[str, str, str, str]]:
    """Plain keys first, as TOML wants them, then each table with its own keys."""
    tables: list[tuple[str, FieldInfo, type[BaseModel]]] = []
    for name, field in _fields(model, place):
        table, way_in = _table_in(field.annotation)
        value = written(field.rebuild_annotation())
        if value:
            yield f"`{name}{way_in}`", value, _default(field), field.description or ""
        elif table:
            tables.append((f"{place}{name}{way_in}", field, table))
    for key, field, table in tables:
        shown = f"`[[{key[:-2]}]]`" if key.endswith("[]") else f"`[{key}]`"
        yield f"**{shown}**", "table", _default(field), _meaning(field, table)
        yield from _rows(table, f"{key.removesuffix('[]')}.")


def _fields(model: type[BaseModel], place: str) -> Iterator[tuple[str, FieldInfo]]:
    """The keys of a model that a table lists: neither the header of a file nor sources."""
    for name, field in model.model_fields.items():
        header = not place and name in _HEADER
        if not header and _table_in(field.annotation)[0] is not Source:
            yield field.alias or name, field


def _table_in(annotation: Any) -> tuple[type[BaseModel] | None, str]:  # noqa: ANN401  any type
    """The table that a type holds, if any; and how a key goes on: `[]`, `.<id>` or not at all."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation, ""
    origin, parts = get_origin(annotation), get_args(annotation)
    if origin is dict:
        return _table_in(parts[1])[0], f".<{_of_key(parts[0])}>"
    for table, way_in in map(_table_in, parts):
        if table or way_in:
            return table, "[]" if origin is tuple else way_in
    return None, ""


def written(annotation: Any) -> str:  # noqa: ANN401  any type
    """What is written for a value of a type, in a few words; empty for a table alone."""
    origin, parts = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        readers = [mark for mark in parts[1:] if isinstance(mark, Reader)]
        return _called(readers[0]) if readers else written(parts[0])
    if origin is Literal:
        return _words(parts)
    if origin is dict:
        return written(parts[1])
    if origin is tuple:
        return f"list: {written(parts[0])}" if written(parts[0]) else ""
    if parts:
        return _one_of([part for part in parts if part is not NoneType])
    return {bool: "`true`, `false`", int: "whole number", str: "text"}.get(annotation, "")


def _one_of(parts: list[Any]) -> str:
    """The forms of a union; a table among them is told by its keys."""
    if len(parts) == 1:
        return written(parts[0])
    plain = [form for part in parts if (form := written(part))]
    tables = [table for part in parts if (table := _table_in(part)[0])] if plain else []
    return " or ".join([*plain, *(f"table of {_words(tuple(t.model_fields))}" for t in tables)])


def _called(reader: Reader) -> str:
    """What a field type is called: a dimension, or the first words of its description."""
    if isinstance(reader, Measured):
        return reader.dimension.replace("_", " ")
    found = _CALLED.match(str(reader.schema()["description"]))
    return found[1].lower() if found else "text"


def _of_key(annotation: Any) -> str:  # noqa: ANN401  any type
    return "word" if get_origin(annotation) is Literal else written(annotation)


def _words(words: tuple[str, ...]) -> str:
    if len(words) > MOST_WORDS:
        return f"one of {len(words)} words, such as `{words[0]}`"
    return ", ".join(f"`{word}`" for word in words)


def _default(field: FieldInfo) -> str:
    """What holds where a key is left out; nothing is printed where that is nothing."""
    if field.is_required():
        return "needed"
    default = field.get_default(call_default_factory=True)
    if default is None or default in ((), {}) or isinstance(default, BaseModel):
        return ""
    if isinstance(default, tuple):
        return "all" if default == _choices(field.annotation) else ", ".join(map(str, default))
    readers = [mark for mark in field.metadata if isinstance(mark, Reader)]
    plain = str(default).lower() if isinstance(default, bool) else str(default)
    return f"`{readers[0].write(default) if readers else plain}`"


def _choices(annotation: Any) -> tuple[str, ...]:  # noqa: ANN401  any type
    """The words of a list of words."""
    return get_args(get_args(annotation)[0])


def _meaning(field: FieldInfo, table: type[BaseModel]) -> str:
    """What a table is for: as the key says, else as its document does, in one line."""
    return field.description or " ".join((table.__doc__ or "").split())
