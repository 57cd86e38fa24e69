"""What stands around a document that is shown under a link: where else to go, what became of it,
and the forms by which a customer answers. Texts are final, as in the document's tree."""

from __future__ import annotations

from dataclasses import dataclass, field

NAME, AGREES, MARK, ANSWER = "name", "agrees", "mark", "answer"


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A place to go from here."""

    text: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldError:
    """What is wrong with a field of the form, by the field's name."""

    field: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerForm:
    """The forms of an answer: a yes with a name and a sentence that is ticked, or a no.

    `mark` is that of the sentence, so that what is ticked is what was read. `typed` is the name as
    it came, where it is asked for once more.
    """

    address: str
    heading: str
    name_label: str
    sentence: str
    mark: str
    record: str
    accept: str
    decline_heading: str
    decline_text: str
    decline: str
    errors_heading: str
    typed: str = ""
    errors: tuple[FieldError, ...] = ()

    def error_of(self, name: str) -> str:
        """What is wrong with a field; empty where nothing is."""
        return next((error.text for error in self.errors if error.field == name), "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What stands around a document: `note` says what became of it."""

    ways: tuple[Way, ...] = ()
    ways_name: str = ""
    note: str = ""
    form: AnswerForm | None = field(default=None)
