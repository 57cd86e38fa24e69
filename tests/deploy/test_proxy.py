"""The proxy's configuration, run: TLS, callers' addresses, sizes, and lines that stream."""

from __future__ import annotations

import http.client
import json
import socket
import ssl
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from service.settings import Settings
from tests.given.heavy import small_request
from tests.given.proxied import CONFIGURATION, NAME, proxy_before
from tests.given.recipes import new_key
from tests.given.service_process import running_service

Place = tuple[int, int, ssl.SSLContext]
FORGED = {
    "X-Forwarded-For": "6.6.6.6",
    "X-Forwarded-Host": "elsewhere.example.org",
    "X-Forwarded-Proto": "gopher",
    "X-Forwarded-Prefix": "/x",
    "Forwarded": "for=6.6.6.6",
    "Via": "1.1 elsewhere",
    "X-Real-IP": "6.6.6.6",
}


class Echo(BaseHTTPRequestHandler):
    """Stands for the service: tells what came, and answers chunks as they come."""

    protocol_version = "HTTP/1.1"

    def do_GET(self) -> None:
        """The headers that came."""
        body = json.dumps({name.lower(): value for name, value in self.headers.items()}).encode()
        self.send_response(200)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def do_POST(self) -> None:
        """The chunks of a body, each as it came; of a whole body its length."""
        self.send_response(200)
        if "Content-Length" in self.headers:
            length = len(self.rfile.read(int(self.headers["Content-Length"])))
            body = str(length).encode()
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)
            return
        self.send_header("Transfer-Encoding", "chunked")
        self.end_headers()
        while size := int(self.rfile.readline(), 16):
            part = self.rfile.read(size)
            self.rfile.readline()
            self.wfile.write(b"%x\r\n%b\r\n" % (len(part), part))
        self.rfile.readline()
        self.wfile.write(b"0\r\n\r\n")

    def log_message(self, *_arguments: object) -> None:
        """Say nothing."""


@contextmanager
def echoing() -> Iterator[int]:
    """A server that stands for the service, and its port."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), Echo)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield server.server_address[1]
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


@pytest.fixture(scope="module")
def proxy(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """The proxy before a server that stands for the service."""
    with echoing() as port, proxy_before(port, tmp_path_factory.mktemp("proxy")) as place:
        yield place


@contextmanager
def secure_caller(place: Place) -> Iterator[ssl.SSLSocket]:
    """A connection by TLS, the certificate looked at."""
    with (
        socket.create_connection(("127.0.0.1", place[1]), timeout=20) as plain,
        place[2].wrap_socket(plain, server_hostname=NAME) as caller,
    ):
        yield caller


def asked(place: Place, method: str, path: str, body: bytes = b"") -> http.client.HTTPResponse:
    """The whole answer to a call by TLS."""
    with secure_caller(place) as caller:
        head = {"Host": NAME, "Content-Length": str(len(body)), "Connection": "close"}
        lines = [f"{method} {path} HTTP/1.1", *(f"{n}: {v}" for n, v in {**head, **FORGED}.items())]
        caller.sendall("\r\n".join([*lines, "", ""]).encode() + body)
        answer = http.client.HTTPResponse(caller, method=method)
        answer.begin()
        answer.read_body = answer.read()  # type: ignore[attr-defined]
    return answer


def body_of(answer: http.client.HTTPResponse) -> bytes:
    """What was read of an answer."""
    read: bytes = answer.read_body  # type: ignore[attr-defined]
    return read


def test_proxy_tells_who_calls_and_drops_what_he_says_of_it(proxy: Place) -> None:
    """The service gets the caller's own address, scheme and name, each once; headers by which a
    caller would forge them are gone."""
    came = json.loads(body_of(asked(proxy, "GET", "/v1/soils")))
    told = {name: came[name] for name in came if name.startswith(("x-", "forwarded", "via"))}
    assert told == {
        "x-forwarded-for": "127.0.0.1",
        "x-forwarded-host": NAME,
        "x-forwarded-proto": "https",
    }
    assert came["host"] == NAME


def test_proxy_sends_browsers_to_tls(proxy: Place) -> None:
    """A plain call is sent to the same address by TLS, by the configured name and none other."""
    connection = http.client.HTTPConnection("127.0.0.1", proxy[0], timeout=20)
    connection.request("GET", "/q/abc?x=1", headers={"Host": "elsewhere.example.org"})
    answer = connection.getresponse()
    answer.read()
    connection.close()
    assert answer.status == 301
    assert answer.headers["Location"] == f"https://{NAME}/q/abc?x=1"
    secure = asked(proxy, "GET", "/")
    assert secure.headers["Strict-Transport-Security"] == "max-age=31536000"
    assert secure.headers["Server"] == "nginx"


@pytest.mark.parametrize("version", [ssl.TLSVersion.TLSv1_2, ssl.TLSVersion.TLSv1_3])
def test_proxy_speaks_tls(proxy: Place, version: ssl.TLSVersion) -> None:
    """TLS 1.2 and 1.3 are spoken, by the name's own certificate."""
    context = proxy[2]
    context.minimum_version = context.maximum_version = version
    with secure_caller(proxy) as caller:
        assert caller.version() == version.name.replace("_", ".")
    context.minimum_version, context.maximum_version = (
        ssl.TLSVersion.TLSv1_2,
        ssl.TLSVersion.MAXIMUM_SUPPORTED,
    )


