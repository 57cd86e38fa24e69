"""`rates` with own figures for single tasks: what they replace, and what is refused."""

from typing import Any

import pytest

from service.catalog import Catalog, load_catalog
from service.core.errors import QuoteFaultsError
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.quote import quote_document
from tests.given.waiting import terrace, waiting_rates

TOP = {"top": "4 ft", "front_grade": "0 ft", "existing_grade": "2 ft"}


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    """The shipped catalog."""
    return load_catalog(())


def document(rates: object, soil: str = "sand_gravel", **more: object) -> dict[str, Any]:
    """A straight wall of 40 ft into a bank."""
    return {
        "units": "us",
        "wall_system": "terrace_8in",
        "section": "plain_gravity",
        "soils": {"retained": soil},
        "walls": [
            {
                "plan": [{"kind": "straight", "length": "40 ft"}],
                "profile": [{"station": "0 ft", **TOP}, {"station": "end", **TOP}],
                "graded_in_front": "10 ft",
                "graded_behind": "10 ft",
            }
        ],
        "rates": rates,
        "prices": {"price_list": "demo_2026"},
        **more,
    }


def own(**overrides: object) -> dict[str, object]:
    """The shipped rates with own figures."""
    return {"base": "small_crew", "overrides": overrides}


def hours(answer: QuoteAnswer) -> dict[str, str]:
    """Person-hours by task."""
    assert answer.labor
    return {task.task: task.hours for task in answer.labor.tasks}


def test_rates_overrides_take_the_place_of_a_task(catalog: Catalog) -> None:
    """203 units x 0.2 h are 40.6 h, and x (0.1 + 4 x 0.2 + 0.3) / 6 too; other tasks stay."""
    plain = hours(quote_document(document("small_crew"), catalog))
    ranged = {"low": "0.1", "likely": "0.2", "high": "0.3"}
    for figure in ("0.2", ranged):
        found = hours(quote_document(document(own(set_units={"hours": figure})), catalog))
        assert found["set_units"] == "40.60"
        kept = found.keys() - {"set_units", "travel", "daily_clean_up"}
        assert {name: found[name] for name in kept} == {name: plain[name] for name in kept}


@pytest.mark.no_cover  # others run the same lines
def test_rates_overrides_reach_machine_tasks_and_fixed_hours(catalog: Catalog) -> None:
    """The operator works the machine-hours of an own figure; hours once per job are the figure."""
    figures = own(backfill={"hours": "0.05"}, set_up={"hours": "2.25"})
    answer = quote_document(document(figures), catalog)
    assert answer.labor
    (task,) = (task for task in answer.labor.tasks if task.task == "backfill")
    assert float(task.hours) == pytest.approx(0.05 * float(task.quantity.value), abs=0.006)
    assert hours(answer)["set_up"] == "2.25"


def test_rates_overrides_act_with_conditions(catalog: Catalog) -> None:
    """A figure is that of neutral conditions: 203 x 0.2 x 1.15 = 46.69 h where units go high."""
    asked = document(own(set_units={"hours": "0.2"}), conditions={"lift": "to_6_ft"})
    assert hours(quote_document(asked, catalog))["set_units"] == "46.69"


def test_rates_overrides_are_assumptions_with_their_note(catalog: Catalog) -> None:
    """Each says what it is, what it takes the place of, and its note."""
    figures = own(set_out={"hours": "0.03", "note": "three jobs of spring"}, dig={"hours": "0.2"})
    answer = quote_document(document(figures), catalog)
    said = {
        entry.field.removeprefix("/rates/overrides/"): (entry.value, entry.why)
        for entry in answer.assumptions
        if entry.field.startswith("/rates/overrides/")
    }
    assert said["set_out"] == (
        "0.03 h per ft",
        "own figure in place of 0.02: three jobs of spring",
    )
    assert said["dig"][0] == "0.2 machine-hours per yd3"


def test_rates_wait_beside_a_base_as_in_rates_of_ones_own(catalog: Catalog) -> None:
    """`waiting` beside `base`, alone or with own figures, counts as it does in rates written out,
    and is an assumption once; as the base has it, it says nothing."""
    chosen = {"choose_by": catalog.production_rates["small_crew"].document["choose_by"]}
    asked: dict[str, object] = {"base": "small_crew", "waiting": "elsewhere"}
    answer, written, paid, figured, stated = (
        quote_document(terrace("paid") | {"rates": rates}, catalog)
        for rates in (
            asked,
            waiting_rates("elsewhere") | chosen,
            "small_crew",
            asked | own(set_up={"hours": "2.25"}),
            {"base": "small_crew", "waiting": "paid"},
        )
    )
    assert answer.labor == written.labor != paid.labor == stated.labor
    said = [(a.value, a.why) for a in answer.assumptions if a.field == "/rates/waiting"]
    assert [value for value, _ in said] == ["elsewhere"]
    assert not [a for a in stated.assumptions if a.field == "/rates/waiting"]
    assert hours(figured)["set_up"] == "2.25"


def test_rates_overrides_do_not_make_a_plate_compact_silt(catalog: Catalog) -> None:
    """Own hours of a plate change nothing in silt, which a rammer compacts."""
    plain = hours(quote_document(document("small_crew", "loam"), catalog))
    figures = own(compact_backfill={"hours": "0.1"})
    assert hours(quote_document(document(figures, "loam"), catalog)) == plain
    assert "compact_backfill" in hours(quote_document(document(figures), catalog))


@pytest.mark.parametrize(
    ("rates", "code", "at", "hint"),
    [
        (own(set_unit={"hours": "1"}), "task-unknown", ("overrides", "set_unit"), "set_units"),
        (
            own(travel={"hours": {"low": "1", "likely": "2", "high": "3"}}),
            "fixed-hours-range",
            ("overrides", "travel", "hours"),
            'such as "2.5"',
        ),
        (
            {"base": "small_crow", "overrides": {"dig": {"hours": "1"}}},
            "unknown-production-rates",
            ("base",),
            "small_crew",
        ),
    ],
)
def test_rates_overrides_refuse_what_the_rates_have_not(
    catalog: Catalog, rates: object, code: str, at: tuple[str, ...], hint: str
) -> None:
    """An unknown task or base is refused with the nearest one, a range of fixed hours too."""
    with pytest.raises(QuoteFaultsError) as caught:
        quote_document(document(rates), catalog)
    (fault,) = caught.value.faults
    assert (fault.code, fault.at, fault.hint) == (code, ("rates", *at), hint)
