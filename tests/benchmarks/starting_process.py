"""A process that starts an application, answers one request and says what that took.

Run as `python starting_process.py bare|service BODY`; prints CPU seconds and resident MiB. `bare`
is a FastAPI application of one route on the same server.
"""

from __future__ import annotations

import http.client
import sys
import threading
import time
from pathlib import Path
from typing import Any


def bare() -> Any:  # noqa: ANN401  FastAPI is imported here alone
    """The least application: one route that answers with a fixed object."""
    from fastapi import FastAPI  # noqa: PLC0415

    app = FastAPI()

    @app.post("/v1/quotes")
    async def answer() -> dict[str, int]:
        return {"answer": 1}

    return app


def service() -> Any:  # noqa: ANN401
    """The service with the shipped catalog."""
    from service.api.app import create_app  # noqa: PLC0415
    from service.settings import Settings  # noqa: PLC0415
    from service.wiring import settings_catalog  # noqa: PLC0415

    settings = Settings()
    return create_app(settings, settings_catalog(settings))


def main(which: str, body: bytes) -> None:
    """Start, answer, stop."""
    app = {"bare": bare, "service": service}[which]()
    import uvicorn  # noqa: PLC0415  as the application would load it

    server = uvicorn.Server(uvicorn.Config(app, port=0, log_level="warning"))

    def call() -> None:
        while not server.started:
            time.sleep(0.01)
        port = server.servers[0].sockets[0].getsockname()[1]
        connection = http.client.HTTPConnection("127.0.0.1", port)
        connection.request("POST", "/v1/quotes", body, {"content-type": "application/json"})
        statuses.append(connection.getresponse().status)
        connection.close()
        server.should_exit = True

    statuses: list[int] = []
    threading.Thread(target=call).start()
    server.run()
    lines = Path("/proc/self/status").read_text(encoding="utf-8").splitlines()
    (resident,) = [int(line.split()[1]) for line in lines if line.startswith("VmRSS:")]
    if statuses != [200]:
        raise SystemExit(f"answered {statuses}")
    print(time.process_time(), resident / 1024)  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]).read_bytes())
