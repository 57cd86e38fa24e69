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


def test_crowd_counts_a_site_of_ipv6_once() -> None:
    """Whoever has one address of IPv6 has 2^64 of them: its first 64 bits count. An IPv4 address
    that is written as IPv6 is that address."""
    crowd = Crowd(2)
    of_one = ("2001:db8:0:1::1", "2001:db8:0:1:ffff:ffff:ffff:ffff", "2001:db8:0:1::2")
    assert [crowd.enter(each) for each in of_one] == [True, True, False]
    assert crowd.enter("2001:db8:0:2::1")
    crowd.leave(of_one[1])
    assert [crowd.enter(each) for each in of_one] == [True, False, False]
    mapped = ("192.0.2.1", "::ffff:192.0.2.1", "::ffff:c000:201", "::ffff:192.0.2.2")
    assert [crowd.enter(each) for each in mapped] == [True, True, False, True]
    assert [crowd.enter("fe80::1%eth0"), crowd.enter("fe80::2%eth0")] == [True, True]
    assert not crowd.enter("fe80::3%eth0")


def test_crowd_counts_nobody_of_this_machine() -> None:
    """A proxy stands on loopback, with all callers behind it; 0 counts nobody at all."""
    crowd = Crowd(1)
    for address in ("127.0.0.1", "::1", "::ffff:127.0.0.1", ""):
        assert all(crowd.enter(address) for _ in range(3))
    assert all(Crowd(0).enter("192.0.2.1") for _ in range(3))
