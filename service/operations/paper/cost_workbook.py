"""The job cost sheet as a workbook: quantities, unit costs, rates and prices are values; costs,
sums, roll-up, tax, total, deposit and margin are formulas with their value beside them.

A formula is written only where it gives the figure of the answer: what a unit cost is converted by
stands in a column of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from service.core.job.terms import Terms
from service.core.measure import UNITS, unit_sign, with_signs
from service.documents.sheets import Cell, Sheet, Workbook
from service.documents.words import Words, msgid
from service.operations.paper.cost_sheet import AMOUNTS
from service.operations.paper.subject import PricedSubject, Sender
from service.operations.quoting.answer import PriceLineAnswer

_FIRST = 2  # the row of the first line, below the titles
_LINES = "Lines"
# Columns of the lines and their widths in characters; formulas name them by letter.
_COLUMNS = {
    msgid("Item"): 26,
    msgid("What"): 44,
    msgid("Group"): 12,
    msgid("Kind"): 12,
    msgid("Quantity"): 11,
    msgid("Unit"): 8,
    msgid("Unit cost"): 11,
    msgid("Per"): 8,
    msgid("Converted by"): 11,
    msgid("Cost"): 12,
    msgid("Price"): 12,
    msgid("Taxable"): 9,
    msgid("How"): 70,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """What the formulas of the roll-up name: the rows of the lines, and the places of a sum."""

    last: int
    places: int

    def column(self, letter: str) -> str:
        """A column of the lines."""
        return f"{_LINES}!${letter}${_FIRST}:${letter}${self.last}"

    def rounded(self, formula: str) -> str:
        """A formula rounded to the currency's minor unit."""
        return f"ROUND({formula},{self.places})"


def cost_workbook(subject: PricedSubject, sender: Sender) -> Workbook:
    """The workbook of the office."""
    words, lines = sender.words, subject.answer.price.lines
    sheet = _Sheet(last=_FIRST + max(0, len(lines) - 1), places=subject.quote.prices.minor_places)
    title = " ".join(part for part in (words.say("Job cost sheet"), subject.number) if part)
    return Workbook(
        title=title,
        author=sender.company.name,
        money=words.money_marks(subject.currency),
        sheets=(
            _lines_sheet(lines, sheet.places, words),
            Sheet(
                name="Price",
                titles=(words.say("Amount"), subject.currency, words.say("Rate"), words.say("How")),
                rows=tuple(_roll_up(subject, sheet, words)),
                widths=(30, 14, 12, 90),
            ),
        ),
    )


def _lines_sheet(lines: tuple[PriceLineAnswer, ...], places: int, words: Words) -> Sheet:
    return Sheet(
        name=_LINES,
        titles=tuple(words.say(title) for title in _COLUMNS),
        rows=tuple(_line(line, row, places, words) for row, line in enumerate(lines, _FIRST)),
        widths=tuple(_COLUMNS.values()),
    )


def _line(line: PriceLineAnswer, row: int, places: int, words: Words) -> tuple[Cell, ...]:
    quantity, unit_cost = Decimal(line.quantity.value), Decimal(line.unit_cost)
    factor = _factor(line)
    exact = Fraction(quantity) * Fraction(unit_cost) * factor
    cost = Decimal(line.cost)
    gives = _rounded(exact, places) == cost
    formula = f"ROUND(E{row}*G{row}*I{row},{places})" if gives else ""
    return (
        Cell(value=line.item),
        Cell(value=with_signs(words.say_data(line.description))),
        Cell(value=line.group),
        Cell(value=line.kind),
        _number(quantity),
        Cell(value=unit_sign(line.quantity.unit)),
        _number(unit_cost),
        Cell(value=unit_sign(line.per)),
        _number(Decimal(factor.numerator) / Decimal(factor.denominator)),
        Cell(value=cost, shown="money", places=places, formula=formula),
        Cell(value=Decimal(line.price), shown="money", places=places),
        Cell(value=Decimal(int(line.taxable)), shown="number", places=0),
        Cell(value=with_signs("; ".join(line.how))),
    )


