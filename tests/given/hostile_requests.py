"""Bytes that no well-meaning caller sends, by name."""

from __future__ import annotations

from collections.abc import Iterator

HOST = b"Host: localhost\r\n"
JSON = b"Content-Type: application/json\r\n"
CHUNKED = b"Transfer-Encoding: chunked\r\n"
END = b"\r\n"
CONTROLS = (0, 1, 7, 8, 9, 10, 11, 12, 13, 27, 31, 127, 128, 255)
ODD_LENGTHS = (
    b"-1",
    b"+2",
    b"2.0",
    b"0x2",
    b"1e1",
    b"2 2",
    b"2,3",
    b"9" * 30,
    b"",
    b"\xb2",
    b"2_0",
)
ODD_CHUNKS = (b"-1", b"+2", b"0x2", b"2 ", b" 2", b"g", b"f" * 30, b"", b"2;" + b"x" * 20_000)
ODD_VERSIONS = (
    b"HTTP/0.9",
    b"HTTP/1.2",
    b"HTTP/2.0",
    b"HTTP/9.9",
    b"HTTP/1",
    b"http/1.1",
    b"X/1.1",
)
ODD_METHODS = (
    b"get",
    b"G T",
    b"G\x00T",
    b"GET\t",
    b"X" * 20_000,
    b"",
    b"TRACE",
    b"CONNECT",
    b"PRI",
)
ODD_PATHS = (
    b"", b"*", b"//", b"/..", b"/%", b"/%00", b"/%ff", b"/\xff", b"/%2e%2e/", b"/v1/quotes/",
    b"http://localhost/health/live", b"http://evil.example/", b"/" + b"a" * 20_000,
    b"/health/live?" + b"a" * 20_000, b"/" + b"%41" * 3000, b"/v1/saved-quotes/%00",
    b"/v1/saved-quotes/" + b"a" * 5000, b"/problems/%3Cscript%3E",
    b"/static-offline-docs/../app.py",
    b"/static-offline-docs/%2e%2e%2fapp.py", b"/v1/soils?limit=1e9", b"/v1/soils?cursor=%ff",
)  # fmt: skip
ODD_HOSTS = (b"", b"evil.example", b"localhost@evil", b"[::1", b"localhost:x", b"a" * 5000, b"\xff")
ODD_BODIES = (
    b"", b"{", b"[" * 5000, b"nul", b"NaN", b"1e999", b"\xff\xfe", b'"\\ud800"', b'{"a":1,"a":2}',
    b'"\\u0000"', b"9" * 5000, b"{}x", b"\xef\xbb\xbf{}", b"[]", b"1", b'"' + b"x" * 50_000 + b'"',
)  # fmt: skip


def hostile_requests() -> dict[str, bytes]:
    """All of them."""
    return dict([*_lines(), *_heads(), *_bodies()])


def get(
    *,
    path: bytes = b"/health/live",
    method: bytes = b"GET",
    version: bytes = b"HTTP/1.1",
    heads: bytes = HOST,
) -> bytes:
    """A request without a body."""
    return method + b" " + path + b" " + version + END + heads + END


def post(body: bytes, *, framing: bytes | None = None, heads: bytes = HOST + JSON) -> bytes:
    """A quote with this body."""
    framed = b"Content-Length: %d\r\n" % len(body) if framing is None else framing
    return b"POST /v1/quotes HTTP/1.1\r\n" + heads + framed + END + body


def _lines() -> Iterator[tuple[str, bytes]]:
    """First lines."""
    for number, odd in enumerate(ODD_METHODS):
        yield f"method {number}", get(method=odd)
    for number, odd in enumerate(ODD_PATHS):
        yield f"path {number}", get(path=odd)
    for odd in ODD_VERSIONS:
        yield f"version {odd!r}", get(version=odd)
    for code in CONTROLS:
        yield f"byte {code} in the path", get(path=b"/a" + bytes([code]) + b"b")
        yield f"byte {code} first", bytes([code]) + get()
    yield "TLS", bytes.fromhex("16030100a5010000a10303") + bytes(range(64)) + END + END
    yield "no line", END * 3
    yield "bare line feeds", get().replace(END, b"\n")
    yield "carriage returns", get().replace(END, b"\r") + END + END
    yield "one word", b"GET\r\n\r\n"
    yield "four words", b"GET / x HTTP/1.1\r\n" + HOST + END


