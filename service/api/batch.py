"""A batch of quotes: each request of it is answered as it would be alone.

One answer is one JSON object on one line: the quote, or the problem that a single request would
get, and at the end how many there were. HTTP and the command line answer with the same bytes. After
the first problems of a batch each tells its first fault only: a file of bad lines, which mostly
share one mistake, is not answered by a hundred times its size.
"""

from __future__ import annotations

from typing import Any

from msgspec import UNSET

from service import json_text
from service.api.bodies import MAX_BODY_BYTES
from service.api.failures import log_failure
from service.api.lines import Line
from service.api.problems import encode, faults_code, problem_document
from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.quote import quote_document
from service.operations.quoting.quote_answer import encode_answer

OK = 200
FULL_PROBLEMS = 20


class Batch:
    """The answers to the requests of one batch, in their order, and the count of them."""

    def __init__(
        self, catalog: Catalog, request_id: str = "", stored: StoredPrices | None = None
    ) -> None:
        self.lines = 0
        self.failed = 0
        self._catalog = catalog
        self._stored = stored
        self._request_id = request_id

    def answer_line(self, line: Line) -> bytes:
        """The answer to a line of a stream, without a line break."""
        if line.data is None:
            detail = f"Line {line.number} has more than {MAX_BODY_BYTES} bytes."
            return self._problem(line.number, problem_document("body-too-large", detail=detail))
        try:
            document = json_text.loads(line.data)
        except json_text.JsonTextInvalidError as error:
            problem = problem_document(error.code, detail=error.message, status=400)
            return self._problem(line.number, problem)
        return self.answer_document(line.number, document)

    def answer_document(self, number: int, document: object) -> bytes:
        """The answer to a request that was read already."""
        try:
            answer = quote_document(document, self._catalog, self._stored)
            line = _quote_line(number, answer)
        except QuoteFaultsError as error:
            problem = problem_document(faults_code(error.faults), error.faults)
            return self._problem(number, problem)
        except Exception as error:  # noqa: BLE001  (one line that fails leaves the others whole)
            log_failure(error, self._request_id)
            return self._problem(number, problem_document("internal-error"))
        self.lines += 1
        return line

    def end(self) -> bytes:
        """The last line of a batch that was answered whole."""
        return encode({"end": True, "lines": self.lines, "failed": self.failed})

    def abort(self) -> bytes:
        """The last line of a batch that can't go on."""
        problem = problem_document("internal-error", instance=self._request_id)
        return encode({"end": True, "aborted": problem})

    def _problem(self, number: int, problem: dict[str, Any]) -> bytes:
        self.lines += 1
        self.failed += 1
        told = problem if self.failed <= FULL_PROBLEMS else _shortened(problem)
        told["instance"] = self._request_id
        return encode({"line": number, "status": told["status"], "problem": told})


def _shortened(problem: dict[str, Any]) -> dict[str, Any]:
    """The problem with its first entry alone, however many there are (`errors_total`)."""
    if problem["errors_total"] <= 1:
        return problem
    detail = (
        f"{problem['errors_total']} faults were found; errors has the first, as "
        f"{FULL_PROBLEMS} problems of this batch told all of theirs."
    )
    return {**problem, "detail": detail, "errors": problem["errors"][:1]}


def _quote_line(number: int, answer: QuoteAnswer) -> bytes:
    """A quote in its line; the bytes of the quote are those of a single answer."""
    head: dict[str, object] = {"line": number}
    if answer.reference is not UNSET:
        head["reference"] = answer.reference
    head["status"] = OK
    return encode(head)[:-1] + b',"quote":' + encode_answer(answer) + b"}"
