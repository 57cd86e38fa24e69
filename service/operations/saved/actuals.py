"""What a job really took, held against what was quoted, group by group."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any

import msgspec
from msgspec import Meta, Raw, Struct
from pydantic import Field
from pydantic_core import PydanticCustomError

from service import json_text
from service.core import rounding
from service.core.errors import QuoteRefusedError
from service.core.money import total_of
from service.core.quote_state import State
from service.core.rounding import EXACT
from service.fields import (
    Id,
    IsoDate,
    LongText,
    NonNegativeCount,
    NonNegativeDecimalText,
    refused,
)
from service.operations.answer_figures import Measure, Money, Ratio
from service.operations.conditions import Conditions
from service.operations.quoting.measures import plain
from service.operations.ruled import RuledModel
from service.operations.saved.quote_events import tell_changed
from service.operations.saved.saved_quote import known_quote, read_revision
from service.operations.saved.saved_quote_answer import quote_tag
from service.storage import Connection
from service.storage import quote_actuals as storage
from service.storage.quote_rows import SavedRevision
from service.storage.saved_quotes import touch_quote

MOST_ENTRIES = 500
LOADS = ("haul_loads", "import_loads")
GIVEN = ("hours", "machine_hours", "quantities", *LOADS)

Answer = Mapping[str, Any]
KeptActuals = Annotated[
    Raw, Meta(extra_json_schema={"$ref": "#/components/schemas/ActualsRequest"})
]


class ActualsRequest(RuledModel):
    """What the job took: person-hours by task, machine-hours by machine, what was used of each
    item in the unit in which it was ordered, loads of earth. What is left out isn't compared."""

    finished_on: IsoDate | None = None
    hours: dict[Id, NonNegativeDecimalText] = Field(default_factory=dict, max_length=MOST_ENTRIES)
    machine_hours: dict[Id, NonNegativeDecimalText] = Field(
        default_factory=dict, max_length=MOST_ENTRIES
    )
    quantities: dict[Id, NonNegativeDecimalText] = Field(
        default_factory=dict, max_length=MOST_ENTRIES
    )
    haul_loads: NonNegativeCount | None = Field(None, description="Truck loads that left.")
    import_loads: NonNegativeCount | None = Field(None, description="Truck loads that came.")
    note: LongText | None = None

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """Something must be said of the job."""
        if all(document.get(key, {}) == {} for key in GIVEN):
            message = f"give one of {', '.join(GIVEN)}"
            hint = 'such as "hours": {"set_units": "31.5"}'
            yield refused("field-missing", message, hint, at=("hours",))


class ActualLine(Struct, frozen=True):
    """One figure. `quoted` is null for what wasn't quoted; then nothing follows from it.
    `cost_difference` is at the quoted unit cost; null where the line has no cost of its own."""

    name: str
    unit: str | None
    quoted: str | None
    actual: str
    difference: str | None
    ratio: Ratio | None
    cost_difference: Money | None


class ActualGroup(Struct, frozen=True):
    """The figures of one group. Sums stand where all lines are in one unit and were quoted,
    `cost_difference` where each line has one."""

    group: str
    quoted: Measure | None
    actual: Measure | None
    difference: str | None
    cost_difference: Money | None
    lines: tuple[ActualLine, ...]


class ActualsAnswer(Struct, frozen=True):
    """What the job took against the accepted revision of the quote `id`; `actuals` is what was
    put."""

    id: str
    revision: int
    currency: str
    groups: tuple[ActualGroup, ...]
    actuals: KeptActuals


class RevisionNotAcceptedError(QuoteRefusedError):
    """What a job took stands beside the revision that was accepted, and beside no other."""

    code = "revision-not-accepted"

    def __init__(self, revision: int, state: State) -> None:
        super().__init__(f"Revision {revision} is {state}; the job was done by an accepted one.")


class ActualsMissingError(QuoteRefusedError):
    """Nobody has said yet what the job took."""

    code = "actuals-missing"

    def __init__(self, quote_id: str, revision: int) -> None:
        super().__init__(f"What the job took isn't known for revision {revision} of {quote_id}.")


def put_actuals(
    connection: Connection, place: tuple[str, str], document: bytes, seen: Conditions, now: int
) -> ActualsAnswer:
    """Keep what the job took beside a revision, given as (quote, number or `latest`); what is said
    already is left as it is.

    Raises QuoteUnknownError, RevisionUnknownError, RevisionNotAcceptedError, and what a
    condition raises.
    """
    quote = known_quote(connection, place[0], lock=True)
    saved = read_revision(connection, *place)
    if saved.head.state != "accepted":
        raise RevisionNotAcceptedError(saved.head.revision, saved.head.state)
    seen.check(quote_tag(quote))
    number = saved.head.revision
    if storage.find_actuals(connection, place[0], number) != document:
        storage.put_actuals(connection, place[0], number, document, now)
        touch_quote(connection, place[0], now)
        tell_changed(connection, place[0], number, saved.head.state, "actuals", now)
    return compare_actuals(saved, document)


def read_actuals(connection: Connection, quote_id: str, revision: str) -> ActualsAnswer:
    """What the job took against what was quoted.

    Raises QuoteUnknownError, RevisionUnknownError, ActualsMissingError.
    """
    saved = read_revision(connection, quote_id, revision)
    document = storage.find_actuals(connection, quote_id, saved.head.revision)
    if document is None:
        raise ActualsMissingError(quote_id, saved.head.revision)
    return compare_actuals(saved, document)


