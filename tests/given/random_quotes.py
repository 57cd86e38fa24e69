"""Random quotes as pricing sees them, and price lists that change under them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from types import MappingProxyType

from hypothesis import strategies as st

from service.core.errors import PriceFaultsError
from service.core.job.machine import Hired, Machine, Owned
from service.core.job.price_list import DeliveryTerms, ItemPrice, PriceList
from service.core.job.section import Group
from service.core.job.terms import KINDS, Extra, Kind, Profit, Tax, Terms
from service.core.labor.hours import CrewTime, Labor, MachineTime
from service.core.measure import UNITS
from service.core.price.price import Price
from service.core.reprice.pricing_inputs import PricingInputs, price_inputs
from service.core.takeoff.haulage import Haulage, Loads, order_haulage
from service.core.takeoff.need import Order, Ways
from service.core.takeoff.quantities import QuantityLine, ordered_line
from tests.given.money import bought, crew_time

WALLS = ("north", "south")
LISTED = (
    ("block", "each"),
    ("cap", "pack"),
    ("stone", "ton"),
    ("fill", "yd3"),
    ("pipe", "roll"),
    ("fabric", "ft2"),
    ("crew_hour", "h"),
    ("digger_hour", "h"),
    ("digger_day", "day"),
    ("own_day", "day"),
    ("digger_week", "each"),
    ("brought", "each"),
    ("fuel", "h"),
    ("haul_off", "yd3"),
    ("tip_sod", "yd3"),
)
# What a price list may keep in stock, and the unit in which it is charged then.
STOCKED = {"fabric": "ft2", "pipe": "ft"}
PAID_UNITS = ("ft3", "yd3", "m3", "lb", "ton", "kg", "t", "load")
OTHER_UNITS: Mapping[str, tuple[str, ...]] = {
    "cap": ("pallet", "pack"),
    "stone": ("ton", "t", "lb", "kg"),
    "fill": ("yd3", "m3", "ft3"),
    "pipe": ("roll", "pack", "ft", "m"),
    "fabric": ("ft2", "yd2", "m2"),
    "crew_hour": ("h", "day"),
    "digger_hour": ("h", "day", "load"),
    "haul_off": PAID_UNITS,
    "tip_sod": PAID_UNITS,
}


def decimals(low: int, high: int, places: int) -> st.SearchStrategy[Decimal]:
    """Decimals of some places between two whole numbers."""
    return st.integers(low * 10**places, high * 10**places).map(
        lambda n: Decimal(n).scaleb(-places)
    )


def _line(
    item: str, order: Decimal, unit: str, group: Group, pack: tuple[str, str] | None = None
) -> QuantityLine:
    return bought(item, f"{order:f}", unit, group=group, pack=pack)


@st.composite
def haulages(draw: st.DrawFn, *, settled: bool) -> Haulage:
    """What trucks carry: its volume is known, its weight and its loads may not be; `settled` by a
    file that may say what an order is rounded up to."""
    volume = draw(st.floats(0.01, 900, allow_nan=False))
    sold = draw(st.sampled_from(["yd3", "m3"]))
    increment = draw(st.sampled_from([None, Decimal("0.5")])) if settled else None
    return Haulage(
        volume_m3=volume,
        mass_kg=draw(st.sampled_from([None, volume * 1387.3])) if settled else volume * 1387.3,
        loads=draw(st.sampled_from([None, Loads(count=round(volume / 4) + 1, how="4 m3 a load")])),
        sold=UNITS[sold],
        settled=settled,
        increment=increment,
        how=("counted",),
    )


def carried_line(item: str, haulage: Haulage) -> QuantityLine:
    """The line of something that trucks carry, as it is taken off."""
    ordered = order_haulage(haulage, haulage.sold)
    assert ordered is not None
    return replace(
        bought(item, f"{ordered.amount:f}", ordered.unit.symbol, group="earth", shares=()),
        how=(*haulage.how, ordered.how),
        increment_assumed=ordered.increment_assumed,
        haulage=haulage,
    )


@st.composite
def in_stock(draw: st.DrawFn, line: QuantityLine, unit: str, *, by_file: bool) -> QuantityLine:
    """A line that a price list may charge from stock; with `by_file` its file may say so."""
    amount = draw(decimals(0, 300, 6))
    charged = Order(
        order=amount,
        order_unit=unit,
        sold_per=unit,
        how=("from stock",),
        pack_content=line.pack_content,
        pack_unit=line.pack_unit,
        pack_word=line.order_unit if line.pack_unit else None,
        stock=True,
        weight_kg=draw(st.sampled_from([None, line.weight_kg])),
    )
    bought_so = Order(
        packs=line.packs,
        weight_kg=line.weight_kg,
        order=line.order,
        order_unit=line.order_unit,
        sold_per=line.sold_per,
        how=("bought",),
        pack_content=line.pack_content,
        pack_unit=line.pack_unit,
    )
    first = charged if by_file and draw(st.booleans()) else bought_so
    ways = Ways(bought=first, charged=charged)
    return replace(ordered_line(line, first), ways=ways)


# Some weigh a whole share of a load.
weights = st.one_of(st.none(), st.sampled_from([2000.0, 1000.0, 0.1]), st.floats(0, 30_000))
pallets = st.one_of(st.none(), st.tuples(st.integers(0, 40), st.sampled_from(["pallet", "bag"])))


@st.composite
def quantity_lines(draw: st.DrawFn) -> tuple[QuantityLine, ...]:
    """A takeoff: pieces, packs, stone by weight, fill by volume, pipe by the roll, and what trucks
    carry."""
    whole, fine = decimals(0, 900, 0), decimals(0, 300, 2)
    made = [
        _line("block", draw(whole), "each", "units"),
        _line("cap", draw(whole), "pallet", "units", ("40", "each")),
        _line("stone", draw(fine), "ton", "stone"),
        _line("fabric", draw(fine), "yd2", "fabric"),
        _line("pipe", draw(decimals(1, 9, 0)), "roll", "pipe", ("50.5", "ft")),
        _line("fill", draw(decimals(0, 90, 1)), "yd3", "earth"),
        carried_line("haul_off", draw(haulages(settled=False))),
        carried_line("tip_sod", draw(haulages(settled=True))),
    ]
    loaded = [replace(line, weight_kg=draw(weights), packs=draw(pallets)) for line in made]
    stocked = [
        draw(in_stock(line, STOCKED[line.item], by_file=line.item == "fabric"))
        if line.item in STOCKED
        else line
        for line in loaded
    ]
    kept = draw(st.lists(st.booleans(), min_size=len(made), max_size=len(made)))
    return tuple(line for line, keep in zip(stocked, kept, strict=True) if keep)


@st.composite
def crews(draw: st.DrawFn) -> tuple[CrewTime, ...]:
    """None, one or two crews, of one item or two; some have a wage."""
    wage = draw(st.sampled_from([None, "41.031234"]))
    made = [
        crew_time(
            f"{draw(decimals(0, 200, 2)):f}",
            days=f"{draw(st.integers(1, 30)) / 2}",
            people="3",
            item=draw(st.sampled_from(["crew_hour", "mason_hour"])),
            hour_cost=wage,
            name=name,
        )
        for name in ("crew", "masons")
    ]
    return tuple(made[: draw(st.integers(0, 2))])


@st.composite
def machine_times(draw: st.DrawFn) -> tuple[MachineTime, ...]:
    """None, one or two machines, hired or one's own, with what goes with them."""
    return tuple(draw(machine_time(name)) for name in ("one", "two")[: draw(st.integers(0, 2))])