def test_proxy_takes_a_suppliers_file(proxy: Place) -> None:
    """A file of 16 MiB passes, a byte more is refused."""
    path, most = "/v1/price-lists/yard/imports", 16 * 1024 * 1024
    assert body_of(asked(proxy, "POST", path, b"x" * most)) == str(most).encode()
    with secure_caller(proxy) as caller:
        head = f"POST {path} HTTP/1.1\r\nHost: {NAME}\r\nContent-Length: {most + 1}\r\n\r\n"
        caller.sendall(head.encode())
        assert caller.recv(4096).startswith(b"HTTP/1.1 413 ")


def test_proxy_streams_a_batch_both_ways(proxy: Place) -> None:
    """A line of a batch is answered while the caller still holds back the next one."""
    with secure_caller(proxy) as caller:
        caller.sendall(
            f"POST /v1/quotes/batch HTTP/1.1\r\nHost: {NAME}\r\n"
            "Transfer-Encoding: chunked\r\n\r\n".encode()
        )
        seen = b""
        for line in (b"first\n", b"second\n", b"third\n"):
            caller.sendall(b"%x\r\n%b\r\n" % (len(line), line))
            while line not in seen:
                seen += caller.recv(4096)
        caller.sendall(b"0\r\n\r\n")


def test_proxy_keeps_connections_shorter_than_the_service() -> None:
    """The proxy lets an idle connection go before the service would shut it under a call."""
    text = CONFIGURATION.read_text(encoding="utf-8")
    (seconds,) = (int(part.split("s;")[0]) for part in text.split("keepalive_timeout ")[1:])
    assert seconds < Settings().idle_seconds


def test_proxy_keeps_metrics_in_the_house(proxy: Place) -> None:
    """Nobody reads the figures of operation from outside."""
    assert asked(proxy, "GET", "/metrics").status == 404


def test_proxy_before_the_service_lets_keys_through(tmp_path: Path) -> None:
    """Behind the proxy a key is asked for and works, the service knows the proxy for its own, and a
    batch is answered line by line."""
    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    key = new_key(url, "field")["key"]
    settings = {"SERVICE_PUBLIC_URL": f"https://{NAME}", "SERVICE_TRUSTED_PROXIES": "127.0.0.1"}
    with (
        running_service(log=subprocess.DEVNULL, SERVICE_DATABASE_URL=url, **settings) as (_, port),
        proxy_before(port, tmp_path) as place,
    ):
        assert asked(place, "GET", "/v1/soils").status == 401
        with secure_caller(place) as caller:
            caller.sendall(
                f"POST /v1/quotes/batch HTTP/1.1\r\nHost: {NAME}\r\nAuthorization: Bearer {key}\r\n"
                "Content-Type: application/x-ndjson\r\nTransfer-Encoding: chunked\r\n\r\n".encode()
            )
            seen, line = b"", json.dumps(small_request()).encode() + b"\n"
            for number in (1, 2):
                caller.sendall(b"%x\r\n%b\r\n" % (len(line), line))
                while b'{"line":%d,' % number not in seen:
                    seen += caller.recv(65536)
            caller.sendall(b"0\r\n\r\n")
            while b'{"end":true,' not in seen:
                seen += caller.recv(65536)
    assert seen.startswith(b"HTTP/1.1 200 ")
    assert b"strict-transport-security: " in seen.lower()
