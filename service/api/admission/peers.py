"""Who stands at the other end of a connection, and behind it: proxies, addresses."""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable, Sequence
from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network

from starlette.types import Scope

Network = IPv4Network | IPv6Network
Head = Iterable[tuple[bytes, bytes]]

_FORWARDED = b"x-forwarded-"
_PROXY_NAMES = frozenset({b"forwarded", b"via"})
_IPV6_SITE = 64


def came_by_proxy(headers: Head) -> bool:
    """Whether a head tells of a proxy (RFC 7239; RFC 9110, 7.6.3; and what is common)."""
    return any(name in _PROXY_NAMES or name.startswith(_FORWARDED) for name, _ in headers)


def is_trusted(scope: Scope, trusted: Sequence[Network]) -> bool:
    """Whether what a peer says of a caller's address counts."""
    peer = address_of(_peer(scope))
    return peer is not None and _within(peer, trusted)


def caller_address(scope: Scope, trusted: Sequence[Network]) -> str:
    """The address calls are counted by: the peer's, or the last one that a trusted proxy doesn't
    vouch for."""
    peer = address_of(_peer(scope))
    if peer is None:
        return ""
    found = peer
    if _within(peer, trusted):
        told = b",".join(value for name, value in scope["headers"] if name == b"x-forwarded-for")
        for text in reversed(told.decode("latin-1").split(",")):
            before = address_of(text.strip())
            if before is None:
                break
            found = before
            if not _within(before, trusted):
                break
    return counted(found)


def counted(address: IPv4Address | IPv6Address) -> str:
    """By what calls of an address are counted: of IPv6 the first 64 bits, which one site has to
    itself."""
    if isinstance(address, IPv4Address):
        return str(address)
    return str(ipaddress.ip_network((address, _IPV6_SITE), strict=False))


def _peer(scope: Scope) -> str:
    client = scope.get("client")
    return str(client[0]) if client else ""


def address_of(text: str) -> IPv4Address | IPv6Address | None:
    """A text as an address, an IPv4 one that is written as IPv6 (::ffff:192.0.2.1) as what it is;
    None of what is none."""
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        return None
    mapped = address.ipv4_mapped if isinstance(address, IPv6Address) else None
    return mapped or address


def _within(address: IPv4Address | IPv6Address, networks: Sequence[Network]) -> bool:
    return any(address in network for network in networks)
