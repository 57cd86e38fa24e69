"""What can be packed and what goes the ordinary way, on both sides of each limit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

import numpy as np
import pytest

from service.core.job.machine import Machine, Owned
from service.core.job.price_list import ItemPrice, PriceList
from service.core.job.terms import Extra, Kind, Terms
from service.core.labor.hours import Labor, MachineTime
from service.core.reprice import packed_format as form
from service.core.reprice.bulk_price import reprice_packed
from service.core.reprice.packed import pack_inputs
from service.core.reprice.packed_columns import (
    PackedFormatError,
    price_columns,
    ratios,
    read_columns,
    unit_ratio,
)
from service.core.reprice.packed_header import PricingIrregularError, bounded, scaled
from service.core.reprice.packed_line import exact_decimal
from service.core.reprice.pricing_inputs import PricingInputs, price_inputs
from service.core.reprice.repriced import Repriced, repriced_each
from service.core.takeoff.quantities import QuantityLine
from tests.given.money import bought, extra, labor, prices, tax

# The first whole number that isn't kept.
LARGEST = 2**62
LISTED = prices({"block": ("2.00", "each"), "digger_hour": ("90.00", "h")})


def inputs_of(
    *lines: QuantityLine,
    work: Labor | None = None,
    terms: Terms | None = None,
    extras: tuple[Extra, ...] = (),
    overrides: Mapping[str, ItemPrice] | None = None,
) -> PricingInputs:
    """A quote in dollars and cents."""
    return PricingInputs(
        currency="USD",
        minor_places=2,
        lines=lines,
        labor=work,
        terms=terms,
        extras=extras,
        wall_names=("wall-1",),
        overrides=MappingProxyType(dict(overrides or {})),
    )


def packed_at(inputs: PricingInputs, of: PriceList) -> bytes:
    """A quote packed at what it costs on a list."""
    return pack_inputs(inputs, price_inputs(inputs, of))


def is_irregular(packed: bytes) -> bool:
    """Whether a quote is kept by its roll-up alone, so that it is priced one by one."""
    marked = np.frombuffer(packed, form.HEADER, count=1)[0]["flags"] == form.IRREGULAR
    assert bool(marked) == (len(packed) == form.HEADER.itemsize)
    assert not marked or reprice_packed([packed], price_columns(LISTED)).ordinary[0]
    return bool(marked)


def repriced(packed: bytes, of: PriceList) -> Repriced | None:
    """A quote in columns; None where it goes the ordinary way."""
    (found,) = repriced_each(reprice_packed([packed], price_columns(of)))
    return found


def test_a_cost_of_its_own_is_packed_to_the_millionth() -> None:
    """A price that the caller set is whole millionths, or the quote is priced one by one."""
    for cost, irregular in (("0.000001", False), ("0.0000015", True)):
        own = {"block": ItemPrice(unit_cost=Decimal(cost), per="each")}
        inputs = inputs_of(bought("block", "1000"), overrides=own)
        assert is_irregular(packed_at(inputs, LISTED)) is irregular


def test_an_extra_is_packed_to_the_cent() -> None:
    """A sum as it stands is whole cents, or the quote is priced one by one."""
    for cost, irregular in (("12.34", False), ("12.345", True)):
        inputs = inputs_of(bought("block"), extras=(extra(cost),))
        whole = inputs_of(bought("block"), extras=(extra("12.34"),))
        packed = pack_inputs(inputs, price_inputs(whole, LISTED))
        assert is_irregular(packed) is irregular


def test_a_quote_has_fewer_lines_than_there_are_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    """The number that stands for no line is none of a line's: as many lines as that are priced one
    by one."""
    monkeypatch.setattr(form, "NO_LINE", 3)
    for count, irregular in ((2, False), (3, True)):
        lines = [bought("block") for _ in range(count)]
        assert is_irregular(packed_at(inputs_of(*lines), LISTED)) is irregular


def test_a_quote_without_lines_is_irregular() -> None:
    """Nothing can be spread over no lines."""
    price = price_inputs(inputs_of(bought("block")), LISTED)
    assert is_irregular(pack_inputs(inputs_of(), price))


@pytest.mark.parametrize("unit", [None, "each"])
def test_a_pack_of_unknown_content_is_paid_by_the_pack(unit: str | None) -> None:
    """Two pallets at 210.00 are 420.00, where what is on one isn't known."""
    line = replace(bought("block", "2", "pallet", pack=("40", "each")), pack_unit=unit)
    now = prices({"block": ("210.00", "pack")})
    found = repriced(packed_at(inputs_of(replace(line, pack_content=None)), now), now)
    assert found is not None
    assert found.new_total == 42_000


