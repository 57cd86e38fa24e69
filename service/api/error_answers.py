"""Which error becomes which problem. What nobody expected is answered by the front.

An error of this table may be raised anywhere below a route.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Coroutine, Mapping
from http import HTTPStatus
from types import MappingProxyType
from typing import Any

from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from service.api.failures import log_storage_error
from service.api.problems import (
    RETRY_SECONDS,
    ParameterError,
    ProblemError,
    faults_response,
    problem_response,
    response_for,
)
from service.api.storing import tag_address
from service.api.table import PLACE, Place, Table
from service.api.v1.saved_quotes.address import quote_url
from service.calculators import CalculationStoppedError, DoorBusyError
from service.core.errors import Fault, QuoteFaultsError, QuoteRefusedError
from service.operations.conditions import ConditionFailedError, ConditionMissingError
from service.operations.saved.reference_exists import ReferenceExistsError
from service.operations.stored_refusals import (
    KeyReusedError,
    KeyRunningError,
    PreviewChangedError,
    PriceListFixedError,
    PriceListMissingError,
)
from service.sending.errors import SecretFileError
from service.storage import StorageError, StorageFullError

_log = logging.getLogger("service.api")
_BY_STATUS = {
    400: "request-malformed",
    404: "not-found",
    405: "method-not-allowed",
    406: "not-acceptable",
    413: "body-too-large",
    415: "media-type-unsupported",
    422: "request-invalid",
    429: "rate-limited",
}


async def _on_problem(_request: Request, error: ProblemError) -> Response:
    return response_for(error)


async def _on_faults(_request: Request, error: QuoteFaultsError) -> Response:
    """What was found wrong with a request."""
    return faults_response(error.faults)


async def _on_busy(_request: Request, error: DoorBusyError) -> Response:
    """As many calculations wait as may."""
    return problem_response("busy", headers={"Retry-After": str(error.seconds)})


async def _on_stopped(_request: Request, error: CalculationStoppedError) -> Response:
    """A calculation that took far longer than was said."""
    headers = {"Retry-After": RETRY_SECONDS}
    return problem_response("calculation-stopped", detail=str(error), headers=headers)


async def _on_refused(_request: Request, error: QuoteRefusedError) -> Response:
    """What can't be done to a saved quote as it stands."""
    return problem_response(error.code, detail=str(error))


async def _on_reference_exists(_request: Request, error: ReferenceExistsError) -> Response:
    """A reference belongs to another quote; the hint says where that one is."""
    at, url = ("quote", "reference"), quote_url(error.quote_id)
    fault = Fault(code=error.code, at=at, message=f"{error} It stands at {url}.", hint=url)
    return problem_response(error.code, [fault])


async def _on_list_missing(_request: Request, error: PriceListMissingError) -> Response:
    """No such list, or no such revision: in a path that is 404."""
    return problem_response(error.fault.code, (error.fault,), status=404)


async def _on_list_fixed(_request: Request, error: PriceListFixedError) -> Response:
    """The list is a file."""
    return problem_response(error.fault.code, (error.fault,))


async def _on_preview_changed(_request: Request, _error: PreviewChangedError) -> Response:
    """What would be written is not what was shown."""
    return problem_response("changed-since-preview")


async def _on_key_reused(_request: Request, _error: KeyReusedError) -> Response:
    """The key came before with another body."""
    message = "the Idempotency-Key came before with another request"
    hint = "a key names one call for 24 hours; send a new key with a new call"
    code = "idempotency-key-reused"
    return response_for(ParameterError("Idempotency-Key", message, hint, code=code))


async def _on_key_running(_request: Request, _error: KeyRunningError) -> Response:
    """The call with this key is still under way."""
    return problem_response("idempotency-key-running", headers={"Retry-After": RETRY_SECONDS})


