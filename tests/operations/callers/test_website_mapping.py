"""What three visitors answered, by hand: the wall that it stands for, and the range."""

from __future__ import annotations

import copy
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest

from service.core.errors import QuoteFaultsError
from service.operations.callers.website.answers import read_answers
from service.operations.callers.website.mapped import quote_of
from service.operations.callers.website.price_range import price_range
from service.operations.callers.website.range_answer import RangeAnswer
from service.operations.quoting.quote import quote_document
from tests.given.catalogs import shipped_catalog
from tests.given.visitors import PLAIN

Json = dict[str, Any]
SITE = shipped_catalog().websites["demo_site"].core
# The request of the entry's file, with the way in and the water of the plain wall.
BASE: Json = {
    "units": "us",
    "wall_system": "terrace_deep_8in",
    "section": "plain_gravity",
    "soils": {"retained": "loam", "fill": "sand_gravel"},
    "jurisdiction": "plain",
    "rates": "small_crew",
    "prices": {"price_list": "demo_2026"},
    "terms": "standard",
    "topsoil": {"strip": "4 in", "replace": "4 in"},
    "access": {"distance": "60 ft", "narrowest_passage": "8 ft"},
    "water": {"outlet": "daylight"},
}
INTO_GRADE = {"start": "into_grade", "finish": "into_grade"}


def points(*pairs: tuple[str, str]) -> list[Json]:
    """Ground of today, as offsets and levels in m."""
    return [{"offset": f"{x} m", "elevation": f"{z} m"} for x, z in pairs]


def levels(exposed: str, ground: list[Json]) -> list[Json]:
    """A profile of one height."""
    level = {"front_grade": "0 ft", "exposed": exposed, "existing_section": ground}
    return [{"station": "0 ft", **level}, {"station": "end", **level}]


# 42 ft is read as 40. A bank of 3 ft (0.9144 m) at 2:1 is 1.8288 m wide, half of it on each side
# of the wall; 30 ft (9.144 m) of ground are stated beyond it.
STRAIGHT: Json = {
    **BASE,
    "walls": [
        {
            "name": "wall",
            "ends": INTO_GRADE,
            "back_slope": "level",
            "front_slope": "level",
            "above": [{"what": "lawn"}],
            "plan": [{"kind": "straight", "length": "40 ft"}],
            "profile": levels(
                "3 ft",
                points(
                    ("-10.0584", "0"), ("-0.9144", "0"), ("0.9144", "0.9144"), ("10.0584", "0.9144")
                ),
            ),
        }
    ],
}
# 22.5 ft lies half way and is read as 25, 1.75 ft as 2. The fence is as long as the wall, the gate
# is 3 ft wide, behind it rises at 8:1 today: 0.6096 + 0.6096/8 and 0.6096 + 9.7536/8.
CURVED: Json = {
    **BASE,
    "access": {"distance": "60 ft", "narrowest_passage": "3 ft"},
    "water": {"outlet": "storm_drain"},
    "site_work": [{"task": "take_down_wood_fence", "quantity": "25 ft"}],
    "walls": [
        {
            "name": "wall",
            "ends": INTO_GRADE,
            "back_slope": "6:1",
            "front_slope": "level",
            "above": [{"what": "lawn"}],
            "plan": [{"kind": "curve", "side": "outside", "angle": "45 deg", "length": "25 ft"}],
            "profile": levels(
                "2 ft",
                points(
                    ("-9.7536", "0"), ("-0.6096", "0"), ("0.6096", "0.6858"), ("9.7536", "1.8288")
                ),
            ),
        }
    ],
}
# 61 ft is read as 60, 30 ft on each side of the corner; the old wall's face is 60 ft by 1.5 ft,
# 90 ft2 = 8.3612736 m2. In front it falls at 6:1: -9.6012/6 and -0.4572/6.
CORNER: Json = {
    **BASE,
    "site_work": [{"task": "take_down_timber_wall", "quantity": "8.3612736 m2"}],
    "walls": [
        {
            "name": "wall",
            "ends": INTO_GRADE,
            "back_slope": "level",
            "front_slope": "6:1",
            "above": [{"what": "patio", "from": "2 ft"}],
            "plan": [
                {"kind": "straight", "length": "30 ft"},
                {"kind": "corner", "side": "outside", "angle": "90 deg"},
                {"kind": "straight", "length": "30 ft"},
            ],
            "profile": levels(
                "1.5 ft",
                points(
                    ("-9.6012", "-1.6002"),
                    ("-0.4572", "-0.0762"),
                    ("0.4572", "0.4572"),
                    ("9.6012", "0.4572"),
                ),
            ),
        }
    ],
}
VISITORS = (
    (PLAIN, STRAIGHT),
    (
        {
            **PLAIN,
            "length": "22.5",
            "height": "1.75",
            "line": "curved",
            "behind": "gentle",
            "now": "fence",
            "way_in": "gate",
            "water": "drain",
        },
        CURVED,
    ),
    (
        {
            **PLAIN,
            "length": "61",
            "height": "1.3",
            "line": "corner",
            "in_front": "gentle",
            "above": "patio",
            "now": "timber_wall",
        },
        CORNER,
    ),
)


@pytest.mark.parametrize(("answers", "request_"), VISITORS, ids=["straight", "curved", "corner"])
def test_answers_stand_for_a_wall(answers: dict[str, str], request_: Json) -> None:
    """Estimates are read to 5 ft and 6 in, halves up; each choice brings its part."""
    before = copy.deepcopy(SITE.quote)
    assert quote_of(SITE, read_answers(SITE, answers)) == request_
    assert SITE.quote == before


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(("answers", "request_"), VISITORS, ids=["straight", "curved", "corner"])
def test_range_is_of_the_total(answers: dict[str, str], request_: Json) -> None:
    """By a second method: the total of the quote to the nearest 100, less 15 and more 40 %."""
    quote = quote_document(request_, shipped_catalog())
    assert quote.price.complete
    hundreds = (Decimal(quote.price.total) / 100).quantize(Decimal(1), ROUND_HALF_UP)
    answer = price_range(SITE, answers, "en", shipped_catalog())
    assert isinstance(answer, RangeAnswer)
    assert answer.range.below == f"{hundreds * 85:.2f}"
    assert answer.range.above == f"{hundreds * 140:.2f}"
    assert (answer.range.currency, answer.range.rounded_to) == ("USD", "100.00")


@pytest.mark.parametrize(
    ("answer", "code"),
    [
        ({"length": "4"}, "out-of-range"),
        ({"length": "4,5"}, "decimal-invalid"),
        ({"length": "1e2"}, "decimal-invalid"),
        ({"length": "٤٢"}, "decimal-invalid"),
        ({"height": "-3"}, "decimal-invalid"),
        ({"height": "20.01"}, "out-of-range"),
        ({"behind": "Level"}, "unknown-choice"),
        ({"line": "straight "}, "unknown-choice"),
        ({"postal_code": "<b>00000</b>"}, "text-invalid"),
        ({"behing": "level"}, "unknown-key"),
    ],
)
def test_answers_are_read_strictly(answer: dict[str, str], code: str) -> None:
    """What is no answer is refused at its question, beside everything else that is wrong."""
    spoilt = {key: value for key, value in {**PLAIN, **answer}.items() if key != "water"}
    with pytest.raises(QuoteFaultsError) as caught:
        read_answers(SITE, spoilt)
    (name,) = answer
    found = {fault.at: fault.code for fault in caught.value.faults}
    assert found == {("answers", name): code, ("answers", "water"): "field-missing"}
