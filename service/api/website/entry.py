"""A website of the catalog, as its page asks it: the form, and what answers come to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from starlette.requests import Request

from service import json_text
from service.api.admission.admission import Admission
from service.api.admission.limits import Limits
from service.api.admission.peers import caller_address
from service.api.dependencies import get_catalog
from service.api.v1.website.answered import answer_visitor
from service.api.website.fields import Json
from service.api.website.pages import page_handlers
from service.catalog.documents.website import Website
from service.documents.tree import Language
from service.operations.callers.website.form import form
from service.operations.callers.website.range_request import read_range, site_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A website that a visitor's request is for."""

    request: Request
    site: Website

    @property
    def languages(self) -> tuple[Language, ...]:
        """The languages it is said in."""
        return self.site.languages

    def form(self, language: Language) -> Json:
        """The form."""
        return form(self.site, language)

    async def check(self, body: Json, language: Language) -> None:
        """See that what was sent can be worked out. Raises QuoteFaultsError, FormChangedError."""
        read_range(body, self.site, get_catalog(self.request), language)

    async def answer(self, body: Json, language: Language) -> Json:
        """The range, or why somebody has to come. Raises likewise, and what storing raises.

        Counted with the calls for a price range: a page is no way around their limit.
        """
        limits: Limits = self.request.app.state.limits
        admission: Admission = self.request.app.state.admission
        scope = self.request.scope
        await limits.count(scope, caller_address(scope, admission.trusted))
        answer = await answer_visitor(self.request, self.site, language, body)
        return cast("Json", json_text.loads(bytes(answer.body)))


def find_entry(request: Request) -> Entry:
    """The website that an address names. Raises WebsiteUnknownError."""
    site = site_of(get_catalog(request), request.path_params["id"])
    return Entry(request=request, site=site)


READ, SEND = page_handlers(find_entry)
