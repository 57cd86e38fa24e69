"""Freight by supplier: loads by weight and by pallets, small orders, deposits."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.job.price_list import DeliveryTerms, ItemPrice, PriceList
from service.core.job.terms import Terms
from service.core.price.delivery import Goods, loads_of
from service.core.price.price import Price
from service.core.takeoff.quantities import QuantityLine
from tests.given.money import bought, line, markup, priced, tax

TON_KG = 907.18474
TERMS = DeliveryTerms(per_load=Decimal("95.00"), load_mass_kg=20 * TON_KG, load_pallets=12)


def goods(mass_tons: float = 0.0, pallets: int = 0) -> Goods:
    """Goods of some weight on some pallets."""
    return Goods(cost=Decimal(1), mass_kg=mass_tons * TON_KG, pallets=pallets, not_weighed=())


@pytest.mark.parametrize(
    ("mass_tons", "pallets", "loads"),
    [
        (0.1, 1, 1),
        (20.0, 12, 1),
        (20.001, 12, 2),
        (20.0, 13, 2),
        (61.0, 24, 4),
        (19.0, 37, 4),
        (0.0, 0, 1),
    ],
)
def test_loads_of_is_the_larger_of_weight_and_pallets(
    mass_tons: float, pallets: int, loads: int
) -> None:
    """20 tons and 12 pallets a load: what needs more loads decides, and one truck comes anyway."""
    assert loads_of(goods(mass_tons, pallets), TERMS) == loads


def block(order: str, pallets: int, tons: float | None = 1.0, item: str = "block") -> QuantityLine:
    """An order of blocks on pallets."""
    weight = None if tons is None else tons * TON_KG
    return replace(bought(item, order), packs=(pallets, "pallet"), weight_kg=weight)


def listed(**delivery: DeliveryTerms) -> PriceList:
    """Blocks at 5.00 and caps at 2.00 of the plant, stone at 30.00 of the pit."""
    items = {
        "block": ItemPrice(unit_cost=Decimal(5), per="each", supplier="plant"),
        "cap": ItemPrice(unit_cost=Decimal(2), per="each", supplier="plant"),
        "stone": ItemPrice(unit_cost=Decimal(30), per="ton", supplier="pit"),
    }
    return PriceList(
        currency="USD", minor_places=2, items=items, id="yard", revision=1, delivery=delivery
    )


def extras_of(of: Price) -> dict[str, tuple[str, str, str, str]]:
    """Quantity, unit, kind and cost of each line of the group delivery."""
    return {
        each.item: (str(each.quantity), each.quantity_unit, each.kind, str(each.cost))
        for each in of.lines
        if each.group == "delivery"
    }


def test_freight_leaves_out_what_comes_from_stock() -> None:
    """Of 41 tons on 11 pallets one ton and one pallet of caps are the crew's own stock: 2 loads of
    20 tons by weight, 10 deposits, and goods of 2000.00 below a minimum of 2050.00; the caps, which
    cost 100.00, don't help to reach it."""
    lines = [block("400", 10, 40.0), replace(block("50", 1, 1.0, "cap"), stock=True)]
    terms = replace(
        TERMS,
        load_pallets=None,
        minimum_order=Decimal("2050.00"),
        below_minimum=Decimal("75.00"),
        pallet_deposit=Decimal("25.00"),
    )
    found = extras_of(priced(lines, listed(plant=terms)))
    assert {item: held[0] for item, held in found.items()} == {
        "delivery_plant": "2",
        "small_order_plant": "1",
        "pallets_plant": "10",
    }


def test_freight_is_a_cost_line_by_supplier() -> None:
    """41 tons of blocks and caps in loads of 20 are 3 loads of 95.00; the pit, without terms,
    brings nothing to pay."""
    lines = [block("400", 10, 40.0), block("50", 1, 1.0, "cap"), bought("stone", "5", "ton")]
    found = priced(lines, listed(plant=TERMS))
    assert extras_of(found) == {"delivery_plant": ("3", "load", "delivery", "285.00")}
    # 2000 + 100 + 150 of goods
    assert found.direct_cost == Decimal("2535.00")
    freight = line(found, "delivery_plant")
    assert (str(freight.unit_cost), freight.per, freight.from_list) == ("95.00", "load", True)
    assert freight.how[0].endswith("a load: 3 loads")
    assert "3 load x 95.00 per load = 285.00" in freight.how


