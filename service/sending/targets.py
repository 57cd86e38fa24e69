"""Where messages may be sent to: no address inside, however it is spelled.

An address of a target is taken apart by one strict grammar, and the parts that it finds are the
parts that are used: no second reader can understand it otherwise. Names are looked up by whoever
connects, each time, and each address that a name stands for is held against `is_outside`.
"""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Collection
from dataclasses import dataclass

MOST_CHARACTERS = 2000
PORTS = (443, 8443)
_USUAL = {"https": 443, "http": 80}

# RFC 3986, narrowed: letters, digits, dots and hyphens as a host, or an address in brackets; no
# user, no fragment, nothing that needs guessing.
_ADDRESS = re.compile(
    r"(?P<scheme>[A-Za-z]+)://(?P<host>[A-Za-z0-9.-]{1,253}|\[[0-9A-Fa-f:.]{2,45}\])"
    r"(?::(?P<port>[0-9]{1,5}))?(?P<rest>(?:/[!$-;=?-Z_a-z~\[\]]*)?(?:\?[!$-;=?-Z_a-z~\[\]]*)?)",
    re.ASCII,
)
_LABEL = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?", re.ASCII)
# What readers of numbers take for an address or a part of one: 127.1, 0x7f000001, 2130706433.
_NUMBER = re.compile(r"[0-9]+|0x[0-9a-f]*", re.ASCII)
_LOOPBACK_NAME = re.compile(r"(?:.*\.)?localhost", re.ASCII)  # RFC 6761, section 6.3

# RFC 4291 and the IANA registry: unicast addresses of the whole net begin with 001. Of these,
# 6to4 (RFC 3056) and Teredo (RFC 4380) carry an IPv4 address on to wherever it leads.
_UNICAST = ipaddress.IPv6Network("2000::/3")
_CARRIERS = (ipaddress.IPv6Network("2002::/16"), ipaddress.IPv6Network("2001::/32"))


class TargetRefusedError(ValueError):
    """Nothing is sent there; the message says why, and what would do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """Where to send to, in parts. `any_address`: whoever runs the service named it."""

    scheme: str
    host: str
    port: int
    path: str
    any_address: bool


def read_target(url: str, allowed: Collection[str] = ()) -> Target:
    """Take a target's address apart. `allowed` are `host:port` for which the rules of address,
    scheme and port don't hold. Raises TargetRefusedError; looks no name up."""
    found = _ADDRESS.fullmatch(url) if len(url) <= MOST_CHARACTERS else None
    if found is None:
        raise TargetRefusedError(
            "it is no plain address of a web server: https://, a host, perhaps a port, a path and "
            "a query, in ASCII and without user or fragment"
        )
    scheme, host = found["scheme"].lower(), found["host"].lower()
    if scheme not in _USUAL:
        raise TargetRefusedError("messages go to https:// addresses")
    port = int(found["port"] or _USUAL[scheme])
    any_address = f"{host}:{port}" in allowed
    if not any_address:
        _check_way(scheme, port)
    _check_host(host, any_address=any_address)
    rest = found["rest"]
    return Target(
        scheme=scheme,
        host=host.strip("[]"),
        port=port,
        path=rest if rest.startswith("/") else f"/{rest}",
        any_address=any_address,
    )


def is_outside(text: str) -> bool:
    """Whether an address is one of the public net, behind which nobody inside can stand."""
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        return False
    if isinstance(address, ipaddress.IPv4Address):
        return address.is_global and not address.is_multicast
    if (mapped := address.ipv4_mapped) is not None:
        return mapped.is_global and not mapped.is_multicast
    carried = any(address in net for net in _CARRIERS)
    return address in _UNICAST and address.is_global and not carried


def _check_way(scheme: str, port: int) -> None:
    if scheme != "https":
        raise TargetRefusedError("messages go to https:// addresses")
    if port not in PORTS:
        raise TargetRefusedError(f"port {port} is none of those that messages go to: 443, 8443")


def _check_host(host: str, *, any_address: bool) -> None:
    if host.startswith("["):
        _check_literal(host.strip("[]"), any_address=any_address)
        return
    labels = host.split(".")
    if _NUMBER.fullmatch(labels[-1] or "-"):
        _check_literal(host, any_address=any_address)
    elif not all(_LABEL.fullmatch(label) for label in labels):
        raise TargetRefusedError(f"{host} is no name of a host")
    elif _LOOPBACK_NAME.fullmatch(host) and not any_address:
        raise TargetRefusedError(f"{host} is this machine itself")


def _check_literal(text: str, *, any_address: bool) -> None:
    try:
        ipaddress.ip_address(text)
    except ValueError as error:
        message = f"{text} is no address: it has four numbers from 0 to 255, or stands in brackets"
        raise TargetRefusedError(message) from error
    if not any_address and not is_outside(text):
        raise TargetRefusedError(f"{text} is an address inside, not one of the public net")
