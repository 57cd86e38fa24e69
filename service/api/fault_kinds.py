"""The faults a request can have, each with a title and what to do about it.

When all faults of a request share a code, it is the problem's code too. A new fault code anywhere
in the service needs a row here; a test says which one is missing.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FaultKind:
    """One kind of fault, for people."""

    code: str
    title: str
    explanation: str


# Shape: what is wrong with one field, whatever it means.
SHAPE: tuple[FaultKind, ...] = (
    FaultKind(
        "field-missing", "A required field is missing", "The pointer says where the field belongs."
    ),
    FaultKind(
        "unknown-key",
        "A key is not known",
        "Unknown keys are refused, so that a misspelt one can't go unnoticed. The hint names the "
        "nearest known key.",
    ),
    FaultKind(
        "wrong-type",
        "A value is of the wrong type",
        "The message says what was found; the hint, what is needed.",
    ),
    FaultKind(
        "null-not-read",
        "A key is null",
        "null says nothing here: leave the key out, and the service uses its default.",
    ),
    FaultKind("unknown-choice", "A word is not one of the choices", "The hint lists the choices."),
    FaultKind("too-long", "A text or a list is too long", "The message gives the bound."),
    FaultKind("too-short", "A text or a list is too short", "The message gives the bound."),
    FaultKind("out-of-range", "A value is out of range", "The message gives the bounds."),
    FaultKind(
        "not-positive", "A value is not above zero", "The field takes only what is larger than 0."
    ),
    FaultKind(
        "id-invalid",
        "An id is not valid",
        "Ids have 1 to 64 lower-case letters, digits and underscores.",
    ),
    FaultKind("text-invalid", "A text is not valid", "Control characters are refused in texts."),
    FaultKind(
        "date-invalid", "A date is not valid", "Dates are text such as 2026-05-04 (ISO 8601)."
    ),
    FaultKind(
        "decimal-invalid",
        "A decimal is not valid",
        'Money and ratios are decimals as text without an exponent, such as "0.05" or "120.00".',
    ),
    FaultKind(
        "number-not-text",
        "A number stands where text is needed",
        'Money, ratios and measurements are texts: "0.05", "120.00", "4 ft 6 in". A JSON number is '
        "read in binary by many programs, and a bare number has no unit.",
    ),
    FaultKind(
        "measurement-invalid",
        "A measurement can't be read",
        'A measurement is a text with a unit, such as "4 ft 6 in", "7 1/8 in", "1.2 m" or '
        '"100 psf", or an object {"value": "1.2", "unit": "m"}.',
    ),
    FaultKind(
        "measurement-out-of-range",
        "A measurement is out of range",
        "The message gives the bounds of this field.",
    ),
    FaultKind(
        "slope-invalid",
        "A slope can't be read",
        'Slopes are "3:1" (horizontal:vertical), "12 deg", "20 %" or "level".',
    ),
    FaultKind("angle-out-of-range", "An angle is out of range", "The message gives the bounds."),
)

# Layout: what the walls ask for can't be built as asked.
LAYOUT: tuple[FaultKind, ...] = (
    FaultKind("plan-empty", "A plan has no parts", "A plan needs at least one straight or curve."),
    FaultKind(
        "corner-at-end",
        "A corner stands at an end of a plan",
        "A corner turns from one part to the next, so a plan begins and ends with a straight or a "
        "curve.",
    ),
    FaultKind(
        "corners-in-a-row",
        "Two corners follow each other",
        "Between two corners there is a straight or a curve; add their angles or give the part "
        "between them.",
    ),
    FaultKind(
        "curve-not-fixed",
        "A curve is not fixed by what is given",
        "A curve takes any two of radius, angle, length, chord and rise that fix it: radius and "
        "angle, or chord and rise as a tape gives them.",
    ),
    FaultKind(
        "curve-impossible",
        "A curve can't exist",
        "No arc has these two figures, such as a chord longer than twice the radius.",
    ),
    FaultKind(
        "station-invalid",
        "A station can't be read",
        'A station is a length from the start of the plan, "end", or {"after": 2} for the end of '
        "the second plan part.",
    ),
    FaultKind(
        "leg-used-up",
        "A leg is too short for its height",
        "Each course sits back from the one below, and beside a corner that shortens a leg. Here "
        "nothing is left of it before the top. Make the leg longer or the wall lower.",
    ),
    FaultKind(
        "offset-does-not-meet",
        "The lines behind the face don't meet",
        "Two parts meet in such a way that lines moved toward the soil have no common point, so "
        "pad, stone and upper courses can't be laid out there. Change the angle or the radius.",
    ),
    FaultKind(
        "conditions-without-rates",
        "Conditions are given without rates",
        "Conditions change the hours of production rates. Name the rates, or leave them out.",
    ),
    FaultKind(
        "layout-too-large",
        "The walls step too often for one request",
        "Every step of base or top is laid out on its own, and one request may have some thousands "
        "of them. Leave out profile entries that say nothing new, or send the walls apart.",
    ),
    FaultKind(
        "profile-too-short",
        "A profile has too few stations",
        "A profile needs at least its first and last station: 0 and the end of the plan.",
    ),
    FaultKind(
        "station-unknown-part",
        "A station names a part the plan does not have",
        'With {"after": n} the parts of the plan are counted from 1.',
    ),
    FaultKind(
        "top-or-exposed",
        "A profile entry needs either top or exposed",
        "Give the level of the top, or how much of the wall is to show (top = front grade + "
        "exposed), not both.",
    ),
    FaultKind(
        "top-below-front-grade",
        "A top lies below the ground in front",
        "The requested top must not lie below the front grade of the same station.",
    ),
    FaultKind(
        "wall-too-high",
        "A wall is higher than the service lays out",
        "The message gives the bound.",
    ),
    FaultKind(
        "no-course",
        "A wall has no course",
        "No unit stands anywhere: top and ground are too close.",
    ),
    FaultKind(
        "front-slope-unsupported",
        "The section does not allow this slope in front",
        "The typical section says how deep a wall stands by the slope in front of it, and has no "
        "row for one this steep. Choose another section or a flatter slope.",
    ),
)

# Existing ground: how it was measured.
REQUEST: tuple[FaultKind, ...] = (
    FaultKind(
        "wall-name-twice",
        "Two walls have one name",
        "Names of walls are unique in a request; left out they are wall-1, wall-2 and so on.",
    ),
    FaultKind(
        "walls-wait-for-each-other",
        "Walls stand before each other in a circle",
        "The trench of an upper wall is opened when the lower one is backfilled, so no wall can be "
        "below itself. Name each lower wall once below its upper one.",
    ),
    FaultKind(
        "opening-not-quoted",
        "A wall with an opening can't be quoted yet",
        "Steps and other openings in a wall are not quoted by this version. Send the walls on both "
        "sides as walls of their own with finished ends, and the steps among the extras.",
    ),
    FaultKind(
        "outlet-height-twice",
        "The height of the outlet is given twice",
        "How high the drain's outlet lies is given by its fall or by its level, not both.",
    ),
    FaultKind(
        "alternative-empty",
        "An alternative changes nothing",
        "An alternative of a comparison names another wall system, another section or both.",
    ),
    FaultKind(
        "comparison-empty",
        "Nothing is compared",
        "A comparison needs alternatives, or asks for heights_that_fit.",
    ),
    FaultKind(
        "comparison-too-large",
        "A comparison asks for too much at once",
        "The message gives the bound. Compare fewer walls at a time.",
    ),
)

# Price lists that are published.
PUBLISHED: tuple[FaultKind, ...] = (
    FaultKind(
        "change-unclear",
        "It is not clear which change is meant",
        "A change sets prices, removes items or adjusts prices, and an adjustment takes a factor "
        "or an amount. Several changes stand one after the other in the list.",
    ),
    FaultKind(
        "adjusts-nothing",
        "An adjustment fits no item",
        "No item of the latest revision has this supplier and this group. Write them as they stand "
        "in the price list.",
    ),
    FaultKind(
        "unknown-item",
        "An item is not known",
        "The item does not stand in the latest revision of the price list. The hint names the "
        "nearest one that does.",
    ),
    FaultKind(
        "wage-not-hourly", "A wage is not per hour", 'A wage is paid for an hour: `"per": "h"`.'
    ),
    FaultKind(
        "burden-without-wage",
        "A burden stands without a wage",
        "The burden is a share of the wage, so it needs one.",
    ),
    FaultKind(
        "cost-unclear",
        "It is not clear what an item costs",
        "An item has either a unit_cost or a wage.",
    ),
    FaultKind(
        "minimum-missing",
        "A charge below a minimum has no minimum",
        "below_minimum is charged for an order below minimum_order, so it needs one.",
    ),
)

# Suppliers' files.
FILES: tuple[FaultKind, ...] = (
    FaultKind(
        "file-too-large",
        "A file is larger than any price list",
        "A file may have 16 MiB, a sheet 100,000 rows and 200 columns. Save the prices alone.",
    ),
    FaultKind("file-empty", "A file has no prices", "No row below the headings names an item."),
    FaultKind(
        "file-encoding",
        "A file is not in the encoding it should be in",
        'CSV is read as UTF-8. Save it as "CSV UTF-8", or say encoding in the column mapping.',
    ),
    FaultKind("csv-invalid", "A file is not CSV", "The message names the line and what was found."),
    FaultKind(
        "workbook-invalid",
        "A workbook can't be read",
        "The file is no XLSX workbook, is locked, or takes more memory or time to read than any "
        "price list. Save it again with the prices alone, or as CSV UTF-8.",
    ),
    FaultKind("no-such-sheet", "A workbook has no such sheet", "The hint lists the sheets."),
    FaultKind(
        "heading-missing",
        "A heading is missing",
        "The file needs columns for the item, its cost and what the cost is per. The column "
        "mapping says what they are headed, and in which row the headings stand.",
    ),
    FaultKind(
        "heading-twice", "Two columns have one heading", "It can't be known which one is meant."
    ),
    FaultKind(
        "item-twice",
        "An item stands in two rows",
        "One item has one price. The message names the other row.",
    ),
    FaultKind(
        "decimal-comma",
        "A cost can be read in two ways",
        "1,234 may be more than a thousand or little more than one. The column mapping says what "
        "stands before decimals (decimal) and between thousands (thousands).",
    ),
    FaultKind(
        "unknown-unit",
        "A unit of sale is not known",
        "The column mapping says what a supplier's unit is, such as CWT: 100 lb.",
    ),
)

# Prices, labor and terms.
PRICE: tuple[FaultKind, ...] = (
    FaultKind(
        "amount-too-large",
        "An amount is too large to be kept",
        "Amounts are kept in whole minor units of the currency, up to 9,223,372,036,854,775,807. "
        "Look for a unit cost or a length with too many digits.",
    ),
    FaultKind(
        "price-missing",
        "An item has no price",
        "The quantities need an item that the prices don't hold. Add it to the price list, or give "
        "its cost in prices.",
    ),
    FaultKind(
        "prices-unclear",
        "It is not clear which prices are meant",
        "Prices come from a price list of the catalog (price_list), or stand in the request (items "
        "with their currency), not both.",
    ),
    FaultKind(
        "reinforcement-not-in-section",
        "The section names no sheet to reinforce with",
        "Layers are asked for in screening.reinforcement, and the section has no [reinforcement] "
        "table with the item of a sheet. Choose a section that has one, or ask for none.",
    ),
    FaultKind(
        "price-unit-mismatch",
        "A price is in a unit the item is not sold in",
        "A price is per the item's sold unit or one of the same dimension, which is converted.",
    ),
    FaultKind(
        "sold-unit-unreachable",
        "An item's quantity can't be turned into the unit it is sold in",
        "The material's file needs a weight or a volume that leads from one unit to the other.",
    ),
    FaultKind(
        "reinforcement-data-missing",
        "An item is to be laid as reinforcement, and its rolls aren't known",
        "Its material file needs the table reinforcement: strength, width and length of a roll.",
    ),
    FaultKind(
        "reinforcement-longer-than-roll",
        "A layer of reinforcement is longer than a roll of it",
        "Sheets are not joined across the wall. Take an item with longer rolls, or a lower wall.",
    ),
    FaultKind(
        "site-work-quantity-mismatch",
        "A quantity of site work is in another dimension than its task",
        "Each task says what it is measured by. A count is a plain whole number.",
    ),
    FaultKind(
        "site-work-machine-missing",
        "A task of site work needs a machine that the rates don't have",
        "Add the machine to the rates, name other rates, or give the task's file hours by hand.",
    ),
    FaultKind(
        "item-counted-two-ways",
        "One item is counted in two dimensions",
        "An item is bought once, so all that a quote needs of it is measured alike. Let the task's "
        "file give its amount as the others do, or name an item of its own.",
    ),
    FaultKind(
        "item-bought-and-tipped",
        "One item is both bought and carried away",
        "An item has one price. What is tipped needs an item of its own.",
    ),
    FaultKind(
        "nothing-to-price", "There is nothing to price", "The request has no quantity and no extra."
    ),
    FaultKind(
        "currency-mismatch",
        "Two currencies meet in one quote",
        "Prices, wages and terms of one quote are in one currency.",
    ),
    FaultKind(
        "too-many-places",
        "An amount has more places than its currency",
        "Amounts carry at most the places of the currency's minor unit; unit costs up to six.",
    ),
    FaultKind(
        "margin-not-below-one",
        "A margin is not below 1",
        "A margin is a share of the price, so it is below 1. A share of the cost is a markup.",
    ),
    FaultKind(
        "crew-day-too-short",
        "The fixed hours fill the crew's day",
        "The hours that each day takes leave no time for work. Look at the rates' fixed hours.",
    ),
    FaultKind(
        "crew-wage-ambiguous",
        "A crew's hour has two costs",
        "A crew's hour is priced by an item of the price list or by a wage, the same everywhere.",
    ),
)
