"""What differs between two API documents so that a caller of the first one breaks.

The rules are those of openapi/README.md, *What counts as a breaking change*, by their numbers; the
ones that a document shows. Answers of faults, meanings, rules over several keys, defaults, orders
and codes are not in a schema: they stay for whoever changes them to say.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from tests.openapi.shape import LOWER, UPPER, Facts, JsonDict, shape


class Breaking(NamedTuple):
    """A change that breaks callers: by which rule, of which operation, where in it, and what."""

    rule: int
    operation: str
    place: str
    what: str

    def __str__(self) -> str:
        return f"{self.rule}. {self.operation}: {self.place} {self.what}"


def breaking_changes(old: JsonDict, new: JsonDict) -> list[Breaking]:
    """All of them, in the order of the old document."""
    before, after = shape(old), shape(new)
    found: list[Breaking] = []
    for name, was in before.items():
        if name not in after:
            found.append(Breaking(1, name, "", "is gone"))
            continue
        changes = _operation_changes(was, after[name])
        found.extend(Breaking(rule, name, place, what) for rule, place, what in changes)
    return found


def _operation_changes(was: JsonDict, now: JsonDict) -> Iterator[tuple[int, str, str]]:
    for name, facts in was["parameters"].items():
        if name not in now["parameters"]:
            yield 1, name, "is gone"
        else:
            yield from _taken(facts, now["parameters"][name], name)
    for name, facts in now["parameters"].items():
        if name not in was["parameters"] and facts[""]["required"]:
            yield 4, name, "is new, and required"
    for media, facts in was["body"].items():
        if media not in now["body"]:
            yield 4, f"body {media}", "is no longer taken"
        else:
            yield from _taken(facts, now["body"][media], "body ")
    for answer, facts in was["answers"].items():
        if answer not in now["answers"]:
            yield 7, f"answer {answer}", "is gone"
        else:
            yield from _given(facts, now["answers"][answer], "answer ")
    if now["security"] and now["security"] != was["security"]:
        yield 10, "security", "asks for another key or scope"


def _taken(was: Facts, now: Facts, where: str) -> Iterator[tuple[int, str, str]]:
    """Of what callers send: whatever was accepted and no longer is."""
    for place, fact in was.items():
        here = now.get(place)
        if here is None:
            if _parent(place) in now or not place:
                yield 4, f"{where}{place}", "is no longer taken"
            continue
        if here.get("required") and not fact.get("required"):
            yield 4, f"{where}{place}", "became required"
        # In a query one value is written as a list of one.
        listed = (
            _types(now[f"{place}/*"]) if f"{place}/*" in now and " " in where.strip() else set()
        )
        if gone := _types(fact) - _types(here) - listed:
            yield 5, f"{where}{place}", f"may no longer be {', '.join(sorted(gone))}"
        if lost := _lost_words(fact, here):
            yield 9, f"{where}{place}", f"no longer has the words {', '.join(lost)}"
        for bound in _narrower(fact.get("bounds", {}), here.get("bounds", {})):
            yield 5, f"{where}{place}", f"has a narrower {bound}"
    holders = {place.rpartition("/")[0] for place in was}
    for place, fact in now.items():
        if place not in was and fact.get("required") and place.rpartition("/")[0] in holders:
            yield 4, f"{where}{place}", "is new, and required"


def _given(was: Facts, now: Facts, where: str) -> Iterator[tuple[int, str, str]]:
    """Of what callers read: whatever was there and no longer is, or is something else."""
    for place, fact in was.items():
        here = now.get(place)
        if here is None:
            if _parent(place) in now or not place:
                yield 2, f"{where}{place}", "is gone"
            continue
        if fact.get("required") and not here.get("required"):
            yield 3, f"{where}{place}", "may be absent"
        if new := _types(here) - _types(fact):
            rule = 3 if new == {"null"} else 2
            yield rule, f"{where}{place}", f"may be {', '.join(sorted(new))}"


def _parent(place: str) -> str:
    """The place of what a key or an entry stands in, branches left out of its own name."""
    above = place.rpartition("/")[0]
    return above[: above.rindex("(")] if above.endswith(")") else above


def _types(fact: JsonDict) -> set[str]:
    types = set(fact["types"])
    # Without a type anything goes; a whole number is a number.
    every = {"string", "number", "integer", "boolean", "array", "object", "null"}
    return types | {"integer"} if "number" in types else types or every


def _lost_words(was: JsonDict, now: JsonDict) -> list[str]:
    if "words" not in now or "words" not in was:
        return []
    return sorted(set(was["words"]) - set(now["words"]))


def _narrower(was: JsonDict, now: JsonDict) -> list[str]:
    upper = [name for name in UPPER if name in now and now[name] < was.get(name, float("inf"))]
    lower = [name for name in LOWER if name in now and now[name] > was.get(name, float("-inf"))]
    return [*upper, *lower]
