"""The operations of the catalog: two reads for each kind of entry, and the reload."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from service.api.bodies import JSON
from service.api.health import CATALOG_STATE
from service.api.late import late_modules
from service.api.operation import Body, EntryOf, Operation, PageOf, Parameter, json_answer
from service.api.parameters import ID_SCHEMA, IF_CHANGED, read_answers
from service.api.v1.catalog.entries import RESOURCES, Resource, entry_of, list_of
from service.api.v1.pages import PAGE

if TYPE_CHECKING:
    from service.api.v1.catalog import reloading
else:
    (reloading,) = late_modules("service.api.v1.catalog", "reloading")

TAG = "catalog"
ENTRY_ID = Parameter(
    name="id",
    within="path",
    description="The entry's id.",
    schema=ID_SCHEMA,
    component="EntryId",
    required=True,
)


def _reads(resource: Resource) -> Iterator[Operation]:
    """The list of a kind, and its entries."""
    yield Operation(
        method="GET",
        path=f"/v1/{resource.path}",
        handler=list_of(resource),
        id=f"list_{resource.kind}",
        scopes=resource.scopes,
        tag=TAG,
        summary=f"List the {resource.words} of the catalog",
        parameters=(*PAGE, IF_CHANGED),
        answers=read_answers(PageOf(EntryOf(resource.kind))),
    )
    yield Operation(
        method="GET",
        path=f"/v1/{resource.path}/{{id}}",
        handler=entry_of(resource),
        id=f"read_{resource.one}",
        scopes=resource.scopes,
        tag=TAG,
        summary=f"Read one of the {resource.words}",
        parameters=(ENTRY_ID, IF_CHANGED),
        answers=read_answers(EntryOf(resource.kind)),
    )


OPERATIONS = (
    *(operation for resource in RESOURCES for operation in _reads(resource)),
    Operation(
        method="POST",
        path="/v1/catalog/reload",
        handler=reloading.reload_catalog,
        scopes=("admin",),
        tag=TAG,
        summary="Load the catalog again, all or nothing",
        body=Body(
            shapes={JSON: {"type": "object", "maxProperties": 0, "additionalProperties": False}},
            required=False,
        ),
        answers=(json_answer(CATALOG_STATE, description="The catalog as it is now."),),
        refuses=(503, 507),
    ),
)
