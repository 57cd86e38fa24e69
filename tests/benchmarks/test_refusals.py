"""What a refusal costs, however much is wrong, beside a small quote."""

from __future__ import annotations

import gc
import json
import statistics
import sys
import time
from collections.abc import Callable

from service.api.bodies import parse_json
from service.api.problems import ProblemError, encode, problem_document
from service.catalog import load_catalog
from service.core.errors import QuoteFaultsError
from service.operations.quoting.quote import quote_document
from service.operations.quoting.quote_answer import encode_answer
from tests.given.faulty_requests import crammed_bodies, faulty_requests
from tests.given.heavy import small_request

ROUNDS, MOST = 5, 6.0  # of a quote of 8 ms: 50 ms


def spent(run: Callable[[bytes], object], body: bytes) -> float:
    """CPU of one call."""
    began = time.process_time()
    run(body)
    return time.process_time() - began


def test_refusal_costs_no_more_than_a_few_quotes() -> None:
    """Bodies with as many faults as their bounds allow are refused in at most six times what a
    small quote takes, its text and its answer included."""
    catalog = load_catalog(())

    def quote(body: bytes) -> bytes:
        return encode_answer(quote_document(parse_json(body), catalog))

    def refuse(body: bytes) -> bytes:
        try:
            return quote(body)
        except ProblemError as error:
            return encode(problem_document(error.code, error.faults, detail=error.detail))
        except QuoteFaultsError as error:
            return encode(problem_document("request-invalid", error.faults))

    small = json.dumps(small_request()).encode()
    bodies = {name: json.dumps(each).encode() for name, each in faulty_requests().items()}
    bodies |= crammed_bodies()
    found: dict[str, list[float]] = {name: [] for name in bodies}
    quote(small)
    gc.freeze()  # as a service does that runs
    for _ in range(ROUNDS):
        for name, body in bodies.items():
            found[name].append(spent(refuse, body) / spent(quote, small))
    ratios = {name: round(statistics.median(each), 2) for name, each in found.items()}
    sys.stdout.write(f"\nrefused / quoted: {ratios}\n")
    assert max(ratios.values()) <= MOST
