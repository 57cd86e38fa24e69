"""A quote as tables for people, from the same answer that HTTP gives.

Amounts, orders and what is priced print as the answer has them; all else is rounded for reading.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Literal

from msgspec import UNSET, UnsetType
from rich.console import Console
from rich.text import Text

from service.cli.assumption_tables import print_assumptions
from service.cli.check_tables import print_checks, print_engineering
from service.cli.columns import (
    Column,
    print_columns,
    print_heading,
    print_rows,
    print_steps,
    print_text,
    shown,
)
from service.cli.measure_cells import measure_cells
from service.cli.order_tables import print_machines, print_order
from service.cli.price_tables import print_left_out, print_lines, print_needed, print_roll_up
from service.cli.wall_tables import print_walls
from service.core.money import counted, percent
from service.operations.answer_figures import Measure
from service.operations.quoting.answer import (
    CautionAnswer,
    LaborAnswer,
    QuantityAnswer,
    QuoteAnswer,
)
from service.operations.quoting.answer_walls import EarthworkAnswer, SoilVolume
from service.operations.quoting.levels import levels_of
from service.operations.readable import hours_text, lengths_read, measure_text

DIGEST_SHOWN = 12
SEVERITIES: tuple[Literal["high", "medium", "low"], ...] = ("high", "medium", "low")
_SEVERITY_STYLE = {"high": "bold red", "medium": "yellow", "low": "cyan"}
_EARTH = ("cut", "reused", "backfill", "fill", "haul_off", "import_")
_DEFERENCE = (
    "This is a quote, no design; its cautions are a first look. "
    "Local code and licensed practice decide."
)


def print_quote(
    console: Console,
    answer: QuoteAnswer,
    *,
    how: bool = False,
    ids: bool = False,
    rods_in: str | None = None,
    price_first: bool = False,
) -> None:
    """Print a quote, its work before its price or, with `price_first`, after it.

    With `how` the arithmetic of every line follows its table, with `ids` items have their ids
    beside them. `rods_in` is in what its request wrote rod readings.
    """
    _print_head(console, answer)
    if price_first:
        _print_price(console, answer, how=how, ids=ids)
    levels = levels_of(answer.levels_are, answer.walls[0].length.unit, rods_in)
    print_walls(console, answer.walls, answer.price, levels)
    _print_quantities(console, answer, how=how, ids=ids)
    if not isinstance(answer.earthwork, UnsetType):
        _print_earthwork(console, answer.earthwork, how=how)
    if not isinstance(answer.labor, UnsetType):
        _print_labor(console, answer.labor, how=how)
        print_machines(console, answer.labor, how=how)
    if not isinstance(answer.order_of_work, UnsetType):
        print_order(console, answer.order_of_work, _descriptions(answer), how=how)
    if not price_first:
        _print_price(console, answer, how=how, ids=ids)
    print_checks(console, answer, levels, how=how)
    _print_cautions(console, "Cautions", answer.cautions)
    print_engineering(console, answer)
    _print_cautions(console, "On every job", answer.always)
    print_assumptions(console, answer, how=how, ids=ids)
    console.print()
    print_text(console, _DEFERENCE, "bold")
    _print_versions(console, answer)


def _print_price(console: Console, answer: QuoteAnswer, *, how: bool, ids: bool) -> None:
    print_lines(console, answer.price.lines, how=how, ids=ids)
    print_roll_up(console, answer.price, answer.currency, how=how)
    print_left_out(console, answer.price)
    print_needed(console, answer.price)


def _print_head(console: Console, answer: QuoteAnswer) -> None:
    facts = (
        _given(answer.reference),
        _given(answer.issued_on, "issued "),
        _given(answer.valid_until, "valid until "),
    )
    print_text(console, _given(answer.title) or "Quote", "bold")
    if any(facts):
        print_text(console, ", ".join(filter(None, facts)))
    print_text(console, f"{_prices(answer)}, in {answer.currency}")


def _print_versions(console: Console, answer: QuoteAnswer) -> None:
    """What a support call asks for, in the last line."""
    versions = (
        f"engine {answer.engine_version}, catalog {answer.catalog_version[:DIGEST_SHOWN]}, "
        f"digest {answer.digest[:DIGEST_SHOWN]}"
    )
    print_text(console, versions, "dim")


def _prices(answer: QuoteAnswer) -> str:
    prices = answer.price_list
    if isinstance(prices, UnsetType):
        return "Prices from the request"
    return f"Prices {prices.id}, revision {prices.revision}"


def _descriptions(answer: QuoteAnswer) -> dict[str, str]:
    """What each item is, by its id."""
    return {line.item: line.description for line in answer.quantities}


def _print_quantities(console: Console, answer: QuoteAnswer, *, how: bool, ids: bool) -> None:
    lines, known = answer.quantities, _descriptions(answer)
    columns = (
        Column(head="item", cells=[line.description for line in lines], words=True),
        Column(head="id", cells=[line.item if ids else "" for line in lines], words=True),
        Column(head="net", cells=measure_cells([line.net for line in lines])),
        Column(head="waste", cells=[percent(Decimal(line.waste)) for line in lines]),
        Column(head="order", cells=measure_cells([line.order for line in lines], exact=True)),
        Column(head="packs", cells=measure_cells([_packs(line) for line in lines])),
        Column(head="weight", cells=measure_cells([line.weight for line in lines])),
    )
    print_columns(console, "Quantities", columns)
    delivered = f"Delivered weight: {measure_text(answer.delivered.mass)}"
    if answer.delivered.not_weighed:
        named = (known.get(item, item) for item in answer.delivered.not_weighed)
        delivered += f", without {', '.join(named)}"
    print_text(console, delivered)
    if how:
        print_steps(console, "How they are counted", [(x.description, x.how) for x in lines])


def _print_earthwork(console: Console, earth: EarthworkAnswer, *, how: bool) -> None:
    """Volumes over the whole job, each in its state."""
    named: dict[str, SoilVolume] = {name: getattr(earth, name) for name in _EARTH}
    kept = [name for name, volume in named.items() if Decimal(volume.value)]
    volumes = [named[name] for name in kept]
    loads = {"haul_off": earth.haul_loads, "import_": earth.import_loads}
    columns = (
        Column(head="soil", cells=[name.strip("_").replace("_", " ") for name in kept], words=True),
        Column(head="volume", cells=measure_cells(Measure(v.value, v.unit) for v in volumes)),
        Column(head="state", cells=[volume.state for volume in volumes], words=True),
        Column(head="loads", cells=[str(loads.get(name) or "") for name in kept]),
    )
    print_columns(console, "Earthwork", columns)
    if how:
        steps = [(wall.wall, wall.how) for wall in earth.walls]
        print_steps(console, "How the soil balances", [*steps, ("all walls", earth.how)])


def _print_labor(console: Console, labor: LaborAnswer, *, how: bool) -> None:
    tasks, crews = labor.tasks, {crew.crew: crew.title for crew in labor.crews}
    columns = (
        Column(head="task", cells=[task.title for task in tasks], words=True),
        Column(
            head="crew",
            cells=[crews.get(task.crew, task.crew) for task in tasks],
            words=True,
            roomy=True,
        ),
        Column(head="quantity", cells=measure_cells([task.quantity for task in tasks])),
        Column(head="hours", cells=[hours_text(task.hours) for task in tasks]),
    )
    print_columns(console, "Labor", columns)
    for crew in labor.crews:
        said = f"{hours_text(crew.hours)} h of work, {counted(Decimal(crew.days), 'day')}"
        said += f", {crew.paid_hours} h paid"
        print_text(console, f"{crew.title}: {said}")
    if how:
        steps = [(task.title, task.how) for task in tasks]
        steps += [(crew.title, crew.how) for crew in labor.crews]
        print_steps(console, "How the hours are found", steps)


def _print_cautions(console: Console, heading: str, cautions: Sequence[CautionAnswer]) -> None:
    if not cautions:
        return
    print_heading(console, heading)
    print_rows(
        console,
        [
            (shown(severity, _SEVERITY_STYLE[severity]), _caution(caution))
            for severity in SEVERITIES
            for caution in cautions
            if caution.severity == severity
        ],
    )


def _caution(caution: CautionAnswer) -> Text:
    walls = "" if isinstance(caution.walls, UnsetType) else f", {', '.join(caution.walls)}"
    return Text.assemble(
        shown(f"{caution.code}{walls}: ", "bold"),
        shown(lengths_read(caution.text)),
        shown(f" [{caution.source}]", "dim"),
    )


def _packs(line: QuantityAnswer) -> Measure | UnsetType:
    """Packs, where they are not the order itself."""
    return UNSET if line.packs == line.order else line.packs


def _given(value: str | UnsetType, before: str = "") -> str:
    """A text that may be absent, with a word before it."""
    return "" if isinstance(value, UnsetType) or not value else f"{before}{value}"
