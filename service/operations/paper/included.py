"""What a price holds beside the work itself, and what it leaves out, in plain words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import get_args

from service.catalog.documents import Company
from service.core.closed_list import row_each
from service.core.job.terms import Excluded
from service.core.price.cost import extra_item
from service.documents.words import Words, msgid
from service.operations.paper.subject import PricedSubject
from service.operations.quoting.answer import NeededAnswer

_LEFT_OUT: Mapping[Excluded, str] = row_each(
    get_args(Excluded),
    {
        "permit": msgid("The permit, and what comes with it."),
        "engineering": msgid("The engineer's work."),
        "guard": msgid("A guard at the top of the wall."),
        "freight": msgid("Freight of the goods."),
        "pallets": msgid("Deposits on pallets."),
        "downspouts": msgid("Leading the downspouts above past the wall."),
        "spring": msgid("Catching the spring and leading it away."),
        "surface": msgid("A new surface where the work has been: seed, sod or paving."),
        "run": msgid("The run from the drain to its outlet."),
        "drainage": msgid("Drainage beyond what the wall itself holds."),
    },
)
# Where only some goods are meant, the answer names them after these words.
_OF_GOODS: Mapping[Excluded, tuple[str, str]] = MappingProxyType(
    {
        "freight": ("freight of ", msgid("Freight of {goods}.")),
        "pallets": ("deposits on the pallets of ", msgid("Deposits on the pallets of {goods}.")),
    }
)
_NOT_PRICED: Mapping[str, str] = MappingProxyType(
    {
        "labor": msgid("Labor and machines."),
        "earthwork": msgid("Digging, filling and hauling: the ground was not measured."),
        "terms": msgid("Overhead, profit and tax."),
        "drainage": msgid("Drainage."),
    }
)


def left_out(
    subject: PricedSubject, company: Company, words: Words, *, goods: bool = True
) -> Iterator[str]:
    """Everything that the total does not hold: by the answer, then by the company's own list.
    `goods`: those that are meant are named."""
    price = subject.answer.price
    for part in dict.fromkeys(entry.part for entry in price.not_priced):
        yield words.say(_NOT_PRICED[part])
    for entry in price.needed_not_priced:
        yield _needed(entry, words) if goods else words.say(_LEFT_OUT[entry.what])
    for text in company.excluded:
        yield words.say_data(text)


def _needed(entry: NeededAnswer, words: Words) -> str:
    begins, message = _OF_GOODS.get(entry.what, ("", ""))
    _, _, named = entry.text.partition(f": {begins}")
    if not begins or not named or named == "the goods.":
        return words.say(_LEFT_OUT[entry.what])
    goods = "; ".join(words.say_data(name) for name in named.removesuffix(".").split("; "))
    return words.say(message, goods=goods)


def allowances(subject: PricedSubject) -> Iterator[tuple[str, str]]:
    """Sums in the total that stand for work of others, each with its price: the extras that the
    terms set aside, after those of the request."""
    asked = range(1, len(subject.quote.job.extras) + 1)
    own = {extra_item(position) for position in asked}
    for line in subject.answer.price.lines:
        if line.group == "extras" and line.item not in own:
            yield line.description, line.price