async def _on_condition_missing(request: Request, error: ConditionMissingError) -> Response:
    """The caller did not say what it wants to change."""
    detail = f"Send If-Match with the ETag that GET {tag_address(request)} gives."
    return _condition("precondition-required", detail, error.etag)


async def _on_condition_failed(request: Request, error: ConditionFailedError) -> Response:
    """Somebody was first."""
    detail = f"It has changed since it was read. GET {tag_address(request)} gives its ETag of now."
    return _condition("precondition-failed", detail, error.etag)


def _condition(code: str, detail: str, etag: str | None) -> Response:
    """A change without the tag of what there is: the tag goes along, where there is one."""
    if etag is None:
        message = "There is nothing here yet: send If-None-Match: *."
        return response_for(ParameterError("If-None-Match", message, code=code))
    return response_for(ParameterError("If-Match", detail, code=code, headers={"ETag": etag}))


async def _on_storage_error(_request: Request, error: StorageError) -> Response:
    """What is amiss with the database. What its runner has to know goes to the log: the caller
    learns no path and no name of a server."""
    code = log_storage_error(error)
    headers = None if isinstance(error, StorageFullError) else {"Retry-After": RETRY_SECONDS}
    return problem_response(code, headers=headers)


async def _on_secret_file_error(_request: Request, error: SecretFileError) -> Response:
    """What is amiss with the file of the key: for its runner, in the log."""
    code = "secret-file-unusable"
    _log.error("the secrets: %s", error, extra={"code": code})
    return problem_response(code, headers={"Retry-After": RETRY_SECONDS})


async def _on_parameter_error(_request: Request, _error: Exception) -> Response:
    """The framework's own validation, which only parameters can still reach."""
    return problem_response("parameter-invalid")


async def _on_http_error(request: Request, error: HTTPException) -> Response:
    """The framework's own errors; their texts are for programmers and stay inside."""
    code = _BY_STATUS.get(error.status_code, "internal-error")
    headers = dict(error.headers or {})
    detail = None
    if "Allow" in headers:
        headers["Allow"] = _allow(request, headers["Allow"])
        detail = f"This address takes {headers['Allow']}, not {request.method}."
    elif error.status_code == HTTPStatus.NOT_FOUND:
        detail = _nearest(request)
    return problem_response(code, detail=detail, status=error.status_code, headers=headers)


def _nearest(request: Request) -> str | None:
    """What is said of an address under which nothing stands, where another is like it."""
    table: Table = request.app.state.table
    near = table.nearest(request.url.path)
    return None if near is None else f"Nothing stands at this address; the nearest is {near}."


def _allow(request: Request, allowed: str) -> str:
    """The methods of an address; the framework looks at its first route alone."""
    place: Place | None = request.scope.get(PLACE)
    methods = set(place.operations) if place is not None else set(allowed.split(", "))
    if "GET" in methods:
        methods.add("HEAD")  # service/api/front.py answers it like GET
    return ", ".join(sorted(methods))


ErrorAnswer = Callable[[Request, Any], Coroutine[Any, Any, Response]]
ERROR_ANSWERS: Mapping[int | type[Exception], ErrorAnswer] = MappingProxyType(
    {
        ProblemError: _on_problem,
        QuoteFaultsError: _on_faults,
        DoorBusyError: _on_busy,
        CalculationStoppedError: _on_stopped,
        QuoteRefusedError: _on_refused,
        ReferenceExistsError: _on_reference_exists,
        PriceListMissingError: _on_list_missing,
        PriceListFixedError: _on_list_fixed,
        PreviewChangedError: _on_preview_changed,
        KeyReusedError: _on_key_reused,
        KeyRunningError: _on_key_running,
        ConditionMissingError: _on_condition_missing,
        ConditionFailedError: _on_condition_failed,
        StorageError: _on_storage_error,
        SecretFileError: _on_secret_file_error,
        RequestValidationError: _on_parameter_error,
        HTTPException: _on_http_error,
    }
)
