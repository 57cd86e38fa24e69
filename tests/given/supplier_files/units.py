"""Units of sale: words with two meanings, packs, pallets, what a list has otherwise."""

from tests.given.supplier_files.kind import HEAD, PLANT, SupplierFile, lines, plant

_UNIT = "line 2, column C"


def _units(**words: dict[str, str]) -> dict[str, object]:
    """The block plant's mapping with more words for units."""
    return plant(units={**PLANT["units"], **words})


def _refused(line: str, remedy: str, code: str = "unknown-unit") -> SupplierFile:
    """A file whose one unit is refused."""
    return SupplierFile(
        name=f"the unit of {line}", data=lines(HEAD, line), faults=((code, _UNIT, remedy),)
    )


UNITS = (
    _refused("57S,33.00,T", '"T": {"per": "ton"} for 2000 lb, {"per": "t"} for 1000 kg'),
    _refused("TB-8,7100,M", '"count": "1000"} for a thousand, {"per": "m"} for a meter'),
    _refused("AB3,34.00,Y", '{"per": "yd3"} for a cubic yard'),
    _refused("TB-8,7.10,EACH", '"EACH": {"per": "each"}'),
    _refused("TB-8,7.10,ea", '"ea": {"per": "each"}'),
    _refused("TB-8,7.10,EA.", "say in the column mapping's units"),
    _refused("57S,33.00,Ton", '"Ton": {"per": "ton"}'),
    _refused("TB-8,7.10,", "say in the column mapping's units"),
    _refused("AB3,34.00,yd", '"yd": {"per": "yd3", "count"', "price-unit-mismatch"),
    _refused("TB-8,255.60,pallet", '"pallet": {"per": "each", "count"', "price-unit-mismatch"),
    _refused("57S,33.00,load", '"load": {"per": "ton", "count"', "price-unit-mismatch"),
    SupplierFile(
        name="a T that is said",
        data=lines(HEAD, "57S,33.00,T"),
        mapping=_units(T={"per": "ton"}),
        reads={"stone": "33.00 ton"},
    ),
    SupplierFile(
        # 33 a metric ton x 0.90718474 metric tons a ton = 29.93709642
        name="metric tons in a list by the ton",
        data=lines(HEAD, "57S,33.00,t"),
        reads={"stone": "29.937096 ton"},
        remarks=("converted", "rounded"),
    ),
    SupplierFile(
        name="a small t that is no metric ton",
        data=lines(HEAD, "57S,33.00,t"),
        mapping=_units(t={"per": "ton"}),
        reads={"stone": "33.00 ton"},
    ),
    SupplierFile(
        name="by the thousand",
        data=lines(HEAD, "TB-8,7100,M"),
        mapping=_units(M={"per": "each", "count": "1000"}),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        # 1.65 for 100 lb is 33 for 2000 lb.
        name="by the hundredweight",
        data=lines(HEAD, "57S,1.65,CWT"),
        mapping=_units(CWT={"per": "lb", "count": "100"}),
        reads={"stone": "33.00 ton"},
        remarks=("converted",),
    ),
    SupplierFile(
        name="by the pallet of 36",
        data=lines(HEAD, "TB-8,255.60,pallet"),
        mapping=_units(pallet={"per": "each", "count": "36"}),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="by a pack in a column of its own",
        data=lines("Item #,Net,UOM,Per", "TB-8,710.00,EA,100", "TB-C,5.30,EA,"),
        mapping=plant(columns={**PLANT["columns"], "pack": "Per"}),
        reads={"block": "7.10 each", "cap": "5.30 each"},
    ),
    SupplierFile(
        name="packs that are none",
        data=lines("Item #,Net,UOM,Per", *(f'TB-8,710,EA,"{pack}"' for pack in ("1,000", "0"))),
        mapping=plant(columns={**PLANT["columns"], "pack": "Per"}),
        faults=tuple(
            ("decimal-invalid", f"line {line}, column D", "a number such as 100") for line in (2, 3)
        ),
    ),
    SupplierFile(
        name="no unit, as all is by the piece",
        data=lines("Item #,Net", "TB-8,7.10", "TB-C,5.30"),
        mapping=plant(defaults={"per": "each"}),
        reads={"block": "7.10 each", "cap": "5.30 each"},
    ),
)
