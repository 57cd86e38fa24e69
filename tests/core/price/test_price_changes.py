"""Changes of price lists: factors and amounts, six places half up, and what differs."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.errors import PriceFaultsError
from service.core.job.price_list import ItemPrice
from service.core.price.price_changes import (
    Adjustment,
    Change,
    Removal,
    Setting,
    change_prices,
    difference,
)

STONE = ItemPrice(unit_cost=Decimal("31.00"), per="ton", supplier="Pit", group="stone")
BLOCK = ItemPrice(unit_cost=Decimal("6.85"), per="each", supplier="Plant", group="units")
CAP = ItemPrice(unit_cost=Decimal("5.125"), per="each", supplier="Plant", group="units")
PRICES = {"base_stone": STONE, "block": BLOCK, "cap": CAP}


def costs(prices: object) -> dict[str, str]:
    """Unit costs as text, by item."""
    assert isinstance(prices, dict)
    return {item: str(price.unit_cost) for item, price in prices.items()}


@pytest.mark.parametrize(
    ("adjustment", "expected"),
    [
        # 6.85 x 1.04 = 7.124, 5.125 x 1.04 = 5.33
        (Adjustment(factor=Decimal("1.04"), supplier="Plant"), ("31.00", "7.124", "5.33")),
        # 31 x 1.035 = 32.085
        (Adjustment(factor=Decimal("1.035"), group="stone"), ("32.085", "6.85", "5.125")),
        (Adjustment(amount=Decimal("0.25"), items=("cap",)), ("31.00", "6.85", "5.375")),
        (Adjustment(amount=Decimal(-1)), ("30.00", "5.85", "4.125")),
        # 7.124 and 5.33 to 0.05: 7.10 (7.124 is nearer to 7.10) and 5.35
        (
            Adjustment(factor=Decimal("1.04"), group="units", round_to=Decimal("0.05")),
            ("31.00", "7.10", "5.35"),
        ),
        # 5.125 to 0.25: half way between 5.00 and 5.25, so up
        (Adjustment(items=("cap",), round_to=Decimal("0.25")), ("31.00", "6.85", "5.25")),
    ],
)
def test_adjust_changes_what_it_names(
    adjustment: Adjustment, expected: tuple[str, str, str]
) -> None:
    """A factor or an amount holds for a supplier, a group or items, and rounds half up."""
    assert costs(change_prices(PRICES, [adjustment], 2)) == dict(zip(PRICES, expected, strict=True))


@pytest.mark.parametrize(
    ("cost", "factor", "expected"),
    [
        # 0.0000005 is half of the sixth place: up
        ("0.000001", "0.5", "0.000001"),
        ("0.000001", "0.499999", "0.00"),
        # 1.234567 x 1.000001 = 1.234568234567
        ("1.234567", "1.000001", "1.234568"),
    ],
)
def test_adjust_rounds_to_six_places_half_up(cost: str, factor: str, expected: str) -> None:
    """Without a step the result has six places, half up, and at least those of its currency."""
    prices = {"x": ItemPrice(unit_cost=Decimal(cost), per="each")}
    assert costs(change_prices(prices, [Adjustment(factor=Decimal(factor))], 2)) == {"x": expected}


@pytest.mark.parametrize(
    ("change", "code", "at"),
    [
        (Adjustment(supplier="Plnt"), "adjusts-nothing", ("changes", 0, "adjust")),
        (Adjustment(supplier="Pit", group="units"), "adjusts-nothing", ("changes", 0, "adjust")),
        (Adjustment(items=("blck",)), "unknown-item", ("changes", 0, "adjust", "items")),
        (
            Adjustment(amount=Decimal("-6.86"), items=("block",)),
            "out-of-range",
            ("changes", 0, "adjust"),
        ),
        (Removal(items=("blck",)), "unknown-item", ("changes", 0, "remove")),
    ],
)
def test_change_prices_says_what_cannot_be(
    change: Adjustment | Removal, code: str, at: tuple[str | int, ...]
) -> None:
    """What fits nothing, names no item or would pay for taking it is refused at its place."""
    with pytest.raises(PriceFaultsError) as caught:
        change_prices(PRICES, [change], 2)
    assert {(fault.code, fault.at) for fault in caught.value.faults} == {(code, at)}


def test_change_prices_hints_at_the_nearest_item() -> None:
    """An item that isn't there gets the one most like it as a hint."""
    with pytest.raises(PriceFaultsError) as caught:
        change_prices(PRICES, [Removal(items=("blck",))], 2)
    assert caught.value.faults[0].hint == "did you mean block?"


@pytest.mark.parametrize(
    ("named", "words"),
    [
        (Adjustment(supplier="Plnt"), "supplier 'Plnt'"),
        (Adjustment(group="pipe"), "group 'pipe'"),
        (Adjustment(supplier="Pit", group="units"), "supplier 'Pit' and group 'units'"),
    ],
)
def test_change_prices_says_what_nothing_has(named: Adjustment, words: str) -> None:
    """The supplier, the group, or both, as they were asked for."""
    with pytest.raises(PriceFaultsError) as caught:
        change_prices(PRICES, [named], 2)
    assert caught.value.faults[0].message == f"no item of the latest revision has {words}"