def machine(**items: str) -> Labor:
    """Three hours of a machine with what goes with it."""
    time = MachineTime(
        machine=Machine(id="one", title="One", cost=Owned(item="digger_hour"), **items),  # type: ignore[arg-type]
        hours=Decimal(3),
        hours_low=Decimal(3),
        hours_high=Decimal(3),
        days=1,
        loads=Decimal(0),
        shares=(("wall-1", 1.0),),
        how=(),
    )
    return replace(labor(), equipment=(time,))


def test_an_item_that_is_counted_in_two_ways_is_irregular() -> None:
    """Hours of a machine and its fuel by the hour are one line; an item that is paid by the hour
    and for each way, too, can't be one."""
    price = price_inputs(inputs_of(work=machine()), LISTED)
    alike, apart = machine(fuel_item="digger_hour"), machine(delivery_item="digger_hour")
    assert not is_irregular(pack_inputs(inputs_of(work=alike), price))
    assert is_irregular(pack_inputs(inputs_of(work=apart), price))


def test_whole_numbers_are_held_below_their_bound() -> None:
    """2^62 is the first that isn't held, on either side of 0."""
    for value in (LARGEST - 1, 1 - LARGEST):
        assert bounded(value) == value
    for value in (LARGEST, -LARGEST):
        with pytest.raises(PricingIrregularError):
            bounded(value)


def test_amounts_are_held_to_nine_places() -> None:
    """An amount is held in as few places as it needs, up to nine; thirds are never held."""
    assert scaled(Decimal("2.50")) == (25, 1)
    assert scaled(Decimal("0.000000001")) == (1, 9)
    with pytest.raises(PricingIrregularError):
        scaled(Decimal("0.0000000001"))
    assert exact_decimal(Fraction(1, 8)) == Decimal("0.125")
    with pytest.raises(PricingIrregularError):
        exact_decimal(Fraction(1, 3))


def test_bytes_that_are_not_sound_are_refused() -> None:
    """A head that is cut off, a form of a later version, and fewer lines than the head says."""
    packed = packed_at(inputs_of(bought("block")), LISTED)
    later = bytes([form.FORMAT + 1]) + packed[1:]
    for broken in (packed[: form.HEADER.itemsize - 1], later, packed[:-1]):
        with pytest.raises(PackedFormatError):
            read_columns([packed, broken])


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("yd", "ft", (3, 1)),
        ("ft", "yd", (1, 3)),
        ("lb", "ton", (1, 2000)),
        ("ft3", "yd3", (1, 27)),
        ("ft", "ft", (1, 1)),
        ("roll", "roll", (1, 1)),
        ("ft", "ft2", (0, 0)),
        ("ft", "kg", (0, 0)),
        ("roll", "ft", (0, 0)),
        ("ft", "roll", (0, 0)),
        ("roll", "pack", (0, 0)),
    ],
)
def test_units_are_converted_by_exact_ratios(one: str, other: str, ratio: tuple[int, int]) -> None:
    """A yard is three feet; nothing is converted between dimensions, nor what a pack is to what
    is in it."""
    assert unit_ratio(one, other) == ratio


