"""The operations of keys."""

from __future__ import annotations

from service.api.bodies import JSON
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
from service.api.v1.api_keys.handlers import (
    end_api_key,
    list_api_keys,
    make_api_key,
    read_api_key,
    rotate_api_key,
)
from service.api.v1.pages import PAGE
from service.operations.callers.key_answer import KeyAnswer, NewKeyAnswer
from service.operations.callers.key_request import KeyRequest, RotateRequest
from service.operations.callers.key_text import KEY_ID
from service.operations.callers.keys import PREFIX

TAG = "keys"
_ONE = f"{PREFIX}/{{id}}"
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
        path=PREFIX,
        handler=list_api_keys,
        scopes=("admin",),
        tag=TAG,
        summary="List keys, the newest first",
        parameters=PAGE,
        answers=(json_answer(PageOf(KeyAnswer), description="A page of them."),),
        refuses=READS_STORED,
    ),
    Operation(
        method="POST",
        path=PREFIX,
        handler=make_api_key,
        scopes=("admin",),
        tag=TAG,
        summary="Make a key",
        parameters=(IDEMPOTENCY_KEY,),
        body=Body(shapes={JSON: KeyRequest}),
        answers=(
            json_answer(NewKeyAnswer, status=201, description="The key, once.", headers=_MADE),
        ),
        refuses=STORES,
    ),
    Operation(
        method="GET",
        path=_ONE,
        handler=read_api_key,
        scopes=("admin",),
        tag=TAG,
        summary="Read what a key is for",
        parameters=(KEY,),
        answers=(json_answer(KeyAnswer, description="The key without the key."),),
        refuses=READS_STORED,
    ),
    Operation(
        method="DELETE",
        path=_ONE,
        handler=end_api_key,
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
        handler=rotate_api_key,
        scopes=("admin",),
        tag=TAG,
        summary="Give a key a new secret",
        parameters=(KEY, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: RotateRequest}),
        answers=(
            json_answer(NewKeyAnswer, status=201, description="The new one, once.", headers=_MADE),
        ),
        refuses=STORES,
    ),
)
