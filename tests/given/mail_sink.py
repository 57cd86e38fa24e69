"""A mail server of this machine that keeps what it is sent (RFC 5321, what a client needs)."""

from __future__ import annotations

import socketserver
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes
from email.message import Message

from tests.given.service_process import HOST


class MailSink(socketserver.ThreadingTCPServer):
    """The server; `mails` are those that came whole. While `full` it takes none."""

    daemon_threads = True

    def __init__(self) -> None:
        super().__init__((HOST, 0), _Session)
        self.mails: list[Message] = []
        self.full = False

    @property
    def place(self) -> str:
        """Where it listens, as host:port."""
        return f"{HOST}:{self.server_address[1]}"


class _Session(socketserver.StreamRequestHandler):
    """One client."""

    server: MailSink

    def handle(self) -> None:
        self._say("220 sink")
        while line := self.rfile.readline():
            word = line.split()[0].upper().rstrip(b"\r\n") if line.strip() else b""
            if word == b"DATA":
                self._take()
            elif word == b"QUIT":
                self._say("221 bye")
                return
            else:
                self._say("452 full" if word == b"MAIL" and self.server.full else "250 ok")

    def _take(self) -> None:
        self._say("354 go on")
        lines: list[bytes] = []
        while (line := self.rfile.readline()) not in {b".\r\n", b""}:
            lines.append(line.removeprefix(b".") if line.startswith(b"..") else line)
        self.server.mails.append(message_from_bytes(b"".join(lines)))
        self._say("250 kept")

    def _say(self, words: str) -> None:
        self.wfile.write(f"{words}\r\n".encode())


@contextmanager
def mail_sink() -> Iterator[MailSink]:
    """A mail server that listens until the block ends."""
    with MailSink() as sink:
        thread = threading.Thread(target=sink.serve_forever, daemon=True)
        thread.start()
        try:
            yield sink
        finally:
            sink.shutdown()
            thread.join()