@pytest.mark.parametrize("beyond", [len(form.UNIT_CODES), form.NO_UNIT, 40, 255])
def test_codes_of_no_unit_convert_to_nothing(beyond: int) -> None:
    """Not to what the code of another pair would: the first unit to itself, to none, and back."""
    parts, wholes = ratios(np.array([0, 0, beyond], np.uint8), np.array([0, beyond, 0], np.int64))
    assert parts.tolist() == [1, 0, 0]
    assert wholes.tolist() == [1, 0, 0]


def test_a_list_holds_costs_to_the_millionth_and_below_the_bound() -> None:
    """A cost that is finer than a millionth or too large fits nothing in columns."""
    largest = Decimal(LARGEST).scaleb(-6)
    costs = {"0.000001": True, "0.0000015": False, f"{largest:f}": False}
    costs[f"{largest - Decimal('0.000001'):f}"] = True
    for cost, fits in costs.items():
        columns = price_columns(prices({"block": (cost, "each")}))
        assert (columns.per.tolist() != [form.NO_UNIT]) is fits
        assert not fits or columns.cost.tolist() == [int(Decimal(cost).scaleb(6))]


def test_items_of_one_key_fit_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two items whose keys are the same by chance have no price in columns."""
    monkeypatch.setattr(form, "item_key", lambda _: 7)
    assert price_columns(prices({"block": ("2", "each")})).per.tolist() != [form.NO_UNIT]
    two = price_columns(prices({"block": ("2", "each"), "cap": ("3", "each")}))
    assert two.per.tolist() == [form.NO_UNIT]


def test_costs_whose_sum_passes_64_bits_go_the_ordinary_way() -> None:
    """Four lines of 36,893,488,147,419,100.00 and one of 100.00 more are 2^64 cents and 83.84:
    each could be held, their sum not, which 64 bits would tell as 83.84."""
    costs = ["3689348814741.91"] * 4 + ["3689348814741.92"]
    assert sum(int(Decimal(cost) * 1_000_000) for cost in costs) == 2**64 + 8384
    now = prices({f"item_{n}": (cost, "each") for n, cost in enumerate(costs)})
    before = prices(dict.fromkeys(now.items, ("1.00", "each")))
    inputs = inputs_of(*(bought(item, "10000") for item in now.items))
    assert repriced(packed_at(inputs, before), now) is None


def test_a_line_costs_no_more_than_any_number_of_lines_could() -> None:
    """2^62 // 65535 cents go the fast way, a cent more the ordinary one."""
    most = LARGEST // 65535
    inputs = inputs_of(bought("block", "1000"))
    packed = packed_at(inputs, LISTED)
    for cents in (most, most + 1):
        now = prices({"block": (f"{Decimal(cents).scaleb(-5):f}", "each")})
        found = repriced(packed, now)
        assert (found.new_total if found else None) == (most if cents == most else None)


def free(*kinds: Kind) -> PricingInputs:
    """Lines of some kinds for which 100.01 is charged at least; what falls on materials is taxed
    once more."""
    lines = [replace(bought(f"item_{n}"), kind=kind) for n, kind in enumerate(kinds)]
    terms = Terms(minimum_charge=Decimal("100.01"), tax=tax("1", "material"))
    return inputs_of(*lines, terms=terms)


def test_where_all_costs_are_zero_the_first_line_carries_the_price() -> None:
    """It is taxed where its kind is, and no other line is; wherever the quote stands, also behind
    one that has no lines here."""
    now = prices({f"item_{n}": ("0", "each") for n in range(3)})
    some = [free("material", "fee"), free("fee", "material"), free("fee", "material", "fee")]
    packed = [packed_at(each, now) for each in some]
    irregular = pack_inputs(inputs_of(), price_inputs(some[0], now))
    taxes = form.AMOUNTS.index("tax")
    for chunk in (packed, [irregular, *packed]):
        bulk = reprice_packed(chunk, price_columns(now))
        assert bulk.amounts[-3:, taxes].tolist() == [10_001, 0, 0]
        assert not bulk.ordinary[-3:].any()
    expected = [price_inputs(each, now).tax for each in some]
    assert expected == [Decimal("100.01"), Decimal(0), Decimal(0)]
