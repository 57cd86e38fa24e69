"""A process that quotes for a benchmark: of the sources in a folder, so many times when asked.

Run as `python quoting_process.py FOLDER`. Reads `PATH TIMES` lines; answers each with the CPU
seconds of one quote and the digest of its answer. It uses nothing but what every version has.
"""

from __future__ import annotations

import hashlib
import sys
import time
from pathlib import Path


def serve(folder: str) -> None:
    """Answer lines until there are no more."""
    if Path(folder, "service_catalog").exists():
        _leave_installed_sources()
    sys.path.insert(0, folder)
    from service import json_text  # noqa: PLC0415  of that folder
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


def _leave_installed_sources() -> None:
    """Find the catalog in the folder alone, not also where these sources are installed from."""
    sys.meta_path[:] = [
        finder
        for finder in sys.meta_path
        if not getattr(finder, "__module__", "").startswith("__editable__")
    ]
    sys.path[:] = [place for place in sys.path if "__editable__" not in place]


if __name__ == "__main__":
    serve(sys.argv[1])
