"""When a price is shown, when somebody has to come first, and what nobody can find out."""

from __future__ import annotations

import dataclasses
import json
import pickle
import random
from decimal import Decimal
from typing import Any

import pytest

from service.catalog.documents.website import Website
from service.operations.callers.website.price_range import (
    answer_range,
    prepare_range,
    price_range,
    range_document,
)
from service.operations.callers.website.range_answer import (
    RangeAnswer,
    VisitAnswer,
    range_figures,
)
from service.operations.quoting.elsewhere import asked
from service.operations.quoting.quote_answer import encode_answer
from tests.given.catalogs import shipped_catalog
from tests.given.visitors import PLAIN

SITE = shipped_catalog().websites["demo_site"].core
ASKS = 200
CENT = Decimal("0.01")
BETTER = "Better fill than the soil of the place is brought in behind the wall."


def priced(site: Website = SITE, **answers: str) -> RangeAnswer | VisitAnswer:
    """What the plain wall with other answers comes to."""
    return price_range(site, {**PLAIN, **answers}, "en", shipped_catalog())


def with_quote(**changed: object) -> Website:
    """The demo website with another request."""
    return dataclasses.replace(SITE, quote={**SITE.quote, **changed})


def inline(share: Decimal) -> dict[str, Any]:
    """Costs of the demo's list, or a share of them; a wage with its burden as one sum."""
    listed = shipped_catalog().price_lists["demo_2026"].document["items"]
    costs = {
        name: Decimal(item["unit_cost"])
        if "unit_cost" in item
        else Decimal(item["wage"]) * (1 + Decimal(item["burden"]))
        for name, item in listed.items()
    }
    items = {
        name: {"unit_cost": f"{cost * share:f}", "per": listed[name]["per"]}
        for name, cost in costs.items()
    }
    return {"currency": "USD", "items": items}


def reasons(answer: RangeAnswer | VisitAnswer) -> list[str]:
    """Why somebody has to come."""
    assert isinstance(answer, VisitAnswer)
    assert all(reason.text for reason in answer.visit.reasons)
    return [reason.code for reason in answer.visit.reasons]


@pytest.mark.parametrize(
    ("answers", "why"),
    [
        ({"height": "4.5"}, ["over_engineer_threshold"]),
        ({"above": "building"}, ["near_building"]),
        ({"above": "pool"}, ["near_pool"]),
        ({"now": "leaning_wall"}, ["old_wall_leans"]),
        ({"water": "wet"}, ["water_seen"]),
        ({"in_front": "steep"}, ["steep_in_front"]),
        ({"way_in": "narrow"}, ["narrow_way_in"]),
        ({"behind": "steep", "above": "pool"}, ["steep_behind", "near_pool"]),
        # A drive above calls for an engineer, a low wall as well as a high one.
        ({"height": "2", "above": "driveway"}, ["engineer_needed"]),
    ],
)
def test_range_gives_way_to_a_visit(answers: dict[str, str], why: list[str]) -> None:
    """What only somebody on the place can judge is answered without a price."""
    assert reasons(priced(SITE, **answers)) == why


def test_range_of_a_wall_that_fails_rests_on_what_makes_it_pass() -> None:
    """Thin units and loam as fill: 3 ft fail, and pass with better fill. 4 ft don't without layers,
    which are for an engineer."""
    thin = with_quote(wall_system="terrace_8in", soils={"retained": "loam"})
    found = priced(thin)
    assert isinstance(found, RangeAnswer)
    assert BETTER in found.rests_on
    assert BETTER not in priced(thin, height="2").rests_on  # type: ignore[union-attr]
    assert reasons(priced(thin, height="4")) == ["does_not_pass"]


@pytest.mark.parametrize(
    "changed",
    [
        {"rates": None},
        {"terms": None},
        {"prices": {"currency": "USD", "items": {}}},
        {"prices": {"price_list": "gone"}},
    ],
    ids=["rates", "terms", "no_prices", "no_list"],
)
def test_range_is_of_a_complete_price(changed: dict[str, Any]) -> None:
    """Where something isn't priced nothing is shown, and nothing of the fault."""
    quote = {k: v for k, v in {**SITE.quote, **changed}.items() if v is not None}
    assert reasons(priced(dataclasses.replace(SITE, quote=quote))) == ["not_priced"]


def test_range_in_another_currency_is_not_shown() -> None:
    """The step is a sum of the website's currency."""
    other = dataclasses.replace(SITE, currency="CAD")
    assert reasons(priced(other)) == ["not_priced"]


def test_range_tells_nothing_of_costs() -> None:
    """Half of every cost, sold at twice as much over it, with another overhead: the same bytes."""
    terms = shipped_catalog().terms["standard"].document
    plain = {key: terms[key] for key in ("contingency", "tax")}
    # 1.10 x 1.20 x 2 = 1.40 x 1.885714…
    cheap = with_quote(
        prices=inline(Decimal("0.5")),
        terms={**plain, "overhead": "0.40", "profit": {"markup": "0.885714"}},
    )
    dear = with_quote(
        prices=inline(Decimal(1)),
        terms={**plain, "overhead": "0.10", "profit": {"markup": "0.20"}},
    )
    for answers in ({}, {"height": "2", "line": "curved", "now": "fence"}):
        assert isinstance(priced(dear, **answers), RangeAnswer)
        assert encode_answer(priced(cheap, **answers)) == encode_answer(priced(dear, **answers))


def test_probing_finds_no_more_than_a_step() -> None:
    """200 totals: those that share an answer span the whole step, to the cent."""
    drawn = random.Random(7)  # noqa: S311  no secret
    for _ in range(ASKS):
        total = Decimal(drawn.randrange(50_00, 900_000_00)) * CENT
        answer = range_figures(total, SITE)
        middle = Decimal(answer.below) / Decimal("0.85")
        assert abs(total - middle) <= SITE.round_to / 2
        low, high = middle - SITE.round_to / 2, middle + SITE.round_to / 2 - CENT
        assert range_figures(low, SITE) == range_figures(high, SITE) == answer
        assert range_figures(low - CENT, SITE) != answer
        assert range_figures(high + CENT, SITE) != answer


def test_range_is_that_of_the_nearest_estimate() -> None:
    """From 37.5 to 42.4 ft the answer is one, to the byte; from 42.5 ft on it is another."""
    first, *same = (encode_answer(priced(length=long)) for long in ("37.5", "40", "42.49"))
    assert same == [first, first]
    assert encode_answer(priced(length="42.5")) != first


def test_range_says_each_thing_once_in_the_visitors_language() -> None:
    """Words in Spanish hold no sentence of the English ones, and no figure of money."""
    english = json.loads(encode_answer(priced()))
    answer = price_range(SITE, PLAIN, "es", shipped_catalog())
    spanish = json.loads(encode_answer(answer))
    assert spanish["range"] == english["range"]
    for part in ("rests_on", "not_included", "cautions"):
        assert english[part]
        assert len(spanish[part]) == len(english[part]) == len(set(english[part]))
        assert not set(spanish[part]) & set(english[part])
        assert not any("$" in text for text in (*english[part], *spanish[part]))


def test_range_is_the_same_from_another_process() -> None:
    """What a process that calculates is told gives the same bytes."""
    long = {**PLAIN, "length": "200"}
    document = range_document(SITE, long, "es")
    prepared = prepare_range(document, shipped_catalog())
    told = asked(document, prepared.prices, shipped_catalog())
    there = pickle.loads(pickle.dumps(told))  # noqa: S301  our own
    here = price_range(SITE, long, "es", shipped_catalog())
    assert answer_range(shipped_catalog(), there) == encode_answer(here)
