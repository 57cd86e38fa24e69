"""The operations of keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.bodies import JSON
from service.api.late import late_modules
from service.api.operation import (
    READS_STORED,
    Answer,
    Body,
    PageOf,
    Parameter,
    json_answer,
)
from service.api.parameters import IDEMPOTENCY_KEY
from service.api.rows import Rows
from service.api.v1.pages import PAGE
from service.operations.callers.key_text import KEY_ID, KEYS_AT

if TYPE_CHECKING:
    from service.api.v1.api_keys import handlers
    from service.operations.callers import key_answer, key_request
else:
    (handlers,) = late_modules("service.api.v1.api_keys", "handlers")
    key_answer, key_request = late_modules("service.operations.callers", "key_answer key_request")

TAG = "keys"
_ROWS = Rows(TAG, "admin")
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
    _ROWS.row(
        "GET",
        KEYS_AT,
        handlers.list_api_keys,
        json_answer(PageOf(key_answer.KeyAnswer), description="A page of them."),
        summary="List keys, the newest first",
        parameters=PAGE,
        refuses=READS_STORED,
    ),
    _ROWS.stores(
        "POST",
        KEYS_AT,
        handlers.make_api_key,
        json_answer(
            key_answer.NewKeyAnswer, status=201, description="The key, once.", headers=_MADE
        ),
        summary="Make a key",
        parameters=(IDEMPOTENCY_KEY,),
        body=Body(shapes={JSON: key_request.KeyRequest}),
    ),
    _ROWS.row(
        "GET",
        _ONE,
        handlers.read_api_key,
        json_answer(key_answer.KeyAnswer, description="The key without the key."),
        summary="Read what a key is for",
        parameters=(KEY,),
        refuses=READS_STORED,
    ),
    _ROWS.stores(
        "DELETE",
        _ONE,
        handlers.end_api_key,
        Answer(status=204, description="It has ended."),
        summary="End a key",
        parameters=(KEY,),
        refuses=(503, 507),
    ),
    _ROWS.stores(
        "POST",
        f"{_ONE}/rotate",
        handlers.rotate_api_key,
        json_answer(
            key_answer.NewKeyAnswer, status=201, description="The new one, once.", headers=_MADE
        ),
        summary="Give a key a new secret",
        parameters=(KEY, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: key_request.RotateRequest}),
    ),
)