OWNED = (
    Owned(item="digger_hour"),
    Owned(day_item="own_day"),
    Owned(item="digger_hour", day_item="own_day"),
)


@st.composite
def machine_time(draw: st.DrawFn, name: str) -> MachineTime:
    """One machine's time."""
    week = draw(st.sampled_from([None, "digger_week"]))
    hired = Hired(day_item="digger_day", week_item=week, week_days=draw(st.sampled_from([4, 5, 7])))
    machine = Machine(
        id=name,
        title=name.title(),
        cost=hired if draw(st.booleans()) else draw(st.sampled_from(OWNED)),
        delivery_item=draw(st.sampled_from([None, "brought"])),
        pick_up_item=draw(st.sampled_from([None, "brought", "fetched"])),
        fuel_item=draw(st.sampled_from([None, "fuel", "digger_hour"])),
    )
    hours = draw(decimals(0, 90, 2))
    stays = draw(st.lists(st.integers(1, 23), min_size=1, max_size=3))
    return MachineTime(
        machine=machine,
        hours=hours,
        hours_low=hours,
        hours_high=hours,
        days=sum(stays) if len(stays) > 1 else draw(st.integers(0, 23)),
        stays=tuple(stays) if len(stays) > 1 else (),
        loads=draw(decimals(0, 9, 0)),
        shares=(("north", 1.0),),
        how=(),
    )