def _heads() -> Iterator[tuple[str, bytes]]:
    """Headers."""
    for number, odd in enumerate(ODD_HOSTS):
        yield f"host {number}", get(heads=b"Host: " + odd + END)
    for code in CONTROLS:
        yield f"byte {code} in a name", get(heads=HOST + b"X-" + bytes([code]) + b"a: 1\r\n")
        yield f"byte {code} in a value", get(heads=HOST + b"X-a: 1" + bytes([code]) + b"2\r\n")
    yield "no host", get(heads=b"")
    yield "two hosts", get(heads=HOST * 2)
    yield "folded", get(heads=HOST + b"X-a: 1\r\n 2\r\n")
    yield "folded at once", get(heads=b" folded\r\n" + HOST)
    yield "no colon", get(heads=HOST + b"X-a\r\n")
    yield "blank before the colon", get(heads=HOST + b"X-a : 1\r\n")
    yield "no name", get(heads=HOST + b": 1\r\n")
    yield "many headers", get(heads=HOST + b"a: b\r\n" * 5000)
    yield "a long header", get(heads=HOST + b"X-a: " + b"x" * 100_000 + END)
    yield "a foreign origin", get(heads=HOST + b"Origin: http://evil.example\r\n")
    yield "another page", get(heads=HOST + b"Accept: image/png\r\n")
    yield "an upgrade", get(heads=HOST + b"Connection: upgrade\r\nUpgrade: websocket\r\n")
    yield "h2c", get(heads=HOST + b"Connection: Upgrade, HTTP2-Settings\r\nUpgrade: h2c\r\n")
    yield "an odd request id", get(heads=HOST + b"X-Request-ID: <script>\r\n")
    yield "many ranges", get(heads=HOST + b"Range: bytes=" + b"0-1," * 2000 + b"2-\r\n")
    yield "expects the impossible", get(heads=HOST + b"Expect: the impossible\r\n")


def _bodies() -> Iterator[tuple[str, bytes]]:
    """Bodies and their framing."""
    for odd in ODD_LENGTHS:
        yield f"length {odd[:8]!r}", post(b"{}", framing=b"Content-Length: " + odd + END)
    for number, odd in enumerate(ODD_CHUNKS):
        yield f"chunk {number}", post(odd + b"\r\n{}\r\n0\r\n\r\n", framing=CHUNKED)
    for number, odd in enumerate(ODD_BODIES):
        yield f"body {number}", post(odd)
        chunk = b"%x\r\n" % len(odd) + odd + END if odd else b""
        yield f"body {number} in chunks", post(chunk + b"0\r\n\r\n", framing=CHUNKED)
    both = b"Content-Length: 2\r\n" + CHUNKED
    yield "both framings", post(b"0\r\n\r\n", framing=both)
    yield "both, turned round", post(b"0\r\n\r\n", framing=CHUNKED + b"Content-Length: 2\r\n")
    yield "two lengths", post(b"{}", framing=b"Content-Length: 2\r\nContent-Length: 3\r\n")
    yield "two codings", post(b"0\r\n\r\n", framing=CHUNKED * 2)
    for coding in (b"gzip, chunked", b"chunked, gzip", b"identity", b"x", b"", b"\x0bchunked"):
        framing = b"Transfer-Encoding: " + coding + END
        yield f"coding {coding!r}", post(b"0\r\n\r\n", framing=framing)
    yield "crumbs", post(b"1\r\n \r\n" * 20_000 + b"0\r\n\r\n", framing=CHUNKED)
    yield "a trailer", post(b"2\r\n{}\r\n0\r\nHost: evil\r\n\r\n", framing=CHUNKED)
    yield "a long trailer", post(b"2\r\n{}\r\n0\r\nX: " + b"x" * 50_000 + END * 2, framing=CHUNKED)
    yield "2 MB", post(b" " * 2_000_000)
    yield (
        "2 MB in chunks",
        post(
            b"100000\r\n"
            + b" " * 0x100000
            + END
            + b"100000\r\n"
            + b" " * 0x100000
            + END
            + b"0\r\n\r\n",
            framing=CHUNKED,
        ),
    )
    yield "a body for a read", get(heads=HOST + b"Content-Length: 5\r\n") + b"GET /"
    yield "HTTP/1.0 in chunks", post(b"0\r\n\r\n", framing=CHUNKED).replace(b"1.1", b"1.0")
    for kind in (b"", b"text/plain", b"application/json; charset=utf-16", b"a/b, c/d"):
        heads = HOST + b"Content-Type: " + kind + END
        yield f"type {kind!r}", post(b"{}", heads=heads)
    for coding in (b"gzip", b"br", b"identity, gzip"):
        heads = HOST + JSON + b"Content-Encoding: " + coding + END
        yield f"content in {coding!r}", post(b"{}", heads=heads)
    yield "a request behind a refusal", get(version=b"HTTP/9.9") + get()
    yield "one hidden in a body", post(get(), framing=b"Content-Length: 4\r\n")
