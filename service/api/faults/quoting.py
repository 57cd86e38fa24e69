"""What a request for quotes asks, beside its fields."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

# Entries of the catalog that aren't there. In a path the status is 404, in a body 422.
_UNKNOWN = tuple(
    ProblemKind(
        f"unknown-{kind}",
        f"There is no such {words}",
        f"There is no {words} with this id. The message or the hint names the nearest known one."
        + (f" GET {path} lists all of them." if path else ""),
    )
    for kind, words, path in (
        ("wall-system", "wall system", "/v1/wall-systems"),
        ("section", "typical section", "/v1/sections"),
        ("soil", "soil", "/v1/soils"),
        ("material", "material", "/v1/materials"),
        ("production-rates", "set of production rates", "/v1/production-rates"),
        ("site-work", "task of site work", "/v1/site-work"),
        ("terms", "set of terms", "/v1/terms"),
        ("screening-basis", "rule book of screening", "/v1/screening-bases"),
        ("load", "load", "/v1/loads"),
        ("jurisdiction", "jurisdiction", "/v1/jurisdictions"),
        ("price-list", "price list", "/v1/price-lists"),
        ("revision", "revision of the price list", ""),
    )
)

KINDS = (
    ProblemKind(
        "wrapper-missing",
        "A quote request stands under the key `quote` here",
        "Comparisons and saved quotes take more than a quote request, so that stands under "
        '`quote`: {"quote": {"units": "us", …}}.',
    ),
    ProblemKind(
        "wrapper-doubled",
        "A quote request is sent without a key around it",
        "POST /v1/quotes, and each line or entry of a batch, take the quote request itself. Send "
        "what stands in `quote`.",
    ),
    ProblemKind(
        "unknown-machine",
        "Nobody knows this machine",
        "`machines_off` names machines of the production rates; the hint gives the nearest one. "
        "GET /v1/production-rates/{id} lists them.",
    ),
    *_UNKNOWN,
    ProblemKind(
        "wall-name-twice",
        "Two walls have one name",
        "Names of walls are unique in a request; left out they are wall-1, wall-2 and so on.",
    ),
    ProblemKind(
        "opening-not-quoted",
        "A wall with an opening can't be quoted yet",
        "Steps and other openings in a wall are not quoted by this version. Send the walls on "
        "both sides as walls of their own with finished ends, and the steps among the extras.",
    ),
    ProblemKind(
        "outlet-height-twice",
        "The height of the outlet is given twice",
        "How high the drain's outlet lies is given by its fall or by its level, not both.",
    ),
    ProblemKind(
        "alternative-empty",
        "An alternative changes nothing",
        "An alternative of a comparison names another wall system, another section or both.",
    ),
    ProblemKind(
        "comparison-empty",
        "Nothing is compared",
        "A comparison needs alternatives, or asks for heights_that_fit.",
    ),
    ProblemKind(
        "comparison-too-large",
        "A comparison asks for too much at once",
        "What a request will take of the machine is known from its size before it runs, and "
        "every alternative is a quote of its own. The message gives what it comes to and the "
        "bound. Compare fewer walls at a time, or with fewer alternatives.",
    ),
    ProblemKind(
        "quote-too-large",
        "A quote asks for too much at once",
        "What a request will take of the machine is known from its size before it runs: walls, "
        "plan parts, courses, steps, layers, ground to dig, survey points. The message gives "
        "what it comes to and the bound. Send the walls in several requests.",
    ),
    ProblemKind(
        "what-if-too-large",
        "What each assumption is worth is too much to quote at once",
        "With `what_if` every assumption with another plausible value is a quote of its own. The "
        "message gives what they come to together and the bound. Ask of fewer or simpler walls, "
        "state more of what is assumed, or leave `what_if` out.",
    ),
    ProblemKind(
        "grading-unclear",
        "It is not clear how an area is given",
        "An area is given by a grid of levels, by survey points, or by its size with an average "
        "depth of cut or fill: one of them. Finished ground is given once.",
    ),
    ProblemKind(
        "surcharge-twice",
        "The load behind a wall is given twice",
        "A wall takes either a surcharge as a figure, or the words of what stands above it.",
    ),
    ProblemKind(
        "load-slope-missing",
        "A slope above a wall doesn't say how steep it is",
        'Give its slope beside its word: {"what": "slope", "from": "6 ft", "slope": "3:1"}.',
    ),
    ProblemKind(
        "load-slope-unused",
        "Something above a wall has a slope that is not its own",
        "Only a slope has one. The ground right behind the wall has its own in back_slope; "
        "ground that rises farther back is an entry of its own.",
    ),
    ProblemKind(
        "load-slope-falls",
        "A slope above a wall doesn't rise",
        "What is named here rises from where it begins. Ground that falls away is left out.",
    ),
    ProblemKind(
        "tier-on-itself",
        "A wall is named as standing above itself",
        "A tier names two walls of the request, the lower one and the upper one.",
    ),
    ProblemKind(
        "tier-twice",
        "Two tiers name the same two walls",
        "Each pair of walls stands once, with its offset from face to face at the base.",
    ),
    ProblemKind(
        "tiers-in-a-circle",
        "Tiers go in a circle",
        "A wall can't stand above one that stands above it. Check which one is the lower.",
    ),
    ProblemKind(
        "curve-not-fixed",
        "A curve is not fixed by what is given",
        "A curve takes any two of radius, angle, length, chord and rise that fix it: radius and "
        "angle, or chord and rise as a tape gives them.",
    ),
    ProblemKind(
        "curve-impossible",
        "A curve can't exist",
        "No arc has these two figures, such as a chord longer than twice the radius.",
    ),
    ProblemKind(
        "station-invalid",
        "A station can't be read",
        'A station is a length from the start of the plan, "end", or {"after": 2} for the end '
        "of the second plan part.",
    ),
    ProblemKind(
        "conditions-without-rates",
        "Conditions are given without rates",
        "Conditions change the hours of production rates. Name the rates, or leave them out.",
    ),
    ProblemKind(
        "unknown-override",
        "An override is of an item that nobody knows",
        "Items are those of the price list and of the catalog's files; the hint gives the nearest. "
        "An item that is known and not on a line of this quote is an assumption, `unused`.",
    ),
    ProblemKind(
        "unknown-allowance",
        "A sum is set aside for a caution that nobody gives",
        "Sums stand under the code of a caution of some jurisdiction; the hint gives the nearest. "
        "A caution that this job doesn't give is an assumption, `unused`.",
    ),
    ProblemKind(
        "fixed-hours-range",
        "Fixed hours are given a range",
        "Hours once per job or on each day begun are one figure.",
    ),
    ProblemKind(
        "top-or-exposed",
        "A profile entry needs either top or exposed",
        "Give the level of the top, or how much of the wall is to show (top = front grade + "
        "exposed), not both.",
    ),
    ProblemKind(
        "prices-unclear",
        "It is not clear which prices are meant",
        "Prices come from a price list of the catalog (price_list), or stand in the request "
        "(items with their currency), not both.",
    ),
    ProblemKind(
        "site-work-quantity-mismatch",
        "A quantity of site work is in another dimension than its task",
        "Each task says what it is measured by. A count is a plain whole number.",
    ),
    ProblemKind(
        "survey-line-invalid",
        "A line of the survey can't be read",
        "The message gives the line. A line has the columns that the request states, from left "
        "to right; figures are decimals without their unit.",
    ),
    ProblemKind(
        "survey-order-contradicted",
        "The header names another order of columns",
        "The order is stated in the request. If the line of column names is right, state that one.",
    ),
    ProblemKind(
        "survey-columns-unclear",
        "The columns of the survey are not listed once each",
        "Point, northing, easting and elevation are each listed once, the description at most "
        "once, in the order in which they stand in a line.",
    ),
    ProblemKind(
        "survey-point-twice",
        "A survey point stands twice",
        "The message gives both lines. Each number stands once, and at each place one point.",
    ),
    ProblemKind(
        "survey-too-few-points",
        "There are too few survey points",
        "Three points that are not in one line are the least that make a surface.",
    ),
    ProblemKind(
        "survey-too-many-points",
        "There are too many survey points",
        "The message gives the bound. Split the area, or leave out points on even ground.",
    ),
    ProblemKind(
        "survey-points-in-line",
        "All survey points lie in one line",
        "Ground is known between points only; it takes points to both sides of a line.",
    ),
    ProblemKind(
        "engineering-not-priced",
        "The price holds no engineer",
        "`in_price` needs a line: an extra with `for: engineering`, or a sum of the terms for a "
        "caution whose code begins `engineer-` and which this job gives.",
    ),
    ProblemKind(
        "engineering-unexplained",
        "Nobody says why no engineer is needed",
        "`not_needed` comes with `because`, a text that stands in the answer.",
    ),
    ProblemKind(
        "engineering-needed",
        "An engineer is needed",
        "A wall whose stability ratio is below 1 by the first look, or one that the place wants "
        "designed, isn't settled by `not_needed`: `by_owner`, or `in_price` with a line for it.",
    ),
)
