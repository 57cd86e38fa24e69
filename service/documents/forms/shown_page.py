"""A document as the page of a link, with what stands around it."""

from __future__ import annotations

from service.documents.forms.html import Page, policy_of, style_of, template_of
from service.documents.printed import printed
from service.documents.shown import Around
from service.documents.tree import Document


def shown_page(document: Document, around: Around) -> Page:
    """The page: it works without script, and sends its forms to where it came from."""
    style = style_of("document.css", "shown.css")
    text = template_of("shown.html.j2").render(
        document=printed(document), around=around, style=style
    )
    return Page(text, policy_of(style, "'self'" if around.form else "'none'"))