def test_change_prices_goes_in_order() -> None:
    """Each change works on what the one before left: 6.00 + 1 = 7, x 2 = 14; given stays."""
    changes: list[Change] = [
        Setting(items={"block": ItemPrice(unit_cost=Decimal("6.00"), per="each")}),
        Adjustment(amount=Decimal(1), items=("block",)),
        Adjustment(factor=Decimal(2), supplier="Plant"),
        Removal(items=("base_stone",)),
    ]
    assert costs(change_prices(PRICES, changes, 2)) == {"block": "14.00", "cap": "10.25"}
    assert PRICES["block"].unit_cost == Decimal("6.85")


def test_change_prices_keeps_what_a_setting_leaves_unsaid() -> None:
    """A new cost keeps the item's supplier and group; a new word replaces the old."""
    price = ItemPrice(unit_cost=Decimal(7), per="each", supplier="Other")
    changed = change_prices(PRICES, [Setting(items={"block": price})], 2)["block"]
    assert (changed.supplier, changed.group) == ("Other", "units")


def test_difference_tells_what_leads_from_one_to_the_other() -> None:
    """Added, removed and changed items, with the change in the old unit and in percent."""
    new = {
        # 0.0155 per lb x 2000 lb = 31 per ton: another unit, the same cost
        "base_stone": ItemPrice(unit_cost=Decimal("0.0155"), per="lb"),
        "block": ItemPrice(unit_cost=Decimal("7.10"), per="each"),
        "pipe": ItemPrice(unit_cost=Decimal(1), per="ft"),
    }
    found = difference(PRICES, new)
    assert [item for item, _ in found.added] == ["pipe"]
    assert [item for item, _ in found.removed] == ["cap"]
    stone, block = found.changed
    assert (stone.item, stone.change, stone.percent) == ("base_stone", Decimal(0), Decimal(0))
    # 0.25 / 6.85 = 3.6496 %
    assert (block.item, str(block.change), str(block.percent)) == ("block", "0.25", "3.65")


def test_difference_of_what_cannot_be_compared_is_unsaid() -> None:
    """From nothing there is no percent, and between a piece and a ton no change."""
    old = {"a": ItemPrice(unit_cost=Decimal(0), per="each"), "b": STONE}
    new = {"a": ItemPrice(unit_cost=Decimal(1), per="each"), "b": BLOCK}
    first, second = difference(old, new).changed
    assert (first.change, first.percent) == (Decimal(1), None)
    assert (second.change, second.percent) == (None, None)


COSTS = st.decimals("0", "9999", places=6).map(lambda cost: cost + 0)
LISTS = st.dictionaries(
    st.sampled_from("abcdef"),
    st.builds(ItemPrice, unit_cost=COSTS, per=st.sampled_from(["each", "ton", "ft"])),
)


@given(LISTS, LISTS)
def test_difference_made_good_is_the_other_list(
    old: dict[str, ItemPrice], new: dict[str, ItemPrice]
) -> None:
    """Old, less what was removed, with what was added and changed, is new; back again is old."""
    for before, after in ((old, new), (new, old)):
        found = difference(before, after)
        made = {item: price for item, price in before.items() if item not in dict(found.removed)}
        made |= dict(found.added) | {changed.item: changed.new for changed in found.changed}
        assert made == after


@pytest.mark.parametrize(("said", "kept"), [(None, True), (True, True), (False, False)])
def test_change_prices_keeps_an_item_in_stock_until_it_says_otherwise(
    said: bool | None, kept: bool
) -> None:
    """A new cost of an item in stock leaves it there; only `stock = false` takes it out."""
    held = {"block": ItemPrice(unit_cost=Decimal(5), per="each", stock=True)}
    new = Setting(items={"block": ItemPrice(unit_cost=Decimal(6), per="each", stock=said)})
    assert change_prices(held, [new], 2)["block"].stock is kept


@pytest.mark.parametrize(
    ("supplier", "number", "kept"),
    [
        (None, None, "B-8"),
        ("Yard", None, "B-8"),
        ("Plant", None, None),
        (None, "B-9", "B-9"),
        ("Plant", "77", "77"),
    ],
)
def test_change_prices_keeps_a_suppliers_number_while_he_is_the_supplier(
    supplier: str | None, number: str | None, kept: str | None
) -> None:
    """A supplier's own number of an item stays with a new cost, and goes with the supplier."""
    held = ItemPrice(unit_cost=Decimal(5), per="each", supplier="Yard", supplier_item="B-8")
    new = ItemPrice(unit_cost=Decimal(6), per="each", supplier=supplier, supplier_item=number)
    changed = change_prices({"block": held}, [Setting(items={"block": new})], 2)
    assert changed["block"].supplier_item == kept


def test_change_prices_keeps_what_was_said_of_an_item() -> None:
    """A price that is set anew keeps description and note where it says nothing else, and takes
    what it says."""
    old = ItemPrice(unit_cost=Decimal(31), per="ton", description="Stone", note="by the pit")
    bare = ItemPrice(unit_cost=Decimal(32), per="ton")
    said = ItemPrice(unit_cost=Decimal(33), per="ton", description="Clear stone", note="new pit")
    kept = change_prices({"stone": old}, [Setting(items={"stone": bare})], 2)["stone"]
    told = change_prices({"stone": old}, [Setting(items={"stone": said})], 2)["stone"]
    assert (kept.description, kept.note) == ("Stone", "by the pit")
    assert (told.description, told.note) == ("Clear stone", "new pit")
