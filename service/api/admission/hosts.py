"""Under which names the service answers, and which pages are its own."""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable
from urllib.parse import urlsplit

LOOPBACK_HOSTS = frozenset({"localhost", "127.0.0.1", "[::1]"})


class Hosts:
    """The names that a request's `Host` may give besides loopback, and the service's own origin.

    `public_url` is where callers find it, a path in front included.
    """

    def __init__(self, names: Iterable[str] = (), public_url: str = "") -> None:
        self.public_url = public_url
        public = urlsplit(public_url)
        own = {_name(public.netloc)} if public_url else set()
        self._names = LOOPBACK_HOSTS | {name.lower() for name in names} | own
        self._origin = f"{public.scheme}://{public.netloc}" if public_url else None

    def passes(self, host: str, *, literal: bool) -> bool:
        """Whether a `Host` is answered to; `literal`: one that is an address too."""
        name = _name(host)
        return name in self._names or (literal and _is_address(name))

    def is_own(self, origin: str, host: str) -> bool:
        """Whether an `Origin` is the service's own, by the `Host` it came by or in public."""
        return origin in {f"http://{host}", f"https://{host}", self._origin}


def _name(host: str) -> str:
    """`Host` without the port."""
    name, bracket, rest = host.partition("]")
    if bracket:
        return name + bracket if not rest or rest.startswith(":") else host
    return host.partition(":")[0]


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name.removeprefix("[").removesuffix("]"))
    except ValueError:
        return False
    return True
