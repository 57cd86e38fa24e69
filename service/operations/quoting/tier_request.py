"""Walls one above the other, as a request names them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pydantic import Field, ValidationError
from pydantic_core import InitErrorDetails, PydanticCustomError

from service.core.job.spec import Tier
from service.core.near_words import NearWords
from service.fields import PositiveLength, ShortText, StrictModel, refused

MOST_TIERS = 100


class TierRequest(StrictModel):
    """A lower and an upper wall of the request, by name."""

    lower: ShortText = Field(description="Name of the wall in front.")
    upper: ShortText = Field(description="Name of the wall above and behind it.")
    offset: PositiveLength = Field(
        description="From face to face at the base; the upper wall begins opposite the lower one's "
        "start."
    )

    def to_core(self) -> Tier:
        """The core's tier."""
        return Tier(lower=self.lower, upper=self.upper, offset_m=self.offset)


def check_tiers(tiers: Sequence[TierRequest], names: Sequence[str]) -> None:
    """Raise every fault of the tiers among walls of these names, as pydantic.ValidationError:
    an unknown wall, a wall on itself, a pair twice, tiers in a circle."""
    broken = [*_names(tiers, names), *_pairs(tiers)] or list(_circle(tiers))
    if broken:
        details = [InitErrorDetails(type=fault, loc=at, input=None) for at, fault in broken]
        raise ValidationError.from_exception_data("tiers", details)


Broken = tuple[tuple[int | str, ...], PydanticCustomError]


def _names(tiers: Sequence[TierRequest], names: Sequence[str]) -> Iterator[Broken]:
    near = NearWords()
    for index, tier in enumerate(tiers):
        for key, name in (("lower", tier.lower), ("upper", tier.upper)):
            if name not in names:
                message = f"there is no wall {name[:80]!r} in the request"
                hint = near.nearest(name, names) or f"one of: {', '.join(names[:10])}"
                yield (index, key), refused("unknown-wall", message, hint)


def _pairs(tiers: Sequence[TierRequest]) -> Iterator[Broken]:
    seen: dict[tuple[str, str], int] = {}
    for index, tier in enumerate(tiers):
        pair = (tier.lower, tier.upper)
        if tier.lower == tier.upper:
            message = f"{tier.upper[:80]!r} can't stand above itself"
            yield (index, "upper"), refused("tier-on-itself", message, "the name of another wall")
        elif pair in seen:
            message = f"tiers {seen[pair] + 1} and {index + 1} are the same two walls"
            yield (index,), refused("tier-twice", message, "leave one of them out")
        seen.setdefault(pair, index)


def _circle(tiers: Sequence[TierRequest]) -> Iterator[Broken]:
    """The first tier that closes a circle with those before it."""
    above: dict[str, list[str]] = {}
    for index, tier in enumerate(tiers):
        if _reaches(above, tier.upper, tier.lower):
            message = f"{tier.upper[:80]!r} stands below {tier.lower[:80]!r} already"
            hint = "the lower wall as lower, the upper one as upper"
            yield (index,), refused("tiers-in-a-circle", message, hint)
            return
        above.setdefault(tier.lower, []).append(tier.upper)


def _reaches(above: dict[str, list[str]], start: str, goal: str) -> bool:
    """Whether one wall stands, directly or not, above another."""
    waiting, seen = [start], [start]
    while waiting:
        for name in above.get(waiting.pop(), ()):
            if name == goal:
                return True
            if name not in seen:
                seen.append(name)
                waiting.append(name)
    return False
