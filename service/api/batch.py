"""A batch of quotes: each request of it is answered as it would be alone.

One answer is one JSON object on one line: the quote, or the problem that a single request would
get, and at the end how many there were. HTTP and the command line answer with the same bytes. After
the first problems of a batch each tells its first fault only: a file of bad lines, which mostly
share one mistake, is not answered by a hundred times its size.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from service import json_text
from service.api.bodies import MAX_BODY_BYTES
from service.api.failures import log_failure
from service.api.lines import Line
from service.api.problems import encode, faults_code, number_of_faults, problem_document
from service.api.quoting import WITH_PRICES, AnyPreparedQuote, Quoting
from service.calculators import CalculationStoppedError
from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.quote_answer import encode_answer
from service.operations.ruled import BOUNDS

OK = 200
STOPPED = "calculation-stopped"
FULL_PROBLEMS = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """A request of a batch that was read: `number` is its line, `document` as it came."""

    number: int
    document: object
    prepared: AnyPreparedQuote


class Batch:
    """The answers to the requests of one batch, in their order, and the count of them."""

    def __init__(
        self,
        catalog: Catalog,
        request_id: str = "",
        stored: StoredPrices | None = None,
        quoting: Quoting = WITH_PRICES,
    ) -> None:
        self.lines = 0
        self.failed = 0
        self.catalog = catalog
        self.quoting = quoting
        self._stored = stored
        self._request_id = request_id

    def answer_line(self, line: Line) -> bytes:
        """The answer to a line of a stream, without a line break."""
        read = self.read_line(line)
        return self.answer(read) if isinstance(read, Ready) else read

    def read_line(self, line: Line) -> Ready | bytes:
        """A line of a stream, ready to be calculated; or its answer, where it is refused."""
        if line.data is None:
            detail = f"Line {line.number} has more than {MAX_BODY_BYTES} bytes."
            return self._problem(line.number, problem_document("body-too-large", detail=detail))
        try:
            document = json_text.loads(line.data, BOUNDS)
        except json_text.JsonTextInvalidError as error:
            problem = problem_document(error.code, detail=error.message)
            return self._problem(line.number, problem)
        return self.read_document(line.number, document)

    def read_document(self, number: int, document: object) -> Ready | bytes:
        """The same for a request that came as plain objects."""
        try:
            prepared = self.quoting.prepare_quote(document, self.catalog, self._stored)
        except Exception as error:  # noqa: BLE001  (one line that fails leaves the others whole)
            return self.refusal(number, error)
        return Ready(number=number, document=document, prepared=prepared)

    def answer(self, ready: Ready) -> bytes:
        """The answer to a request that was read, calculated at once."""
        try:
            quote = encode_answer(ready.prepared.answer())
        except Exception as error:  # noqa: BLE001
            return self.refusal(ready.number, error)
        return self.quote(ready, quote)

    def quote(self, ready: Ready, quote: bytes) -> bytes:
        """A quote in its line; its bytes are those of a single answer."""
        self.lines += 1
        head: dict[str, object] = {"line": ready.number}
        if ready.prepared.request.reference:
            head["reference"] = ready.prepared.request.reference
        head["status"] = OK
        return encode(head)[:-1] + b',"quote":' + quote + b"}"

    def refusal(self, number: int, error: Exception) -> bytes:
        """What a line is told of an error: its faults, or that the service failed."""
        if isinstance(error, QuoteFaultsError):
            problem = problem_document(faults_code(error.faults), error.faults)
        elif isinstance(error, CalculationStoppedError):
            problem = problem_document(STOPPED, detail=str(error))
        else:
            log_failure(error, self._request_id)
            problem = problem_document("internal-error")
        return self._problem(number, problem)

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
        f"{number_of_faults(problem['errors_total'])} faults were found; errors has the first, as "
        f"{FULL_PROBLEMS} problems of this batch told all of theirs."
    )
    return {**problem, "detail": detail, "errors": problem["errors"][:1]}
