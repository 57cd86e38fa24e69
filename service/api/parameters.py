"""Parameters and answers that operations of several resources share."""

from __future__ import annotations

from collections.abc import Iterable

from service.api.operation import Answer, JsonSchema, Parameter, Shape, json_answer
from service.fields import DATE_PATTERN, ID_PATTERN

ID_SCHEMA: JsonSchema = {"type": "string", "pattern": f"^{ID_PATTERN}$", "maxLength": 64}
DAY_SCHEMA: JsonSchema = {
    "type": "string",
    "format": "date",
    "pattern": DATE_PATTERN,
    "maxLength": 10,
}
PRINTED = r"[^\u0000-\u001f\u007f-\u009f]"
_VISIBLE = r"[\u0021\u0023-\u007e]"
_QUOTED = r'"(?:[\u0020\u0021\u0023-\u005b\u005d-\u007e]|\\["\\]){1,255}"'
_TAG = f'(?:W/)?"{_VISIBLE}*"'
REVISION_SCHEMA: JsonSchema = {
    "type": "string",
    "pattern": "^(latest|[1-9][0-9]{0,8})$",
    "maxLength": 9,
}


def text(minimum: int = 0, maximum: int = 400) -> JsonSchema:
    """Schema of a text."""
    return {"type": "string", "minLength": minimum, "maxLength": maximum}


def one_word(name: str, component: str, words: Iterable[str], description: str) -> Parameter:
    """A parameter of the query that takes one of some words."""
    schema: JsonSchema = {"type": "string", "enum": list(words)}
    return Parameter(
        name=name, within="query", description=description, schema=schema, component=component
    )


IDEMPOTENCY_KEY = Parameter(
    name="Idempotency-Key",
    within="header",
    description="Names this call, so that it can be repeated without being done twice: the "
    "same key and body get the first outcome again for 24 hours.",
    schema={**text(1, 512), "pattern": f"^(?:{_VISIBLE}{{1,255}}|{_QUOTED})$"},
    component="IdempotencyKey",
)
IF_MATCH = Parameter(
    name="If-Match",
    within="header",
    description="The ETag of the state that is to be changed, as it was read.",
    schema={
        "type": "string",
        "pattern": rf"^(?:{_TAG}(?:\s*,\s*{_TAG}){{0,19}})?$",
        "maxLength": 2000,
    },
    component="IfMatch",
)
IF_NONE = Parameter(
    name="If-None-Match",
    within="header",
    description="`*` where there is nothing yet.",
    schema={"type": "string", "pattern": r"^\*$", "maxLength": 1},
    component="IfNone",
)
IF_CHANGED = Parameter(
    name="If-None-Match",
    within="header",
    description="ETags of the answers the caller has.",
    schema={"type": "string"},
    component="IfNoneMatch",
)
REVISION = Parameter(
    name="revision",
    within="path",
    description="Number of the revision, or `latest`.",
    schema=REVISION_SCHEMA,
    component="Revision",
    required=True,
)
REVISION_NUMBER = Parameter(
    name="revision",
    within="path",
    description="Number of the revision.",
    schema={"type": "string", "pattern": "^[1-9][0-9]{0,8}$", "maxLength": 9},
    component="RevisionNumber",
    required=True,
)
OTHER_REVISION = Parameter(
    name="other",
    within="path",
    description="Number of the other revision, or `latest`.",
    schema=REVISION_SCHEMA,
    component="OtherRevision",
    required=True,
)

NOT_MODIFIED = Answer(
    status=304, description="Nothing has changed since the ETag in `If-None-Match`."
)


def read_answers(shape: Shape, description: str = "As asked.") -> tuple[Answer, Answer]:
    """What a read with an ETag answers: the whole, or that nothing has changed."""
    return json_answer(shape, description=description, headers=("ETag",)), NOT_MODIFIED
