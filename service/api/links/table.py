"""The operations under the secret address of a link: no key is asked for, the address is one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.form_body import FORM
from service.api.late import late_modules
from service.api.operation import Body, Operation

if TYPE_CHECKING:
    from service.api.links import pages
else:
    (pages,) = late_modules("service.api.links", "pages")

MOST_FORM_BYTES = 8 * 1024
_ONE = "/q/{token}"
_FORM = Body(shapes={FORM: {"type": "object"}}, most_bytes=MOST_FORM_BYTES)

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