ratios = decimals(0, 1, 6)
kinds: st.SearchStrategy[tuple[Kind, ...]] = st.one_of(
    st.just(KINDS), st.lists(st.sampled_from(KINDS), unique=True).map(tuple)
)
profits = st.one_of(
    decimals(0, 3, 6).map(lambda m: Profit(basis="markup", share=m)),
    st.integers(0, 999_999).map(lambda g: Profit(basis="margin", share=Decimal(g).scaleb(-6))),
)
terms = st.one_of(
    st.none(),
    st.builds(
        Terms,
        overhead_share=ratios,
        overhead_per_crew_day=decimals(0, 500, 4),
        contingency=ratios,
        profit=profits,
        tax=st.builds(
            Tax, rate=ratios, on=kinds, base=st.sampled_from(["price", "price", "purchase"])
        ),
        discount=decimals(0, 300, 2),
        minimum_charge=decimals(0, 3000, 2),
        deposit=ratios,
    ),
)
extras = st.lists(
    st.builds(
        Extra,
        description=st.just("Extra"),
        kind=st.sampled_from(KINDS),
        cost=st.integers(0, 10**6).map(Decimal),
    ),
    max_size=3,
).map(tuple)
unit_costs = st.one_of(decimals(0, 500, 6), decimals(0, 40, 2), st.just(Decimal(0)))


def item_prices(item: str, per: str) -> st.SearchStrategy[ItemPrice]:
    """A price of an item in one of the units that fit it."""
    units = OTHER_UNITS.get(item, (per,))
    return st.builds(ItemPrice, unit_cost=unit_costs, per=st.sampled_from(units))


# Two of them differ in signs alone.
SUPPLIERS = ("Plant", "Quarry", "plant ")
sellers = st.sampled_from([None, *SUPPLIERS])
delivered = st.builds(
    DeliveryTerms,
    per_load=decimals(0, 400, 4),
    load_mass_kg=st.one_of(st.none(), st.sampled_from([4000.0, 10000 / 3])),
    load_pallets=st.one_of(st.none(), st.integers(1, 12)),
    minimum_order=decimals(0, 9000, 3),
    below_minimum=decimals(0, 90, 2),
    pallet_deposit=st.one_of(st.just(Decimal(0)), decimals(0, 30, 2)),
    lead_days=st.none(),
)


@st.composite
def price_lists(
    draw: st.DrawFn,
    places: int,
    revision: int,
    *,
    spoiled: bool,
    freight: bool = False,
    stock: bool = False,
) -> PriceList:
    """A revision that prices every item; with `spoiled` some are gone or sold by something else,
    with `freight` a supplier may ask for the way, with `stock` pipe and fabric may be in stock."""
    items = {item: draw(item_prices(item, per)) for item, per in LISTED}
    items |= {item: draw(item_prices(item, per)) for item, per in (("fetched", "each"),)}
    if draw(st.booleans()):
        items["mason_hour"] = draw(item_prices("crew_hour", "h"))
    if spoiled:
        for item in draw(st.lists(st.sampled_from(sorted(items)), max_size=2)):
            items[item] = ItemPrice(unit_cost=Decimal(1), per="yd")
        for item in draw(st.lists(st.sampled_from(sorted(items)), max_size=1)):
            del items[item]
    for item in ("pipe", "fabric") if stock else ():
        if item in items:
            said = draw(st.sampled_from([None, True, False]))
            number = draw(st.sampled_from([None, "P-4"]))
            items[item] = replace(items[item], stock=said, supplier_item=number)
    delivery = {}
    if freight and draw(st.booleans()):
        items = {item: replace(held, supplier=draw(sellers)) for item, held in items.items()}
        delivery = draw(st.dictionaries(st.sampled_from(SUPPLIERS), delivered))
    return PriceList(
        currency="USD",
        minor_places=places,
        items=items,
        id="yard",
        revision=revision,
        delivery=delivery,
    )


@st.composite
def pricing_inputs(draw: st.DrawFn, places: int) -> PricingInputs:
    """A random quote as pricing sees it."""
    teams, machines = draw(crews()), draw(machine_times())
    days = sum((crew.days for crew in teams), Decimal(0))
    hours = sum((crew.hours for crew in teams), Decimal(0))
    work = Labor(
        tasks=(),
        crews=teams,
        labor_hours=hours,
        labor_hours_low=hours,
        labor_hours_high=hours,
        crew_days=days,
        wage_currency=draw(st.sampled_from([None, "USD"])),
        equipment=machines,
    )
    overrides = {
        item: replace(draw(item_prices(item, per)), supplier=draw(sellers))
        for item, per in LISTED
        if draw(st.integers(0, 9)) == 0
    }
    return PricingInputs(
        currency="USD",
        minor_places=places,
        lines=draw(quantity_lines()),
        labor=draw(st.sampled_from([work, work, None])),
        terms=draw(terms),
        extras=draw(extras),
        wall_names=WALLS,
        overrides=MappingProxyType(overrides),
    )


def price_or_none(inputs: PricingInputs, prices: PriceList) -> Price | None:
    """The price in the ordinary way, or None where it is refused."""
    try:
        return price_inputs(inputs, prices)
    except PriceFaultsError:
        return None
