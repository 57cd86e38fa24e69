"""The tests' own guard: nothing they start in this process reaches another machine."""

import socket

import pytest


def test_guard_refuses_other_machines() -> None:
    """Neither an address nor a name of another machine can be reached."""
    with socket.socket() as outside, pytest.raises(AssertionError, match=r"192\.0\.2\.1"):
        outside.connect(("192.0.2.1", 80))
    with socket.socket() as outside, pytest.raises(AssertionError, match=r"192\.0\.2\.1"):
        outside.connect_ex(("192.0.2.1", 80))
    with (
        socket.socket(type=socket.SOCK_DGRAM) as outside,
        pytest.raises(AssertionError, match=r"192\.0\.2\.1"),
    ):
        outside.sendto(b"", ("192.0.2.1", 80))
    with pytest.raises(AssertionError, match="example"):
        socket.getaddrinfo("host.example", 80)


def test_guard_allows_this_machine() -> None:
    """A loopback address can be reached."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        socket.create_connection(server.getsockname()).close()
