"""`GET /website.js`: the script that puts the form into another page, put together once."""

from __future__ import annotations

import json
import re
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response

from service.api.prepared import Once, Prepared, prepare, prepared_response
from service.api.website.words import LANGUAGES, words_by_name

# Pages of other origins load it (service/api/front.py says so), and ask for it anew after an hour.
_HEADERS = {"Cache-Control": "public, max-age=3600"}


async def read_website_script(request: Request) -> Response:
    """The form for a website, as a script of no other origin's parts."""
    return prepared_response(request, await _SCRIPT.get())


def form_style() -> str:
    """The style that the form has everywhere: one rule a line, without what is only for us."""
    return re.sub(r"\s*\n\s*", "", _text("form.css"))


def _script() -> Prepared:
    words = {language: words_by_name(language) for language in LANGUAGES}
    text = _text("website.js")
    text = text.replace('"/*words*/"', json.dumps(words, ensure_ascii=False))
    text = text.replace('"/*style*/"', json.dumps(form_style()))
    return prepare(text.encode(), "text/javascript", _HEADERS)


def _text(name: str) -> str:
    return (files("service.api.website") / name).read_text(encoding="utf-8")


_SCRIPT = Once(_script)
