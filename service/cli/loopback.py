"""The service on a loopback port for the command that starts it, and one call to it."""

from __future__ import annotations

import http.client
import socket
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass

import uvicorn
from fastapi import FastAPI

from service.cli.server import Server, server_config
from service.settings import Settings

HOST = "127.0.0.1"
START_SECONDS = 20.0
CALL_SECONDS = 60.0


class ServiceStartError(Exception):
    """The service could not be started here; the text says why."""


def open_port(port: int, *, attempts: int = 1) -> socket.socket:
    """A listening socket on the first free one of some ports; port 0 is any free one.

    Raises ServiceStartError when none is free.
    """
    last = min(port + attempts - 1, 65535)
    reason: OSError | None = None
    for candidate in range(port, last + 1):
        try:
            return socket.create_server((HOST, candidate))
        except OSError as error:
            reason = error
    ports = f"port {port}" if last == port else f"any of the ports {port} to {last}"
    raise ServiceStartError(f"{ports} of {HOST} can't be used: {reason and reason.strerror}")


@contextmanager
def running(app: FastAPI, settings: Settings, listening: socket.socket) -> Iterator[str]:
    """Answer on a socket until the block ends; gives the address. Raises ServiceStartError."""
    port = listening.getsockname()[1]
    server = Server(server_config(app, HOST, port, settings))
    thread = threading.Thread(target=server.run, args=([listening],), name="service", daemon=True)
    thread.start()
    try:
        _wait_for_start(server, thread)
        yield f"http://{HOST}:{port}"
    finally:
        server.should_exit = True
        thread.join(START_SECONDS)
        listening.close()


@dataclass(frozen=True, slots=True)
class Answered:
    """An answer; names of headers in lower case."""

    status: int
    body: bytes
    headers: Mapping[str, str]


def post(address: str, path: str, body: bytes, *, request_id: str) -> tuple[int, bytes]:
    """Post JSON; gives status and body of the answer. Raises OSError."""
    headers = {"Content-Type": "application/json", "X-Request-ID": request_id}
    answered = call(address, "POST", path, body, headers)
    return answered.status, answered.body


def call(address: str, method: str, path: str, body: bytes, headers: Mapping[str, str]) -> Answered:
    """Make one call, past any proxy. Raises OSError."""
    connection = http.client.HTTPConnection(address.removeprefix("http://"), timeout=CALL_SECONDS)
    try:
        connection.request(method, path, body, dict(headers))
        answer = connection.getresponse()
        named = {name.lower(): value for name, value in answer.getheaders()}
        return Answered(answer.status, answer.read(), named)
    finally:
        connection.close()


def _wait_for_start(server: uvicorn.Server, thread: threading.Thread) -> None:
    end = time.monotonic() + START_SECONDS
    while not server.started:
        if not thread.is_alive() or time.monotonic() > end:
            raise ServiceStartError("the service did not start")
        time.sleep(0.01)
