"""Where an answer leads: what it names can be given to these operations (OpenAPI, Link Object)."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType

from service.api.operation import JsonSchema

_ID = {"id": "$response.body#/id"}
_FIRST = {"id": "$response.body#/items/0/id"}
_REVISION = {**_ID, "revision": "$response.body#/revision"}
_OF_QUOTE = ("read_saved_quote", "read_quote_state", "list_quote_revisions")
_OF_REVISION = ("read_quote_revision", "read_revision_quote", "read_revision_answer")

# By operation: the parameters that its answer gives, and what takes them.
LINKS: Mapping[str, tuple[tuple[Mapping[str, str], tuple[str, ...]], ...]] = MappingProxyType(
    {
        "save_quote": ((_ID, _OF_QUOTE), (_REVISION, _OF_REVISION)),
        "revise_saved_quote": ((_REVISION, (*_OF_REVISION, "read_recomputation")),),
        "list_saved_quotes": ((_FIRST, _OF_QUOTE),),
        "create_repricing": ((_ID, ("read_repricing", "list_repricing_items")),),
        "list_repricings": ((_FIRST, ("read_repricing", "list_repricing_items")),),
        "publish_price_list": (
            (_ID, ("read_latest_price_list_revision", "list_price_list_revisions")),
            (_REVISION, ("read_price_list_revision",)),
        ),
        "list_price_lists": ((_FIRST, ("list_price_list_revisions",)),),
    }
)


def links_of(operation_id: str, known: Collection[str]) -> JsonSchema:
    """The links of an operation's answers to operations that are in the document."""
    return {
        target: {"operationId": target, "parameters": dict(parameters)}
        for parameters, targets in LINKS.get(operation_id, ())
        for target in targets
        if target in known
    }
