"""A choice of a website's form: its words, and what it stands for in a quote request."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import Field

from service.catalog.documents.company import Language
from service.catalog.documents.request_part import RequestPart
from service.fields import Id, ShortText, StrictModel, refused

MOST_TASKS = 10
TextByLanguage = Mapping[Language, str]
# What says that somebody has to come and look, by the answer alone.
Look = Literal[
    "near_building",
    "near_pool",
    "old_wall_leans",
    "water_seen",
    "steep_in_front",
    "steep_behind",
    "narrow_way_in",
]
Measure = Literal["length", "face", "once"]
Question = Literal["line", "behind", "in_front", "above", "now", "way_in", "water", "when"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A task of site work, by the length of the wall, by its length and height, or done once."""

    task: str
    by: Measure


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A choice. `wall` are keys of the wall, `quote` those of the request, `bend` is the part of
    the plan in its middle; `look` says why somebody has to come."""

    question: Question
    id: str
    title: TextByLanguage
    look: Look | None = None
    bend: Mapping[str, Any] | None = None
    wall: Mapping[str, Any]
    quote: Mapping[str, Any]
    tasks: tuple[Task, ...] = ()


class TaskTable(StrictModel):
    """A task of site work that an answer brings."""

    task: Id = Field(description="An id of `site_work/`.")
    by: Measure = Field(description="What its quantity is: of the wall as it is answered.")


class ChoiceTable(StrictModel):
    """An answer to a question, and what it stands for."""

    question: Question
    id: Id
    title: dict[Language, ShortText] = Field(max_length=2)
    look: Look | None = Field(None, description="Why somebody has to come and look.")
    bend: RequestPart | None = Field(
        None, description="A curve that is the whole plan, or a corner in its middle."
    )
    wall: RequestPart = Field(default_factory=dict, description="Keys of the wall.")
    quote: RequestPart = Field(default_factory=dict, description="Keys of the request.")
    tasks: Annotated[tuple[TaskTable, ...], Field(strict=False, max_length=MOST_TASKS)] = ()

    def to_core(self) -> Choice:
        """The choice."""
        return Choice(
            question=self.question,
            id=self.id,
            title=self.title,
            look=self.look,
            bend=self.bend,
            wall=self.wall,
            quote=self.quote,
            tasks=tuple(Task(task=each.task, by=each.by) for each in self.tasks),
        )


def check_languages(what: str, text: TextByLanguage, languages: Collection[Language]) -> None:
    """Refuse a text that isn't there in one of the languages of its form."""
    missing = [language for language in languages if language not in text]
    if missing:
        message = f"{what} has no words in {' and '.join(missing)}"
        raise refused("language-missing", message, f'{missing[0]} = "…"')
