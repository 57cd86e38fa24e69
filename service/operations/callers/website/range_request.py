"""What a website sends: answers, and where a visitor agrees how he is reached."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field

from service.catalog import Catalog
from service.catalog.documents.company import Language
from service.catalog.documents.website import Website
from service.core.errors import Fault, QuoteFaultsError, QuoteRefusedError
from service.fields import Id, StrictModel, short_text
from service.operations.callers.website.answers import ANSWERS
from service.operations.callers.website.lead_request import LeadRequest
from service.operations.callers.website.price_range import range_document
from service.operations.ruled import read_document

MOST_ANSWERS = 40
_LONGEST_TRAP = 2000


class FormChangedError(QuoteRefusedError):
    """The answers are those to another version of the form."""

    code = "form-changed"

    def __init__(self, sent: int, version: int) -> None:
        super().__init__(
            f"The answers are those to version {sent} of the form, and it is version {version} "
            "now: read the form again."
        )


class WebsiteUnknownError(QuoteRefusedError):
    """There is no such website in the catalog, or nobody says which one."""

    code = "unknown-website"

    def __init__(self, website: str) -> None:
        named = f"no website {website!r}" if website else "no website, or several of them"
        super().__init__(f"The catalog has {named}; a key for a website names its entry.")


class PriceRangeRequest(StrictModel):
    """The answers to a website's form, flat; which questions there are says the form."""

    answers: dict[Id, Annotated[str, short_text("40")]] = Field(max_length=MOST_ANSWERS)
    lead: LeadRequest | None = Field(None, description="How the visitor is reached, if he agrees.")
    form_version: int = Field(ge=1, le=1_000_000, description="As it stands in the form.")
    website: str = Field(
        "", max_length=_LONGEST_TRAP, description="A field that people don't see: it stays empty."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadRange:
    """A request that was read: what is calculated, and the lead that is to be kept, if one is."""

    document: dict[str, Any]
    lead: LeadRequest | None


def site_of(catalog: Catalog, website: str) -> Website:
    """The website that a caller's key names; without one the only one there is.

    Raises WebsiteUnknownError.
    """
    entries = catalog.websites
    name = website or (next(iter(entries)) if len(entries) == 1 else "")
    if name not in entries:
        raise WebsiteUnknownError(website)
    return entries[name].core


def read_range(received: object, site: Website, catalog: Catalog, language: Language) -> ReadRange:
    """What a website sent. Nothing is kept of who filled in what people don't see.

    Raises QuoteFaultsError with every fault of one pass, FormChangedError.
    """
    _check_version(received, site)
    faults: list[Fault] = []
    document, request = None, None
    try:
        request = read_document(PriceRangeRequest, received, catalog)
    except QuoteFaultsError as error:
        faults += error.faults
    try:
        document = range_document(site, _answers(received), language)
    except QuoteFaultsError as error:
        told = {fault.at for fault in faults}
        faults += [fault for fault in error.faults if (ANSWERS,) not in told | {fault.at}]
    if request is not None and request.lead is not None and site.consent is None:
        message = "this website takes no leads"
        faults.append(Fault(code="leads-not-taken", at=("lead",), message=message))
    if faults or request is None or document is None:
        raise QuoteFaultsError(_once(faults))
    return ReadRange(document=document, lead=None if request.website else request.lead)


def _check_version(received: object, site: Website) -> None:
    sent = received.get("form_version") if isinstance(received, Mapping) else None
    if isinstance(sent, int) and not isinstance(sent, bool) and sent != site.form_version:
        raise FormChangedError(sent, site.form_version)


def _answers(received: object) -> Mapping[str, str]:
    """The answers that are text: of the others the model speaks."""
    given = received.get(ANSWERS) if isinstance(received, Mapping) else None
    if not isinstance(given, Mapping):
        return {}
    return {name: value for name, value in given.items() if isinstance(value, str)}


def _once(faults: list[Fault]) -> list[Fault]:
    """One fault for each place: the first that was found."""
    found: dict[tuple[str | int, ...], Fault] = {}
    for fault in faults:
        found.setdefault(fault.at, fault)
    return list(found.values())
