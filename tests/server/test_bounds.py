"""How many connections one address may hold."""

from service.server.bounds import Crowd


def test_crowd_holds_so_many_of_one_address() -> None:
    """Two of an address are let in, a third is not; one that leaves makes room for one, and
    another address has its own two."""
    crowd = Crowd(2)
    assert [crowd.enter("192.0.2.1") for _ in range(3)] == [True, True, False]
    assert crowd.enter("192.0.2.2")
    crowd.leave("192.0.2.1")
    assert [crowd.enter("192.0.2.1") for _ in range(2)] == [True, False]


def test_crowd_counts_nobody_of_this_machine() -> None:
    """A proxy stands on loopback, with all callers behind it; 0 counts nobody at all."""
    crowd = Crowd(1)
    for address in ("127.0.0.1", "::1", ""):
        assert all(crowd.enter(address) for _ in range(3))
    assert all(Crowd(0).enter("192.0.2.1") for _ in range(3))
