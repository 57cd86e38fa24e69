"""What pydantic found, as faults of the domain: real paths, stable codes, plain sentences.

pydantic puts the branch of a union into its paths and its own words into messages. Here each path
is followed through the model's schema (places.py), of a union the branch that came farthest speaks
(branches.py), and each kind of error gets a code and words of ours (words.py). Nothing of what
came in is passed on but a short excerpt.
"""

from __future__ import annotations

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from service.core.errors import MOST_FAULTS, Fault, Path
from service.core.near_words import LONGEST_WORD, NearWords
from service.faults.branches import worth_telling
from service.faults.places import Model, Place, Walker
from service.faults.words import say
from service.units import found

__all__ = ["FURTHER", "Model", "faults_from", "pointer"]
FURTHER = Fault(code="request-invalid", at=(), message="a further fault")


def faults_from(error: ValidationError, model: Model) -> tuple[Fault, ...]:
    """The faults that pydantic found in a document of `model`, in pydantic's order: those of the
    first `MOST_FAULTS` errors. Where there are so many, `FURTHER` stands for what nobody names.

    Of an untagged union, where every branch complains, the branch that came farthest speaks.
    The first unknown words are compared with the known ones, as far as `NearWords` goes.
    """
    walker = Walker(model)
    details = error.errors(include_url=False)[:MOST_FAULTS]
    is_whole = len(details) < MOST_FAULTS
    placed = [(walker.place(detail["loc"]), detail) for detail in details]
    hints = NearWords()
    faults = tuple(_to_fault(place, detail, hints) for place, detail in worth_telling(placed))
    return faults if is_whole else faults + (FURTHER,) * (MOST_FAULTS - len(faults))


def pointer(path: Path) -> str:
    """A path as RFC 6901 writes it: `/walls/0/plan/3/length`; of the whole document, nothing."""
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in path)


def _to_fault(place: Place, detail: ErrorDetails, hints: NearWords) -> Fault:
    said = say(place, detail, hints)
    at = (*place.at, *said.below)
    joint = " " if said.message.startswith("is ") else ": "
    message = f"{_name(at)}{joint}{said.message}"
    return Fault(code=said.code, at=at, message=message, hint=said.hint or None)


def _name(at: Path) -> str:
    """A short name of a place: its last key with the numbers after it, `plan[3]`."""
    numbers = ""
    for part in reversed(at):
        if isinstance(part, str):
            return (
                part if len(part) <= LONGEST_WORD and part.isprintable() else found(part)
            ) + numbers
        numbers = f"[{part}]{numbers}"
    return f"the document{numbers}"
