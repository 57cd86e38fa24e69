"""`catalog`: check the catalog's files, begin a new one, generate their schemas."""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

import tomlkit
import typer
from tomlkit.items import Table

from service.catalog import Catalog, CatalogInvalidError, line_of, load_catalog
from service.catalog.comparisons import compare
from service.catalog.key_tables import write_key_tables
from service.catalog.schemas import FOLDER, shipped_folder, write_schemas
from service.cli.start import read_settings
from service.core.errors import Fault
from service.fields import ID_PATTERN
from service.operations.callers.website.check import website_findings
from service.operations.quoting.what_if.check import what_if_findings
from service.wiring import settings_catalog

FOLDERS_HELP = "Further catalog folders, as if SERVICE_CATALOG_PATH named them."

UnitsName = Literal["us", "metric"]
# Figures to write over, in the proportions of a usual unit.
_FIGURES: dict[UnitsName, dict[str, str]] = {
    "us": {
        "face_length": "17 in",
        "height": "8 in",
        "depth": "13 in",
        "weight": "94 lb",
        "void_volume": "0.3 ft3",
        "setback": "1 in",
        "radius": "6 ft",
        "unit_weight": "122 pcf",
        "corner_depth": "8.5 in",
        "corner_weight": "85 lb",
        "cap_height": "4 in",
        "cap_weight": "66 lb",
        "overhang": "1 in",
    },
    "metric": {
        "face_length": "400 mm",
        "height": "200 mm",
        "depth": "300 mm",
        "weight": "39.5 kg",
        "void_volume": "0.005 m3",
        "setback": "20 mm",
        "radius": "2 m",
        "unit_weight": "19.5 kN/m3",
        "corner_depth": "200 mm",
        "corner_weight": "33 kg",
        "cap_height": "80 mm",
        "cap_weight": "20 kg",
        "overhang": "20 mm",
    },
}

catalog_app = typer.Typer(
    name="catalog",
    help="The files that wall systems, sections, prices and the rest come from.",
    no_args_is_help=True,
)
new_app = typer.Typer(name="new", help="Begin a new catalog file.", no_args_is_help=True)
catalog_app.add_typer(new_app)


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(catalog_app)


@catalog_app.command("check")
def check(
    folders: Annotated[
        list[Path] | None, typer.Argument(metavar="[PATH]...", help=FOLDERS_HELP)
    ] = None,
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Print the result as JSON.")] = False,
) -> None:
    """Read the whole catalog and print everything that is wrong with it, and what is unlikely."""
    extra = (*read_settings().catalog_path, *(folders or ()))
    try:
        catalog = load_catalog(extra)
    except CatalogInvalidError as error:
        _say_problems(error.faults, as_json=as_json)
        raise typer.Exit(1) from error
    found = (*compare(catalog), *what_if_findings(catalog), *website_findings(catalog))
    if problems := [finding.fault for finding in found if finding.impossible]:
        _say_problems(problems, as_json=as_json)
        raise typer.Exit(1)
    _say_sound(catalog, [finding.fault for finding in found], as_json=as_json)


def _say_problems(faults: Sequence[Fault], *, as_json: bool) -> None:
    if as_json:
        _print_json({"valid": False, "problems": [_problem(fault) for fault in faults]})
        return
    for fault in faults:
        typer.echo(line_of(fault), err=True)
    typer.echo(f"{len(faults)} to mend", err=True)


def _say_sound(catalog: Catalog, warnings: Sequence[Fault], *, as_json: bool) -> None:
    if as_json:
        _print_json(
            {
                "valid": True,
                "problems": [],
                "warnings": [_problem(fault) for fault in warnings],
                "version": catalog.version,
                "counts": catalog.counts,
            }
        )
        return
    for kind, count in catalog.counts.items():
        typer.echo(f"{count:5} {kind}")
    for fault in warnings:
        typer.echo(f"warning: {line_of(fault)}", err=True)
    typer.echo(f"all sound, catalog version {catalog.version}", err=True)


@new_app.command("wall-system")
def new_wall_system(
    entry_id: Annotated[
        str, typer.Argument(metavar="ID", help="Lower-case letters, digits and underscores.")
    ],
    folder: Annotated[
        Path | None, typer.Option(help="Catalog folder; the shipped one by default.")
    ] = None,
    units: Annotated[UnitsName, typer.Option(help="Units of the figures to write over.")] = "us",
) -> None:
    """Write a wall system's file with figures to write over."""
    if not re.fullmatch(ID_PATTERN, entry_id, re.ASCII):
        raise typer.BadParameter(
            "1 to 64 lower-case letters, digits and underscores", param_hint="ID"
        )
    home = folder or shipped_folder()
    path = home / "wall_systems" / f"{entry_id}.toml"
    if (file := _file_of(entry_id)) is not None:
        typer.echo(f"{entry_id} is a wall system already, in {file}", err=True)
        raise typer.Exit(1)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(wall_system_text(entry_id, units, _schema_of(path)))
    except FileExistsError as error:
        typer.echo(f"{path} is there already and stays as it is", err=True)
        raise typer.Exit(1) from error
    except OSError as error:
        typer.echo(f"{path} can't be written: {error.strerror}", err=True)
        raise typer.Exit(1) from error
    typer.echo(str(path))
    typer.echo("Write your own figures over those in it, then: catalog check", err=True)