def read_unnamed_actuals(connection: Connection, quote_id: str, revision: str) -> ActualsAnswer:
    """The same without the note, which may name a customer. Raises what `read_actuals` raises."""
    answer = read_actuals(connection, quote_id, revision)
    return msgspec.structs.replace(answer, actuals=Raw(_without_note(bytes(answer.actuals))))


def erase_job_notes(connection: Connection, quote_id: str, now: int) -> int:
    """Forget what was noted on the jobs of a quote that is locked, and keep their figures; how
    many notes it were."""
    found = storage.find_all_actuals(connection, quote_id).items()
    noted = {revision: document for revision, document in found if "note" in json.loads(document)}
    for revision, document in noted.items():
        storage.put_actuals(connection, quote_id, revision, _without_note(document), now)
    return len(noted)


def _without_note(document: bytes) -> bytes:
    kept = {key: value for key, value in json.loads(document).items() if key != "note"}
    return json_text.as_received(kept)


def compare_actuals(saved: SavedRevision, actuals: bytes) -> ActualsAnswer:
    """Hold what a job took, as it was put, against the revision by which it was quoted."""
    quoted: Answer = json.loads(saved.answer)
    took: Answer = json.loads(actuals)
    places = saved.head.facts.minor_places
    groups = [
        *_hours("labor", took.get("hours", {}), _task_hours(quoted)),
        *_hours("equipment", took.get("machine_hours", {}), _machine_hours(quoted)),
        *_items(took.get("quantities", {}), quoted, places),
        *_loads(took, quoted.get("earthwork", {})),
    ]
    return ActualsAnswer(
        id=saved.head.quote_id,
        revision=saved.head.revision,
        currency=quoted["currency"],
        groups=tuple(groups),
        actuals=Raw(actuals),
    )


def _task_hours(quoted: Answer) -> dict[str, str]:
    """Hours by task; a task that is done twice, by hand and behind a machine, is summed."""
    hours: dict[str, Decimal] = {}
    for task in quoted.get("labor", {}).get("tasks", ()):
        hours[task["task"]] = hours.get(task["task"], Decimal(0)) + Decimal(task["hours"])
    return {task: plain(held) for task, held in hours.items()}


def _machine_hours(quoted: Answer) -> dict[str, str]:
    machines = quoted.get("labor", {}).get("equipment", ())
    return {machine["machine"]: machine["hours"] for machine in machines}


def _hours(group: str, took: Mapping[str, str], quoted: Mapping[str, str]) -> Iterator[ActualGroup]:
    if took:
        yield _group(group, [_line(name, "h", quoted.get(name), took[name]) for name in took])


def _items(took: Mapping[str, str], quoted: Answer, places: int) -> Iterator[ActualGroup]:
    """Items in the groups under which they were quoted; what wasn't quoted comes last."""
    ordered = {line["item"]: line for line in quoted["quantities"]}
    priced = {line["item"]: line for line in quoted["price"]["lines"]}
    groups: dict[str, list[ActualLine]] = {}
    for item in sorted(took, key=lambda item: _place(item, [*ordered])):
        line = ordered.get(item)
        group = line["group"] if line else "not_quoted"
        order = line["order"] if line else {"unit": None, "value": None}
        cost = _cost_of(priced.get(item), order)
        made = _line(item, order["unit"], order["value"], took[item], cost, places)
        groups.setdefault(group, []).append(made)
    for group, lines in groups.items():
        yield _group(group, lines)


def _place(item: str, ordered: Sequence[str]) -> tuple[int, str]:
    return (ordered.index(item) if item in ordered else len(ordered), item)


def _cost_of(line: Answer | None, order: Answer) -> Fraction | None:
    """Cost of one unit as ordered, if the price line counts in that unit."""
    if line is None or line["quantity"]["unit"] != order["unit"]:
        return None
    quantity = Fraction(line["quantity"]["value"])
    return Fraction(line["cost"]) / quantity if quantity else None


def _loads(took: Answer, earth: Answer) -> Iterator[ActualGroup]:
    lines = [
        _line(name, "load", None if earth.get(name) is None else str(earth[name]), str(took[name]))
        for name in LOADS
        if name in took
    ]
    if lines:
        yield _group("earth", lines)


def _line(
    name: str,
    unit: str | None,
    quoted: str | None,
    actual: str,
    unit_cost: Fraction | None = None,
    places: int = 0,
) -> ActualLine:
    if quoted is None:
        return ActualLine(name, unit, None, actual, None, None, None)
    before, after = Decimal(quoted), Decimal(actual)
    difference = EXACT.subtract(after, before)
    cost = None
    if unit_cost is not None:
        cost = plain(rounding.minor_unit(Fraction(difference) * unit_cost, places))
    ratio = plain(rounding.margin(Fraction(after) / Fraction(before))) if before else None
    return ActualLine(name, unit, quoted, actual, plain(difference), ratio, cost)


def _group(group: str, lines: Sequence[ActualLine]) -> ActualGroup:
    units = list(dict.fromkeys(line.unit for line in lines))
    quoted = [Decimal(line.quoted) for line in lines if line.quoted is not None]
    costs = [Decimal(line.cost_difference) for line in lines if line.cost_difference is not None]
    cost = plain(total_of(costs)) if len(costs) == len(lines) else None
    if len(units) > 1 or len(quoted) < len(lines) or units[0] is None:
        return ActualGroup(group, None, None, None, cost, tuple(lines))
    before, after = total_of(quoted), total_of(Decimal(line.actual) for line in lines)
    return ActualGroup(
        group=group,
        quoted=Measure(value=plain(before), unit=units[0]),
        actual=Measure(value=plain(after), unit=units[0]),
        difference=plain(EXACT.subtract(after, before)),
        cost_difference=cost,
        lines=tuple(lines),
    )
