"""What stands in a catalog entry, or inline in a request in the place of one."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "angle-out-of-range",
        "An angle is out of range",
        "The message gives the bounds.",
    ),
    ProblemKind(
        "wage-not-hourly",
        "A wage is not per hour",
        'A wage is paid for an hour: `"per": "h"`.',
    ),
    ProblemKind(
        "burden-without-wage",
        "A burden stands without a wage",
        "The burden is a share of the wage, so it needs one.",
    ),
    ProblemKind(
        "cost-unclear",
        "It is not clear what an item costs",
        "An item has either a unit_cost or a wage.",
    ),
    ProblemKind(
        "minimum-missing",
        "A charge below a minimum has no minimum",
        "below_minimum is charged for an order below minimum_order, so it needs one.",
    ),
    ProblemKind(
        "version-invalid",
        "A version can't be read",
        "A version has letters, digits, points, dashes and underscores, at most 32.",
    ),
    ProblemKind(
        "source-incomplete",
        "A published source isn't named",
        "A source of the kind published has title, edition, where it stands and when it was "
        "read, so that a reader can find it.",
    ),
    ProblemKind(
        "code-invalid",
        "A code can't be read",
        "A caution's code has lower-case letters, digits and dashes, at most 64, such as "
        "permit-height.",
    ),
    ProblemKind(
        "currency-invalid",
        "A currency can't be read",
        "A currency is three capital letters (ISO 4217), such as USD.",
    ),
    ProblemKind(
        "currency-unknown",
        "There is no such currency",
        "The service knows the currencies of ISO 4217.",
    ),
    ProblemKind(
        "currency-missing",
        "An amount has no currency",
        "Amounts in money need the currency they are in: give it beside them.",
    ),
    ProblemKind(
        "place-invalid",
        "A place in a quote request can't be read",
        "A place names keys of a quote request, each after a slash, with * for any place of a "
        'list: such as "/walls/*/surcharge".',
    ),
    ProblemKind(
        "what-if-unclear",
        "Another value of an assumption is not clear",
        "A change has a place and one of value, table, list or above_top; above_top is of a back "
        "grade alone. A place has as many * as what is assumed, at least.",
    ),
    ProblemKind(
        "file-name-invalid",
        "The name of a file can't be read",
        "A picture is named by the file beside this one: lower-case letters, digits, dashes and "
        'underscores, and .svg or .png, such as "logo.svg".',
    ),
    ProblemKind(
        "number-format-invalid",
        "The format of quote numbers can't be read",
        "Letters, digits and dashes around {number}, which may be padded like {number:04}, and, "
        'if wanted, {year}: such as "Q-{year}-{number:04}".',
    ),
    ProblemKind(
        "stages-incomplete",
        "Payments don't add up",
        "The stages divide what the deposit leaves: their shares add up to 1.",
    ),
    ProblemKind(
        "amount-invalid",
        "An amount can't be read",
        'An amount is a figure above 0 with a unit, such as "40 ft" or "50 lb".',
    ),
    ProblemKind(
        "increment-not-sold",
        "An increment doesn't fit how an item is sold",
        "The smallest step of an order is in the unit the item is sold in. A pack has none, as "
        "packs are whole.",
    ),
    ProblemKind(
        "pack-incomplete",
        "A pack is not described",
        "What is sold by the pack says what is in one and what it is called.",
    ),
    ProblemKind(
        "pack-unused",
        "A pack is described that nothing is sold by",
        "pack and pack_word belong to what is sold by the pack.",
    ),
    ProblemKind(
        "sold-not-counted",
        "An item isn't sold in what it is counted in",
        "The unit of sale, or the content of a pack, is in the dimension in which items of this "
        "group are counted.",
    ),
    ProblemKind(
        "weight-missing",
        "A weight is missing",
        "What is measured by volume and sold by weight needs the weight of a loose volume.",
    ),
    ProblemKind(
        "weight-unused",
        "A weight has no meaning here",
        "A weight of a piece is for what is sold by the piece; what is poured has a weight by "
        "volume.",
    ),
    ProblemKind(
        "reinforcement-group",
        "A sheet is in another group",
        "What has a table reinforcement is of the group reinforcement.",
    ),
    ProblemKind(
        "roll-not-sold",
        "A sheet isn't sold by the roll",
        "Sheets are cut from whole rolls: they are sold by the pack, with the area of a roll as "
        "its content.",
    ),
    ProblemKind(
        "roll-area-disagrees",
        "Width times length of a roll isn't its content",
        "Width and length of a roll give the area that stands as its content, within 2 %.",
    ),
    ProblemKind(
        "factor-below-one",
        "A reduction factor is below 1",
        "Reduction factors divide a sheet's strength: they are 1 or more.",
    ),
    ProblemKind(
        "interaction-zero",
        "A sheet has no friction with soil",
        "Without friction nothing would hold the sheet: the coefficient is more than 0, such as "
        "0.7.",
    ),
    ProblemKind(
        "most-below-strength",
        "A largest strength is below the strength at no load",
        "A strength that grows with load begins at strength and ends at most, so most isn't "
        "smaller.",
    ),
    ProblemKind(
        "face-area-disagrees",
        "A face area isn't length times height",
        "The face area of a unit is its length times its height within 2 %, or a note says why "
        "not.",
    ),
    ProblemKind(
        "void-too-large",
        "The holes of a unit are as large as the unit",
        "The volume of holes is below face length times height times depth.",
    ),
    ProblemKind(
        "setback-too-large",
        "A setback is as large as the unit is deep",
        "The setback says how far each course sits behind the one below; the unit is deeper "
        "than that.",
    ),
    ProblemKind(
        "overhang-too-large",
        "A cap's overhang is as large as the cap is deep",
        "The overhang says how far the cap's front stands before the face; the cap is deeper than "
        "that.",
    ),
    ProblemKind(
        "check-elsewhere",
        "A table of a screening basis asks for a check that is not made there",
        "Checks of a plain stack stand in [gravity], those of layers in [reinforced]; distance of "
        "tiers, the slope as a whole and water have no figure there.",
    ),
    ProblemKind(
        "plumb-missing",
        "A screening basis doesn't say up to which batter a face is taken as plumb",
        "The method of this basis takes a face as plumb under a batter: give plumb_under.",
    ),
    ProblemKind(
        "slope-twice",
        "A slope stands in two rows",
        "Each row of the table is for another slope; sort them from flat to steep.",
    ),
    ProblemKind(
        "share-falls",
        "A steeper slope has a smaller share",
        "Embedment grows with the slope in front: a steeper row has the share of the row "
        "before, or more.",
    ),
    ProblemKind(
        "weights-disagree",
        "Two weights of a soil disagree",
        "The weight and what follows from the other figures of the soil agree within 2 %.",
    ),
    ProblemKind(
        "profit-basis",
        "It is not clear what profit is taken of",
        "Profit is either a markup on cost or a margin of the price.",
    ),
    ProblemKind(
        "kind-twice",
        "A kind of cost stands twice",
        "A tax names each kind of cost it is on once.",
    ),
    ProblemKind(
        "limit-missing",
        "A caution has no limit",
        "Its trigger is given beyond a limit: state above or below, as the hint shows.",
    ),
    ProblemKind(
        "limit-unused",
        "A caution has a limit that its trigger doesn't take",
        "The message says what the trigger takes.",
    ),
    ProblemKind(
        "figure-unmarked",
        "A caution's figure stands without braces",
        "A figure with a unit is written `{4 ft}`, so that each quote reads it in its own units.",
    ),
    ProblemKind(
        "limit-invalid",
        "A limit can't be read",
        'A limit is text with its unit, such as "4 ft".',
    ),
    ProblemKind(
        "month-twice",
        "A month stands twice",
        "Each month of a season stands once, from 1 to 12.",
    ),
    ProblemKind(
        "within-invalid",
        "A distance between tiers can't be read",
        'It is a number of heights of the taller wall, such as "2", or "always".',
    ),
    ProblemKind(
        "respirator-unclear",
        "A respirator has no hours or no protection factor",
        "`respirator_over` and `protection` are given together, or neither.",
    ),
    ProblemKind(
        "tool-twice",
        "A tool has two rows",
        "What a place asks for against dust stands once for each tool.",
    ),
    ProblemKind(
        "rows-not-rising",
        "Rows don't rise",
        "Lifts a minute must rise from row to row.",
    ),
)
