"""The operations of keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.bodies import JSON
from service.api.late import late_modules
from service.api.operation import (
    READS_STORED,
    STORES,
    Answer,
    Body,
    Operation,
    PageOf,
    Parameter,
    json_answer,
)
from service.api.parameters import IDEMPOTENCY_KEY
from service.api.v1.pages import PAGE
from service.operations.callers.key_text import KEY_ID, KEYS_AT

if TYPE_CHECKING:
    from service.api.v1.api_keys import handlers
    from service.operations.callers import key_answer, key_request
else:
    (handlers,) = late_modules("service.api.v1.api_keys", "handlers")
    key_answer, key_request = late_modules("service.operations.callers", "key_answer key_request")

TAG = "keys"
_ONE = f"{KEYS_AT}/{{id}}"
_MADE = ("Location", "Idempotent-Replayed")
KEY = Parameter(
    name="id",
    within="path",
    description="The key's public id.",
    schema={"type": "string", "pattern": f"^{KEY_ID.pattern}$", "minLength": 10, "maxLength": 10},
    component="ApiKeyId",
    required=True,
)

OPERATIONS = (
    Operation(
        method="GET",
        path=KEYS_AT,
        handler=handlers.list_api_keys,
        scopes=("admin",),
        tag=TAG,
        summary="List keys, the newest first",
        parameters=PAGE,
        answers=(json_answer(PageOf(key_answer.KeyAnswer), description="A page of them."),),
        refuses=READS_STORED,
    ),
    Operation(
        method="POST",
        path=KEYS_AT,
        handler=handlers.make_api_key,
        scopes=("admin",),
        tag=TAG,
        summary="Make a key",
        parameters=(IDEMPOTENCY_KEY,),
        body=Body(shapes={JSON: key_request.KeyRequest}),
        answers=(
            json_answer(
                key_answer.NewKeyAnswer, status=201, description="The key, once.", headers=_MADE
            ),
        ),
        refuses=STORES,
    ),
    Operation(
        method="GET",
        path=_ONE,
        handler=handlers.read_api_key,
        scopes=("admin",),
        tag=TAG,
        summary="Read what a key is for",
        parameters=(KEY,),
        answers=(json_answer(key_answer.KeyAnswer, description="The key without the key."),),
        refuses=READS_STORED,
    ),
    Operation(
        method="DELETE",
        path=_ONE,
        handler=handlers.end_api_key,
        scopes=("admin",),
        tag=TAG,
        summary="End a key",
        parameters=(KEY,),
        answers=(Answer(status=204, description="It has ended."),),
        refuses=(503, 507),
    ),
    Operation(
        method="POST",
        path=f"{_ONE}/rotate",
        handler=handlers.rotate_api_key,
        scopes=("admin",),
        tag=TAG,
        summary="Give a key a new secret",
        parameters=(KEY, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: key_request.RotateRequest}),
        answers=(
            json_answer(
                key_answer.NewKeyAnswer, status=201, description="The new one, once.", headers=_MADE
            ),
        ),
        refuses=STORES,
    ),
)
