"""A process that quotes for a benchmark, so many times when asked.

`tests/given/other_sources.py` runs it with the sources of a folder. Reads `PATH TIMES` lines;
answers each with the CPU seconds of one quote and the digest of its answer. It uses nothing but
what every version has.
"""

from __future__ import annotations

import hashlib
import sys
import time
from pathlib import Path


def serve() -> None:
    """Answer lines until there are no more."""
    from service import json_text  # noqa: PLC0415  of the folder
    from service.catalog import load_catalog  # noqa: PLC0415
    from service.operations.quoting.quote import quote_document  # noqa: PLC0415
    from service.operations.quoting.quote_answer import encode_answer  # noqa: PLC0415

    catalog = load_catalog(())
    print("ready", flush=True)  # noqa: T201  the protocol
    for line in sys.stdin:
        path, times = line.rsplit(maxsplit=1)
        body = Path(path).read_bytes()
        answer = encode_answer(quote_document(json_text.loads(body), catalog))
        started = time.process_time()
        for _ in range(int(times)):
            encode_answer(quote_document(json_text.loads(body), catalog))
        seconds = (time.process_time() - started) / int(times)
        print(seconds, hashlib.sha256(answer).hexdigest(), flush=True)  # noqa: T201


if __name__ == "__main__":
    serve()
