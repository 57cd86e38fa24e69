"""The shipped catalog with other figures in its files, by chance, the same ones each time.

Each file is written anew: numbers are made larger or smaller, words of a choice become others,
what may be left out is left out here and there. A file that is unsound then is drawn again, and
after some times it stays as it is shipped.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import service
from service.catalog import Catalog, CatalogInvalidError
from service.catalog.loader import read_catalog
from tests.given.catalog_files import write_folder

SHIPPED = Path(service.__file__).parents[1] / "catalog"
DRAWN_TIMES = 6
FACTORS = (0.4, 0.6, 0.8, 0.9, 1.1, 1.25, 1.5, 2.5)
# How often a number is another, a word of a choice, and how often a line or a table is left out.
OTHER_NUMBER, OTHER_WORD, NO_LINE, NO_TABLE = 0.3, 0.15, 0.02, 0.04
# What says who a file is, and where its figures are from.
KEPT = frozenset(
    {"id", "version", "revision", "title", "note", "where", "edition", "read_on", "kind", "item"}
    | {"currency", "effective_from", "based_on", "code", "text", "replaces", "description"}
)
NUMBER = re.compile(r'(?<=")(\d+(?:\.\d+)?)(?= [a-z]\w*"|")|(?<== )\d+\b')
LINE = re.compile(r'(\w+|"[^"]+") = ')


def varied_catalog(number: int) -> Catalog:
    """The catalog of a number; that of 0 is the shipped one."""
    return _read_varied(number)


@cache
def _read_varied(number: int) -> Catalog:
    names = sorted(str(path.relative_to(SHIPPED)) for path in SHIPPED.glob("*/*") if _is_file(path))
    times = dict.fromkeys(names, 0 if number else DRAWN_TIMES)
    with TemporaryDirectory() as folder:
        while True:
            write_folder(Path(folder), {name: _text(name, number, times[name]) for name in names})
            try:
                return read_catalog([Path(folder)])
            except CatalogInvalidError as error:
                unsound = {name for name in names for each in error.faults if name in str(each)}
                if not unsound or min(times[name] for name in unsound) >= DRAWN_TIMES:
                    raise
                times |= {name: times[name] + 1 for name in unsound}


def _is_file(path: Path) -> bool:
    return path.is_file() and path.suffix in {".toml", ".svg"} and path.parent.name != "schema"


def _text(name: str, number: int, time: int) -> bytes:
    content = (SHIPPED / name).read_bytes()
    if time >= DRAWN_TIMES or not name.endswith(".toml"):
        return content
    chance = Random(f"{name} {number} {time}")  # noqa: S311  the same each time, no secret
    choices = _choices(name.split("/", maxsplit=1)[0])
    return "".join(_varied(content.decode(), chance, choices)).encode()


def _varied(text: str, chance: Random, choices: dict[str, list[list[str]]]) -> Iterator[str]:
    is_left_out = False
    for line in text.splitlines(keepends=True):
        if line.startswith("["):
            is_left_out = chance.random() < NO_TABLE and not line.startswith("[[")
        key = LINE.match(line)
        if is_left_out or (key and key[1] not in KEPT and chance.random() < NO_LINE):
            continue
        yield _other(line, key[1], chance, choices) if key and key[1] not in KEPT else line


def _other(line: str, key: str, chance: Random, choices: dict[str, list[list[str]]]) -> str:
    for words in choices.get(key, []):
        quoted = [word for word in words if f'"{word}"' in line]
        if quoted and chance.random() < OTHER_WORD:
            return line.replace(f'"{quoted[0]}"', f'"{chance.choice(words)}"')
    if "true" in line or "false" in line:
        other = line.replace("true", "?").replace("false", "true").replace("?", "false")
        return other if chance.random() < OTHER_WORD else line
    return NUMBER.sub(lambda found: _other_number(found[0], chance), line)


def _other_number(text: str, chance: Random) -> str:
    if chance.random() >= OTHER_NUMBER:
        return text
    number = float(text) * chance.choice(FACTORS)
    return f"{number:.{len(text.partition('.')[2])}f}" if number else text


@cache
def _choices(kind: str) -> dict[str, list[list[str]]]:
    """The words that a key of the files of a kind may have."""
    found: dict[str, list[list[str]]] = {}
    singular = {"companies": "company", "jurisdictions": "jurisdiction", "soils": "soil"}
    singular |= {"screening_bases": "screening_basis", "production_rates": "production_rates"}
    path = SHIPPED / "schema" / f"{singular.get(kind, kind.removesuffix('s'))}.schema.json"
    if path.exists():
        _gather(json.loads(path.read_text("utf-8")), found)
    return found


def _gather(schema: object, found: dict[str, list[list[str]]]) -> None:
    if isinstance(schema, dict):
        for key, each in schema.get("properties", {}).items():
            for words in _enums(each):
                found.setdefault(key, []).append(words)
        for each in schema.values():
            _gather(each, found)
    elif isinstance(schema, list):
        for each in schema:
            _gather(each, found)


def _enums(schema: object) -> Iterator[list[str]]:
    match schema:
        case {"enum": list(words)} if all(isinstance(word, str) for word in words):
            yield words
        case {"anyOf": list(ways)} | {"oneOf": list(ways)}:
            for way in ways:
                yield from _enums(way)
