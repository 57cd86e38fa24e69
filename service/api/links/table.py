"""The operations under the secret address of a link: no key is asked for, the address is one."""

from __future__ import annotations

from service.api.form_body import FORM
from service.api.links import pages
from service.api.operation import Body, Operation

_ONE = "/q/{token}"
_FORM = Body(shapes={FORM: {"type": "object"}}, most_bytes=pages.MOST_FORM_BYTES)

OPERATIONS = (
    Operation(method="GET", path=_ONE, handler=pages.read_link, scopes=("public",), form="page"),
    Operation(
        method="POST",
        path=_ONE,
        handler=pages.answer_link,
        scopes=("public",),
        form="page",
        body=_FORM,
    ),
    Operation(
        method="GET",
        path=f"{_ONE}/paper.pdf",
        handler=pages.read_link_pdf,
        scopes=("public",),
        form="page",
    ),
    Operation(
        method="GET",
        path=f"{_ONE}/receipt",
        handler=pages.read_link_receipt,
        scopes=("public",),
        form="page",
    ),
)
