"""What each assumption is worth (rule 23), over random requests: whatever is told, a caller who
applies the patch and quotes for himself finds."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.errors import QuoteFaultsError
from service.operations.quoting.sentences import for_reading
from tests.given.catalogs import shipped_catalog
from tests.given.lawn_walls import failed, patched
from tests.given.quote_requests import Json, answered, shipped_request, straight
from tests.given.what_ifs import without_worth, worth

SOILS = ("loam", "silty_sand", "sand_gravel")
FEET = st.integers(4, 20).map(lambda half: f"{half / 4} ft")
# Keys of a request that may be stated or left to be assumed, with what may stand there.
STATED: dict[str, st.SearchStrategy[Any]] = {
    "rates": st.just("small_crew"),
    "terms": st.just("standard"),
    "levels_are": st.sampled_from(["elevation", "rod"]),
    "screening": st.builds(dict, reinforcement=st.sampled_from(["none", "compare", "all"])),
    "soils": st.fixed_dictionaries(
        {"retained": st.sampled_from(SOILS)},
        optional={"foundation": st.sampled_from(SOILS), "fill": st.sampled_from(SOILS)},
    ),
    "access": st.fixed_dictionaries(
        {"distance": st.just("40 ft")}, optional={"narrowest_passage": st.just("4 ft")}
    ),
    "water": st.just({"outlet": "daylight"}),
}
WALL: dict[str, st.SearchStrategy[Any]] = {
    "ends": st.fixed_dictionaries({}, optional={"start": st.just("open")}),
    "top_rounding": st.sampled_from(["up", "down"]),
    "back_slope": st.sampled_from(["level", "6:1"]),
    "above": st.fixed_dictionaries(
        {"what": st.sampled_from(["lawn", "patio"])}, optional={"from": st.just("2 ft")}
    ).map(lambda load: [load]),
}


@st.composite
def walls(draw: st.DrawFn, *, rod: bool) -> Json:
    """A wall on level ground, with a bank before the work or without, its top level or falling."""
    ground = draw(st.sampled_from([None, "2:1", "3:1"]))
    entries = []
    for station in ("0 ft", "end"):
        entry: Json = {"station": station, "front_grade": "-1 ft" if rod else "1 ft"}
        entry["exposed"] = draw(FEET)
        if ground:
            entry["existing_grade"] = entry["front_grade"]
        if draw(st.booleans()):
            entry["back_grade"] = "-2 ft" if rod else "2 ft"
        entries.append(entry)
    stated = draw(st.fixed_dictionaries({}, optional=WALL))
    plan = [straight(f"{draw(st.integers(8, 40))} ft")]
    return (
        {"plan": plan, "profile": entries} | stated | ({"existing_slope": ground} if ground else {})
    )


@st.composite
def requests(draw: st.DrawFn) -> Json:
    """One or two walls of which much or little is stated."""
    stated = draw(st.fixed_dictionaries({}, optional=STATED))
    rod = stated.get("levels_are") == "rod"
    built = draw(st.lists(walls(rod=rod), min_size=1, max_size=2))
    choices = {"digging": "loose", "ground": "firm"}
    if "rates" in stated and draw(st.booleans()):
        name = draw(st.sampled_from(list(choices)))
        stated["conditions"] = {name: choices[name]}
    return shipped_request(*built, units=draw(st.sampled_from(["us", "metric"])), **stated)


def answer_or_reasons(request: Json) -> Json | list[str]:
    """The answer to a request, or why there is none."""
    try:
        return answered(request, shipped_catalog())
    except QuoteFaultsError as error:
        return [fault.message for fault in error.faults]


def stands(request: Any, path: str) -> bool:  # noqa: ANN401  as JSON has it
    """Whether a request says anything at a path."""
    for part in path.removeprefix("/").split("/"):
        if isinstance(request, list):
            request = request[int(part)]
        elif part in request:
            request = request[part]
        else:
            return False
    return True


def gaps(answer: Json) -> list[tuple[str, str]]:
    """What a total leaves out."""
    return sorted((gap["part"], gap["field"]) for gap in answer["price"]["not_priced"])


@settings(max_examples=3)
@given(request=requests())
def test_what_if_says_what_a_caller_finds_who_quotes_for_himself(request: Json) -> None:
    """Each patch changes nothing that is stated, and with it the total changes by what was told,
    to the cent, its checks pass or not as was told; where there is no money, there is no quote or
    it is not of the same work. The rest of the answer is what it is without `what_if`."""
    plain = answer_or_reasons(request)
    if isinstance(plain, list):
        assert answer_or_reasons({**request, "what_if": True}) == plain
        return
    told = answered({**request, "what_if": True}, shipped_catalog())
    assert without_worth(told) == without_worth(plain)
    for each in worth(told).values():
        assert not any(stands(request, step["path"]) for step in each["patch"])
        other = answer_or_reasons(patched(request, each["patch"]))
        if isinstance(other, list):
            assert each["not_quoted"] == "; ".join(map(for_reading, other[:3]))
            assert "changes_total_by" not in each
        elif gaps(other) != gaps(plain):
            assert each["not_quoted"].startswith("its total would ")
            assert "changes_total_by" not in each
        else:
            total, before = (Decimal(a["price"]["total"]) for a in (other, plain))
            assert Decimal(each["changes_total_by"]) == total - before
            made = [check for check in other["checks"] if check["status"] != "not_checked"]
            assert each["passes"] == (not failed(other) if made else None)
