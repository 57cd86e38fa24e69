"""`keys`: keys that callers show. The first one for the scope `admin` can only be made here."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated, Any

import typer
from rich.table import Table

from service.cli.columns import printable
from service.cli.pointers import fault_words
from service.cli.start import WRONG_USAGE, database, ended, read_catalog, read_settings
from service.core.errors import QuoteFaultsError, QuoteRefusedError
from service.faults import pointer
from service.operations.callers.caller import COMMAND_LINE
from service.operations.callers.key_answer import KeyAnswer
from service.operations.callers.key_request import OVERLAP, KeyRequest, overlap_seconds
from service.operations.callers.keys import end_key, list_keys, make_key, rotate_key
from service.operations.idempotent import Outcome
from service.operations.ruled import read_document
from service.storage import api_keys

if TYPE_CHECKING:
    from service.storage import Store

_PAGE = 200
_BY = COMMAND_LINE.by
_ONCE = "It is shown this once: only its SHA-256 is kept."

keys = typer.Typer(
    help="Keys that callers show: made, listed, changed, ended.", no_args_is_help=True
)
Json = Annotated[bool, typer.Option("--json", help="As JSON.")]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(keys, name="keys")


def keys_in_force(store: Store) -> bool:
    """Whether a key was ever made, so that keys are asked for. Raises StorageError."""
    with store.read() as connection:
        return api_keys.any_key(connection)


@keys.command("new")
def new(
    name: Annotated[str, typer.Option(help="Whose it is, so that it is known again.")],
    scope: Annotated[
        list[str], typer.Option(help="field, quotes, prices, admin; or website alone.")
    ],
    website: Annotated[
        str | None, typer.Option(help="With --scope website: which entry of the catalog.")
    ] = None,
    origin: Annotated[
        list[str] | None, typer.Option(help="With --scope website: a page that the form stands in.")
    ] = None,
    expires: Annotated[str | None, typer.Option(metavar="YYYY-MM-DD", help="Its last day.")] = None,
    *,
    as_json: Json = False,
) -> None:
    """Make a key and print it once."""
    given: dict[str, Any] = {"name": name, "scopes": scope, "origins": origin or []}
    given |= {} if website is None else {"website": website}
    given |= {} if expires is None else {"expires": expires}
    settings = read_settings()
    catalog = read_catalog(settings)
    with database(settings) as store, refusals():
        wanted = read_document(KeyRequest, given, catalog)
        with store.write() as connection:
            first = not api_keys.any_key(connection)
            outcome = make_key(connection, store, wanted, by=_BY)
    _show(outcome, as_json=as_json)
    if first:
        typer.echo("From now on the service asks for keys, for good.", err=True)


@keys.command("list")
def list_all(*, as_json: Json = False) -> None:
    """List all keys, the newest first, those that have ended too. Never the keys themselves."""
    with database(read_settings()) as store:
        found = list(_all(store))
    if as_json:
        typer.echo(json.dumps([_plain(key) for key in found], indent=2))
        return
    from rich.console import Console  # noqa: PLC0415  for a table alone

    table = Table("id", "name", "scopes", "made", "expires", "last used", "ended")
    for key in found:
        cells = (key.id, key.name, " ".join(key.scopes), key.made[:10])
        rest = (key.expires, key.last_used, key.ended and key.ended[:10])
        table.add_row(*(printable(cell or "") for cell in (*cells, *rest)))
    Console().print(table)


@keys.command("end")
def end(key_id: Annotated[str, typer.Argument(metavar="ID")]) -> None:
    """End a key: within 5 seconds every process refuses it."""
    with database(read_settings()) as store, refusals(), store.write() as connection:
        row = end_key(connection, store, key_id, by=_BY)
    typer.echo(f"The key {key_id} ({printable(row.name)}) has ended.", err=True)


@keys.command("rotate")
def rotate(
    key_id: Annotated[str, typer.Argument(metavar="ID")],
    overlap: Annotated[
        str, typer.Option(help="How long the old secret is good yet: 12h, 7d; 0d ends it now.")
    ] = OVERLAP,
    *,
    as_json: Json = False,
) -> None:
    """Give a key a new secret and print it once; its id stays."""
    try:
        seconds = overlap_seconds(overlap)
    except ValueError as error:
        raise typer.BadParameter(f"--overlap {overlap}: such as 12h, 7d or 0d") from error
    with database(read_settings()) as store, refusals(), store.write() as connection:
        outcome = rotate_key(connection, store, key_id, seconds, by=_BY)
    _show(outcome, as_json=as_json)


@contextmanager
def refusals() -> Iterator[None]:
    """What can't be done ends the command, with a line for each fault."""
    try:
        yield
    except QuoteFaultsError as error:
        lines = [_line(pointer(fault.at), fault.message, fault.hint) for fault in error.faults]
        raise ended("\n".join(lines), WRONG_USAGE) from error
    except QuoteRefusedError as error:
        raise ended(str(error)) from error


def _show(outcome: Outcome, *, as_json: bool) -> None:
    told = json.loads(outcome.body)
    typer.echo(json.dumps(told, indent=2) if as_json else told["key"])
    typer.echo(f"Key {told['id']}. {_ONCE}", err=True)


def _all(store: Store) -> Iterator[KeyAnswer]:
    before = None
    while found := list_keys(store, limit=_PAGE, before=before):
        yield from (key for _, key in found)
        made_at, last = found[-1]
        before = (made_at, last.id)


def _plain(key: KeyAnswer) -> dict[str, Any]:
    return {name: getattr(key, name) for name in key.__struct_fields__}


def _line(at: str, message: str, hint: str | None) -> str:
    return fault_words(at, message, "key") + (f" ({hint})" if hint else "")
