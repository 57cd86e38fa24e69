"""What a type checker must refuse: each marked line is wrong, and a mark without a fault is one."""

from made.models import (
    ChangeRequestSet,
    ItemPriceBody,
    ItemPriceBodyPer,
    PricesRequestItems,
    PricesRequestOverrides,
    StraightPart,
    WholeRequestItems,
)

EACH = ItemPriceBodyPer.EACH
price = ItemPriceBody(per=EACH, unit_cost="7.10")
as_number = ItemPriceBody(per=EACH, unit_cost=7.10)  # type: ignore[arg-type]
without_unit = ItemPriceBody(unit_cost="7.10")  # type: ignore[call-arg]
misspelled = ItemPriceBody(per=EACH, unitcost="7.10")  # type: ignore[call-arg]
items, overrides = PricesRequestItems(), PricesRequestOverrides()
whole, changed = WholeRequestItems(), ChangeRequestSet()
items["block"] = overrides["block"] = whole["block"] = changed["block"] = price
items["block"] = "7.10"  # type: ignore[assignment]
overrides["block"] = 7.10  # type: ignore[assignment]
whole["block"] = {"unit_cost": "7.10"}  # type: ignore[assignment]
changed["block"] = None  # type: ignore[assignment]
unitless = StraightPart(kind="straight", length=40)  # type: ignore[arg-type]
