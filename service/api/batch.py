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
class Parsed:
    """A request of a batch as plain objects: `number` is its line, of so many bytes."""

    number: int
    document: object
    size: int

    @property
    def reference(self) -> object:
        """What its caller calls it; of a request that is sound, a text that is never empty."""
        return self.document.get("reference") if isinstance(self.document, dict) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """A request of a batch that was read, and is ready to be calculated."""

    parsed: Parsed
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
        self.stored = stored
        self._request_id = request_id

    def answer_line(self, line: Line) -> bytes:
        """The answer to a line of a stream, without a line break."""
        parsed = self.parse(line)
        ready = self.prepare(parsed) if isinstance(parsed, Parsed) else parsed
        return self.answer(ready) if isinstance(ready, Ready) else ready

    def parse(self, line: Line) -> Parsed | bytes:
        """A line of a stream as plain objects; or its answer, where it is refused."""
        if line.data is None:
            detail = f"Line {line.number} has more than {MAX_BODY_BYTES} bytes."
            return self._problem(line.number, problem_document("body-too-large", detail=detail))
        try:
            document = json_text.loads(line.data, BOUNDS)
        except json_text.JsonTextInvalidError as error:
            problem = problem_document(error.code, detail=error.message)
            return self._problem(line.number, problem)
        return Parsed(number=line.number, document=document, size=len(line.data))

    def prepare(self, parsed: Parsed) -> Ready | bytes:
        """A request, ready to be calculated; or its answer, where it is refused."""
        try:
            prepared = self.quoting.prepare_quote(parsed.document, self.catalog, self.stored)
        except Exception as error:  # noqa: BLE001  (one line that fails leaves the others whole)
            return self.refusal(parsed, error)
        return Ready(parsed=parsed, prepared=prepared)

    def answer(self, ready: Ready) -> bytes:
        """The answer to a request that was read, calculated at once."""
        try:
            quote = encode_answer(ready.prepared.answer())
        except Exception as error:  # noqa: BLE001
            return self.refusal(ready.parsed, error)
        return self.quote(ready.parsed, quote)

    def quote(self, parsed: Parsed, quote: bytes) -> bytes:
        """A quote in its line; its bytes are those of a single answer."""
        self.lines += 1
        head: dict[str, object] = {"line": parsed.number}
        if parsed.reference:
            head["reference"] = parsed.reference
        head["status"] = OK
        return encode(head)[:-1] + b',"quote":' + quote + b"}"

    def refusal(self, parsed: Parsed, error: Exception) -> bytes:
        """What a request is told of an error: its faults, or that the service failed."""
        if isinstance(error, QuoteFaultsError):
            problem = problem_document(faults_code(error.faults), error.faults)
        elif isinstance(error, CalculationStoppedError):
            problem = problem_document(STOPPED, detail=str(error))
        else:
            log_failure(error, self._request_id)
            problem = problem_document("internal-error")
        return self._problem(parsed.number, problem)

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