def test_small_orders_and_pallets_are_charged() -> None:
    """Goods of 100.00 below a minimum of 150.00 cost 40.00 more; two pallets 15.00 each."""
    terms = DeliveryTerms(
        per_load=Decimal("95.00"),
        load_pallets=12,
        minimum_order=Decimal("150.00"),
        below_minimum=Decimal("40.00"),
        pallet_deposit=Decimal("15.00"),
        lead_days=5,
    )
    found = priced([block("20", 2)], listed(plant=terms))
    assert extras_of(found) == {
        "delivery_plant": ("1", "load", "delivery", "95.00"),
        "pallets_plant": ("2", "pallet", "fee", "30.00"),
        "small_order_plant": ("1", "each", "fee", "40.00"),
    }
    assert "to be ordered 5 days ahead" in line(found, "delivery_plant").how
    # 30 x 5.00 = 150.00 reaches the minimum
    assert "small_order_plant" not in extras_of(priced([block("30", 2)], listed(plant=terms)))


def test_unknown_weights_are_named() -> None:
    """An item whose weight is not known is left out of the loads, which say so."""
    found = priced([block("20", 2, None)], listed(plant=TERMS))
    assert "weight not known, so not in it: block" in line(found, "delivery_plant").how


def test_an_override_stays_with_its_supplier() -> None:
    """A price for one quote that names nobody is still the list's supplier's goods."""
    own = {"block": ItemPrice(unit_cost=Decimal(4), per="each")}
    found = priced([block("20", 2)], replace(listed(plant=TERMS), overrides=own))
    assert "delivery_plant" in extras_of(found)


def test_suppliers_of_like_names_have_lines_of_their_own() -> None:
    """Names that differ in signs alone make two items."""
    prices = listed(**{"Pit & Co": TERMS, "Pit + Co": TERMS})
    items = {
        "block": replace(prices.items["block"], supplier="Pit & Co"),
        "cap": replace(prices.items["cap"], supplier="Pit + Co"),
    }
    lines = [block("20", 2), block("20", 2, 1.0, "cap")]
    found = priced(lines, replace(prices, items=items))
    assert list(extras_of(found)) == ["delivery_pit_co_1", "delivery_pit_co_2"]


def test_freight_is_marked_up_and_taxed_like_any_cost() -> None:
    """Markup lies on freight, and tax where its kind is taxed: (100 + 95) x 1.2 = 234; the share
    of the freight is 114, taxed at 10 %."""
    terms = Terms(profit=markup("0.20"), tax=tax("0.10", "delivery"))
    found = priced([block("20", 2)], listed(plant=TERMS), terms)
    assert (found.subtotal, found.tax) == (Decimal("234.00"), Decimal("11.40"))


@given(st.integers(1, 5000), st.integers(0, 60))
def test_without_delivery_terms_nothing_changes(count: int, pallets: int) -> None:
    """A list without the table, or with one of other suppliers, prices as before."""
    lines = [block(str(count), pallets)]
    assert priced(lines, listed()) == priced(lines, listed(other=TERMS))
    assert extras_of(priced(lines, listed())) == {}


@given(st.floats(0, 500), st.integers(0, 200), st.floats(0, 100), st.integers(0, 50))
def test_loads_never_fall_when_goods_grow(
    tons: float, pallets: int, more_tons: float, more_pallets: int
) -> None:
    """More weight or more pallets never make fewer loads, and all of it finds room."""
    small, large = goods(tons, pallets), goods(tons + more_tons, pallets + more_pallets)
    loads = loads_of(large, TERMS)
    assert loads_of(small, TERMS) <= loads
    assert large.mass_kg <= loads * 20 * TON_KG * (1 + 1e-6)
    assert large.pallets <= loads * 12
