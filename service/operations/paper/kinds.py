"""The kinds of documents: what forms each has, and who may see it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from service.core.closed_list import row_each

Form = Literal["html", "pdf", "json", "xml", "csv", "xlsx", "svg", "png"]
DrawingKind = Literal["plan", "elevation", "section", "earthwork_map", "order_of_work"]
KindName = Literal[
    "customer_quote",
    "crew_sheet",
    "supplier_order",
    "job_cost_sheet",
    "plan",
    "elevation",
    "section",
    "earthwork_map",
    "order_of_work",
    "visit_sheet",
    "contract",
]
KIND_NAMES: tuple[KindName, ...] = get_args(KindName)
DRAWINGS: tuple[DrawingKind, ...] = get_args(DrawingKind)
MEDIA_TYPES: Mapping[Form, str] = row_each(
    get_args(Form),
    {
        "html": "text/html",
        "pdf": "application/pdf",
        "json": "application/json",
        "xml": "application/xml",
        "csv": "text/csv",
        "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        "svg": "image/svg+xml",
        "png": "image/png",
    },
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind. Its first form is given to whoever takes any. `scope` is that of a key."""

    forms: tuple[Form, ...]
    scope: Literal["field", "quotes"]


_PAGE: tuple[Form, ...] = ("html", "pdf")
_DRAWN: tuple[Form, ...] = ("svg", "png")
KINDS: Mapping[KindName, Kind] = row_each(
    KIND_NAMES,
    {
        "customer_quote": Kind(forms=("html", "pdf", "json", "xml"), scope="quotes"),
        "crew_sheet": Kind(forms=_PAGE, scope="field"),
        "supplier_order": Kind(forms=("html", "pdf", "csv", "xlsx"), scope="quotes"),
        "job_cost_sheet": Kind(forms=("html", "pdf", "xlsx"), scope="quotes"),
        **{name: Kind(forms=_DRAWN, scope="field") for name in DRAWINGS},
        "visit_sheet": Kind(forms=_PAGE, scope="field"),
        "contract": Kind(forms=_PAGE, scope="quotes"),
    },
)