def _factor(line: PriceLineAnswer) -> Fraction:
    """Of the unit in which a price is, in one of the unit in which it is ordered."""
    ordered, priced = UNITS.get(line.quantity.unit), UNITS.get(line.per)
    if ordered is None or priced is None or ordered.dimension != priced.dimension:
        return Fraction(1)
    return Fraction(ordered.si) / Fraction(priced.si)


def _rounded(exact: Fraction, places: int) -> Decimal:
    scaled = exact * 10**places
    whole = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    return Decimal(whole).scaleb(-places)


def _number(value: Decimal) -> Cell:
    plain = value.quantize(Decimal("1E-12"), rounding=ROUND_HALF_UP).normalize()
    places = max(0, -int(plain.as_tuple().exponent))
    return Cell(value=plain, shown="number", places=places)


# Rows of the sheet of amounts, in their order; each formula names the others by them.
_ROW = {name: row for row, name in enumerate(AMOUNTS, start=2)}


def _roll_up(subject: PricedSubject, sheet: _Sheet, words: Words) -> Iterator[tuple[Cell, ...]]:
    price, terms = subject.answer.price, subject.quote.job.terms or Terms()
    formulas, rates = _formulas(terms, sheet), _rates(terms)
    for name, title in AMOUNTS.items():
        amount = getattr(price, name)
        is_margin = name == "margin"
        value: Cell = Cell(value=words.say("none"))
        if amount is not None:
            value = Cell(
                value=Decimal(amount),
                shown="share" if is_margin else "money",
                places=4 if is_margin else sheet.places,
                formula=formulas.get(name, ""),
                strong=name in ("subtotal", "total"),
            )
        rate = rates.get(name)
        yield (
            Cell(value=words.say(title), strong=name in ("subtotal", "total")),
            value,
            Cell(value="") if rate is None else Cell(value=rate, shown="number", places=6),
            Cell(value=price.how.get(name, "")),
        )


def _formulas(terms: Terms, sheet: _Sheet) -> dict[str, str]:
    """The roll-up of rule 15; an amount whose formula can't be said stays a value."""
    at = {name: f"B{row}" for name, row in _ROW.items()}
    rate = {name: f"C{row}" for name, row in _ROW.items()}
    cost = f"({at['direct_cost']}+{at['overhead']}+{at['contingency']})"
    base = f"({at['direct_cost']}+{at['overhead']})"
    profit = f"{rate['profit']}*{cost}"
    if terms.profit.basis == "margin":
        profit = f"{cost}*{rate['profit']}/(1-{rate['profit']})"
    formulas = {
        "direct_cost": f"SUM({sheet.column('J')})",
        "contingency": sheet.rounded(f"{rate['contingency']}*{base}"),
        "profit": sheet.rounded(profit),
        "subtotal": f"{cost}+{at['profit']}-{at['discount']}+{at['added_to_reach_minimum']}",
        "total": f"{at['subtotal']}+{at['tax']}",
        "margin": f"ROUND(({at['subtotal']}-{cost})/{at['subtotal']},4)",
        "deposit": sheet.rounded(f"{rate['deposit']}*{at['total']}"),
    }
    if not terms.overhead_per_crew_day:
        formulas["overhead"] = sheet.rounded(f"{rate['overhead']}*{at['direct_cost']}")
    if terms.tax.base == "price":
        taxable = f"SUMPRODUCT({sheet.column('K')},{sheet.column('L')})"
        formulas["tax"] = sheet.rounded(f"{rate['tax']}*{taxable}")
    return formulas


def _rates(terms: Terms) -> dict[str, Decimal]:
    """Shares that the formulas multiply by."""
    return {
        "overhead": terms.overhead_share,
        "contingency": terms.contingency,
        "profit": terms.profit.share,
        "tax": terms.tax.rate,
        "deposit": terms.deposit,
    }
