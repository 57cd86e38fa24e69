"""Something on loopback that hears who connects, and what it is told; it answers as it is set."""

import contextlib
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Reply = Callable[[socket.socket], None]


def reply(status: int, *headers: str) -> Reply:
    """An empty answer of a status."""
    head = "".join(f"{line}\r\n" for line in (*headers, "Content-Length: 0", "Connection: close"))

    def answer(caller: socket.socket) -> None:
        caller.sendall(f"HTTP/1.1 {status} x\r\n{head}\r\n".encode("ascii"))

    return answer


def silent(caller: socket.socket) -> None:
    """Say nothing until the caller hangs up."""
    caller.settimeout(30)
    caller.recv(1)


def dripping(caller: socket.socket) -> None:
    """A head without end, a little at a time."""
    caller.sendall(b"HTTP/1.1 200 x\r\n")
    with contextlib.suppress(OSError):
        for number in range(1000):
            caller.sendall(f"X-{number}: x\r\n".encode("ascii"))
            time.sleep(0.05)


def endless(caller: socket.socket) -> None:
    """A body without end."""
    caller.sendall(b"HTTP/1.1 200 x\r\nConnection: close\r\n\r\n")
    with contextlib.suppress(OSError):
        while True:
            caller.sendall(b"x" * 65536)


class Listener:
    """Connections it had, and the whole requests that came over them."""

    def __init__(self, answer: Reply) -> None:
        self.answer = answer
        self.connections = 0
        self.requests: list[tuple[dict[str, str], bytes]] = []
        self.sockets: list[socket.socket] = []
        self.port = 0

    def headers(self, number: int = -1) -> dict[str, str]:
        """The headers of a request, names in small letters."""
        return self.requests[number][0]

    def body(self, number: int = -1) -> bytes:
        """The body of a request."""
        return self.requests[number][1]

    def take(self, caller: socket.socket) -> None:
        """Read one request, and answer."""
        self.connections += 1
        caller.settimeout(10)
        with caller, contextlib.suppress(OSError, ValueError, IndexError):
            received = b""
            while b"\r\n\r\n" not in received:
                more = caller.recv(65536)
                if not more:
                    return
                received += more
            head, _, body = received.partition(b"\r\n\r\n")
            lines = head.decode("latin-1").split("\r\n")
            named = dict(line.split(": ", 1) for line in lines[1:])
            headers = {name.lower(): value for name, value in named.items()}
            while len(body) < int(headers["content-length"]):
                body += caller.recv(65536)
            self.requests.append(({**headers, ":line": lines[0]}, body))
            self.answer(caller)

    def listen(self, server: socket.socket) -> None:
        """Take calls until the socket is closed."""
        with contextlib.suppress(OSError):
            while True:
                caller, _ = server.accept()
                threading.Thread(target=self.take, args=(caller,), daemon=True).start()


@contextmanager
def listening(answer: Reply | None = None) -> Iterator[Listener]:
    """A listener on a port of its own, of both loopback addresses where there are two."""
    listener = Listener(answer or reply(204))
    first = socket.create_server(("127.0.0.1", 0))
    listener.port = first.getsockname()[1]
    servers = [first]
    with contextlib.suppress(OSError):
        servers.append(socket.create_server(("::1", listener.port), family=socket.AF_INET6))
    # A call to 127.0.0.2 or 0.0.0.0 reaches a listener on every address only.
    for server in servers:
        threading.Thread(target=listener.listen, args=(server,), daemon=True).start()
    try:
        yield listener
    finally:
        for server in servers:
            with contextlib.suppress(OSError):
                server.shutdown(socket.SHUT_RDWR)
            server.close()
