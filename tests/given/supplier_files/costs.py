"""Costs: signs of currencies, thousands, credits, words in the place of a figure."""

from tests.given.supplier_files.kind import GOOD, HEAD, SupplierFile, lines, plant, yard

_COST, _NEXT = "line 2, column B", "line 3, column B"
_EUROS = {"currency": "EUR"}


def _refused(name: str, cost: str, remedy: str, code: str = "decimal-invalid") -> SupplierFile:
    """A file whose one cost is refused."""
    return SupplierFile(
        name=name, data=lines(HEAD, f'TB-8,"{cost}",EA'), faults=((code, _COST, remedy),)
    )


COSTS = (
    SupplierFile(
        name="the list's currency, written in four ways",
        data=lines(HEAD, "TB-8,$7.10,EA", "TB-C,5.30 $,EA", "TB-K,US$ 13.20,EA", "57S,USD 33,TN"),
        reads={
            "block": "7.10 each",
            "cap": "5.30 each",
            "corner": "13.20 each",
            "stone": "33.00 ton",
        },
    ),
    _refused("another currency's sign", "7.10 €", "one price list", "currency-mismatch"),
    _refused("another dollar", "CA$ 7.10", "one price list", "currency-mismatch"),
    _refused("another currency's code", "CHF 7.10", "one price list", "currency-mismatch"),
    SupplierFile(
        name="a dollar sign in a list in euros",
        data=lines(HEAD, "TB-8,$7.10,EA"),
        currency="EUR",
        faults=(("currency-mismatch", _COST, "one price list"),),
    ),
    SupplierFile(
        name="a dollar sign in a list in Canadian dollars",
        data=lines(HEAD, "TB-8,$7.10,EA"),
        currency="CAD",
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="another currency in the heading",
        data=lines("Item #,Net (EUR),UOM", GOOD),
        mapping=plant(columns={"item": "Item #", "unit_cost": "Net (EUR)", "per": "UOM"}),
        faults=(("currency-mismatch", "line 1, column B", "one price list"),),
    ),
    SupplierFile(
        name="a new list whose dollars may be any",
        data=lines(HEAD, "TB-8,$7.10,EA"),
        mapping=plant(unknown_items="add"),
        currency=None,
        faults=(("field-missing", _COST, "a column for the currency"),),
    ),
    SupplierFile(
        name="a new list whose dollars are named",
        data=lines(HEAD, "TB-8,$7.10,EA"),
        mapping=plant(unknown_items="add", defaults={"currency": "USD"}),
        currency=None,
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="a new list with the sign of other money than is named",
        data=lines(HEAD, "TB-8,$7.10,EA"),
        mapping=plant(unknown_items="add", defaults=_EUROS),
        currency=None,
        faults=(("currency-mismatch", _COST, "one price list"),),
    ),
    SupplierFile(
        name="thousands with a point",
        data=lines("Art.-Nr.;Preis;ME", "4711;1.250,50;STK"),
        mapping=yard(),
        reads={"block": "1250.50 each"},
        needs=(_COST,),
    ),
    SupplierFile(
        name="thousands with three kinds of spaces",
        data=lines(
            "Art.-Nr.;Preis;ME", "4711;1 250,50;STK", "4712;1\u00a0250,50;STK", "0815;1\u202f250;m3"
        ),
        mapping=yard(thousands="space", units={"STK": {"per": "each"}, "m3": {"per": "yd3"}}),
        reads={"block": "1250.50 each", "cap": "1250.50 each", "gravel": "1250.00 yd3"},
        needs=(_COST, _NEXT, "line 4, column B"),
    ),
    SupplierFile(
        name="thousands with an apostrophe",
        data=lines(HEAD, "TB-8,1'250.50,EA", "TB-C,1’250.50,EA"),
        mapping=plant(thousands="apostrophe"),
        reads={"block": "1250.50 each", "cap": "1250.50 each"},
        needs=(_COST, _NEXT),
    ),
    SupplierFile(
        name="thousands with a comma",
        data=lines(HEAD, 'TB-8,"$1,250.50",EA'),
        mapping=plant(thousands="comma"),
        reads={"block": "1250.50 each"},
        needs=(_COST,),
    ),
    _refused("thousands with a comma, not said", "1,250.50", "thousands", "decimal-comma"),
    _refused("a decimal comma, not said", "7,10", 'decimal "point"', "decimal-comma"),
    SupplierFile(
        name="a point in a file with decimal commas",
        data=lines("Art.-Nr.;Preis;ME", "4711;7.10;STK"),
        mapping=yard(),
        faults=(("decimal-comma", _COST, 'decimal "comma"'),),
    ),
    SupplierFile(
        name="credits",
        data=lines(HEAD, *(f"TB-8,{cost},EA" for cost in ("7.10-", "(7.10)", "-7.10", "($7.10)"))),
        faults=tuple(
            ("decimal-invalid", f"line {line}, column B", "a credit") for line in (2, 3, 4, 5)
        ),
    ),
    _refused("a credit with its currency behind", "7.10- $", "a credit"),
    _refused("a credit with a real minus", "\u22127.10", "a credit"),
    _refused("a share", "10%", "raise costs by a share with changes"),
    SupplierFile(
        name="words in the place of a cost",
        data=lines(HEAD, *(f"TB-8,{words},EA" for words in ("call for price", "TBD", "-", "n/a"))),
        faults=tuple(
            ("decimal-invalid", f"line {line}, column B", "taken out of the file")
            for line in (2, 3, 4, 5)
        ),
    ),
    _refused("no cost", "", "a cost such as 7.10", "field-missing"),
    _refused("a unit behind the cost", "7.10/ea", "a cost such as 7.10"),
    _refused("a mark behind the cost", "7.10*", "a cost such as 7.10"),
    _refused("two costs in one cell", "7.10-8.20", "a cost such as 7.10"),
    _refused("a power of ten", "7.1E+00", "a cost such as 7.10"),
    _refused("cents with their sign", "710¢", "a cost such as 7.10"),
    _refused("a cost that a program took for a date", "10-Jul", "took it for a date"),
    _refused("a number of a telephone", "18005550100199", "at most 12 digits", "out-of-range"),
    SupplierFile(
        name="a cost of nothing",
        data=lines(HEAD, "TB-8,0.00,EA", "TB-C,5.30,EA"),
        reads={"block": "0.00 each", "cap": "5.30 each"},
        needs=(_COST,),
    ),
    SupplierFile(
        name="cents",
        data=lines(HEAD, "TB-8,710,EA"),
        reads={"block": "710.00 each"},
        needs=(_COST,),
    ),
    SupplierFile(
        name="cents, said",
        data=lines(HEAD, "TB-8,710,EA"),
        mapping=plant(units={"EA": {"per": "each", "count": "100"}}),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="more places than a unit cost has",
        data=lines(HEAD, "TB-8,7.1234565,EA"),
        reads={"block": "7.123457 each"},
        remarks=("rounded",),
    ),
    SupplierFile(
        name="a mark on a rise of a quarter and a cent",
        # 6.85 x 1.25 = 8.5625; 5.125 x 1.25 = 6.40625
        data=lines(HEAD, "TB-8,8.57,EA", "TB-C,6.40,EA"),
        reads={"block": "8.57 each", "cap": "6.40 each"},
        needs=(_COST,),
    ),
)
