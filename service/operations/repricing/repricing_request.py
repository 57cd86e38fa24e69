"""What a caller sends to re-price saved quotes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag
from pydantic_core import PydanticCustomError

from service.catalog.documents.price_list import Revision
from service.fields import Id, IsoDate, MoneyText, RatioText, ShortText, StrictModel, refused
from service.operations.ruled import RuledModel
from service.storage.quote_filter import QuoteFilter

MOST_NAMED = 1000
# States in which a quote can be re-priced: a draft, and one that is out.
Repriceable = Literal["draft", "issued"]


class ChosenQuotes(StrictModel):
    """Which saved quotes are re-priced: those of which the draft, or the revision that is issued,
    fits all that is given. `ids` and `references` name quotes: either will do, and one that isn't
    there, or has neither, is a failed item."""

    ids: tuple[Id, ...] | None = Field(None, strict=False, min_length=1, max_length=MOST_NAMED)
    references: tuple[ShortText, ...] | None = Field(
        None, strict=False, min_length=1, max_length=MOST_NAMED
    )
    states: tuple[Repriceable, ...] | None = Field(
        None,
        strict=False,
        min_length=1,
        max_length=2,
        description="`issued`: quotes whose price is out, whatever newer draft stands; that "
        "price is what new ones are compared with.",
    )
    title: ShortText | None = Field(None, description="A part of the title, in any case.")
    price_list: Id | None = Field(
        None,
        description="What they are priced on now; the target's own list where neither this nor "
        "ids nor references are given.",
    )
    price_list_revision: Revision | None = None
    issued_from: IsoDate | None = None
    issued_to: IsoDate | None = None
    valid_until_from: IsoDate | None = None
    valid_until_to: IsoDate | None = None
    total_from: MoneyText | None = None
    total_to: MoneyText | None = None

    def to_filter(self, target: str) -> QuoteFilter:
        """The filter in the words of storage, all but the states."""
        named = self.ids is not None or self.references is not None
        return QuoteFilter(
            ids=self.ids,
            references=self.references,
            title=self.title,
            price_list=self.price_list or (None if named else target),
            price_list_revision=self.price_list_revision,
            issued_from=self.issued_from,
            issued_to=self.issued_to,
            valid_until_from=self.valid_until_from,
            valid_until_to=self.valid_until_to,
            total_from=self.total_from,
            total_to=self.total_to,
        )


class RepricingRequest(RuledModel):
    """A preview on a revision of a price list, or the writing of what a preview showed."""

    mode: Literal["preview", "write"] = "preview"
    preview: Id | None = Field(None, description="For a write: the id of its preview.")
    price_list: Id | None = None
    revision: Annotated[
        Annotated[Revision, Tag("number")] | Annotated[Literal["latest"], Tag("text")],
        Discriminator(lambda value: "text" if isinstance(value, str) else "number"),
    ] = "latest"
    quotes: ChosenQuotes = Field(default_factory=ChosenQuotes)
    include_issued: bool = Field(
        False, description="Re-price quotes that are out as well, as a new draft."
    )
    margin_floor: RatioText | None = Field(
        None, description="Quotes whose old price leaves less than this are flagged."
    )

    @property
    def states(self) -> tuple[Repriceable, ...]:
        """What is re-priced: drafts, prices that are out, or both."""
        both: tuple[Repriceable, ...] = ("draft", "issued")
        return self.quotes.states or (both if self.include_issued else both[:1])

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """A write repeats its preview and names nothing else; issued quotes are asked for."""
        if document.get("mode", "preview") == "write":
            if "preview" not in document:
                message = "a write names the preview that it carries out"
                yield refused("field-missing", message, "the id of a preview", at=("preview",))
            for key in sorted(document.keys() - {"mode", "preview"}):
                message = f"a write is what its preview showed; {key} was settled there"
                yield refused("write-names-more", message, "leave it out", at=(key,))
            return
        if "price_list" not in document:
            message = "a preview needs the price list to re-price on"
            yield refused("field-missing", message, 'such as "demo_2026"', at=("price_list",))
        if "preview" in document:
            message = "only a write names a preview"
            yield refused("preview-names-preview", message, "leave it out", at=("preview",))
        chosen = document.get("quotes")
        states = chosen.get("states") if isinstance(chosen, Mapping) else None
        issued = isinstance(states, list) and "issued" in states
        if issued and document.get("include_issued") is not True:
            message = "issued quotes are re-priced only with include_issued"
            yield refused(
                "issued-not-included", message, '"include_issued": true', at=("quotes", "states")
            )