@catalog_app.command("schema")
def schema(
    folder: Annotated[
        Path | None, typer.Option(help="Catalog folder; the shipped one by default.")
    ] = None,
) -> None:
    """Generate the JSON Schemas that editors use, and the guide's tables of keys, from the code
    that reads the files."""
    home = folder or shipped_folder()
    for path in (*write_schemas(home), *write_key_tables(home)):
        typer.echo(str(path))
    typer.echo("schemas and tables are up to date", err=True)


def wall_system_text(entry_id: str, units: UnitsName, schema_path: str) -> str:
    """A wall system's file with comments and with figures to write over."""
    figures = _FIGURES[units]
    document = tomlkit.document()
    document.add(tomlkit.comment(f":schema {schema_path}"))
    document["id"] = entry_id
    document["version"] = "1"
    document["title"] = f"Wall system {entry_id}"
    document["source"] = _table(
        ("kind", "invented", "published, common practice, memory or invented"),
        notes=(
            "a published source also needs title, edition, where and read_on",
            'title = "…"',
        ),
    )
    pieces = tomlkit.table(is_super_table=True)
    pieces["standard"] = _standard(entry_id, figures)
    pieces["corner"] = _corner(entry_id, figures)
    pieces["cap"] = _cap(entry_id, figures)
    document["units"] = pieces
    document["stacking"] = _table(
        ("setback", figures["setback"], "how far each course sits behind the one below"),
        ("minimum_outside_radius", figures["radius"], "optional"),
        ("minimum_inside_radius", figures["radius"], "optional"),
    )
    document["in_place"] = _table(("unit_weight", figures["unit_weight"], "filled; optional"))
    text = tomlkit.dumps(document)
    return text.replace("# :schema", "#:schema", 1)


def _standard(entry_id: str, figures: dict[str, str]) -> Table:
    return _table(
        ("item", entry_id, "what the price list calls it"),
        ("face_length", figures["face_length"], None),
        ("height", figures["height"], None),
        ("depth", figures["depth"], "front to back"),
        ("weight", figures["weight"], "optional"),
        ("void_volume", figures["void_volume"], "to be filled with stone, per unit; optional"),
        ("per_pallet", 40, "optional"),
    )


def _corner(entry_id: str, figures: dict[str, str]) -> Table:
    return _table(
        ("item", f"{entry_id}_corner"[-64:], "without this table corners are cut from standard"),
        ("face_length", figures["face_length"], None),
        ("depth", figures["corner_depth"], "what it covers on the other leg"),
        ("weight", figures["corner_weight"], "optional"),
    )


def _cap(entry_id: str, figures: dict[str, str]) -> Table:
    return _table(
        ("item", f"{entry_id}_cap"[-64:], "without this table the wall has no cap"),
        ("face_length", figures["face_length"], None),
        ("height", figures["cap_height"], None),
        ("depth", figures["depth"], None),
        ("weight", figures["cap_weight"], "optional"),
        ("overhang", figures["overhang"], "optional"),
    )


def _table(*rows: tuple[str, str | int, str | None], notes: tuple[str, ...] = ()) -> Table:
    table = tomlkit.table()
    for key, value, comment in rows:
        table.add(key, value)
        if comment:
            table[key].comment(comment)
    for note in notes:
        table.add(tomlkit.comment(note))
    return table


def _file_of(entry_id: str) -> str | None:
    """The file that defines a wall system already, as far as the catalog can be read."""
    try:
        entry = settings_catalog(read_settings()).wall_systems.get(entry_id)
    except CatalogInvalidError:
        return None
    return entry.file if entry else None


def _schema_of(path: Path) -> str:
    """Where an editor finds the schema, seen from the file."""
    name = "wall_system.schema.json"
    beside = path.parent.parent / FOLDER / name
    target = beside if beside.is_file() else shipped_folder() / FOLDER / name
    return Path(os.path.relpath(target, path.parent)).as_posix()


def _problem(fault: Fault) -> dict[str, object]:
    return {
        "file": str(fault.at[0]),
        "key": list(fault.at[1:]),
        "code": fault.code,
        "message": fault.message,
        "hint": fault.hint,
        "line": line_of(fault),
    }


def _print_json(document: object) -> None:
    json.dump(document, sys.stdout, indent=2, ensure_ascii=False)
    sys.stdout.write("\n")
