"""How many calls an hour, by address and over all: counted in the database, so that all processes
count together.

Headers are those of the IETF draft "RateLimit header fields for HTTP": two policies, `address`
and `all`. A call that is refused isn't counted, so that one caller can't use up everybody's.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, TypeAlias

from starlette.types import Scope

from service.api.admission.crossing import EXTRA_HEADERS
from service.api.problems import ProblemError
from service.storage import StorageError

if TYPE_CHECKING:
    from service.storage import Store
    from service.storage.counted_calls import Counted

HOUR_S: Final = 3600


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How an hour stands under one policy: what is left, and in how many seconds there is more."""

    name: str
    most: int
    left: int
    seconds: int

    @property
    def refuses(self) -> bool:
        """Whether there is no room for another call."""
        return self.left < 0


RunStoring: TypeAlias = (
    "Callable[[Callable[[Store], Sequence[Standing]]], Awaitable[Sequence[Standing]]]"
)


class Limits:
    """So many calls an hour by address and over all; 0 is no limit. `run` works on the database
    in a thread."""

    def __init__(self, by_address: int, over_all: int, run: RunStoring) -> None:
        self._most = (("address", by_address), ("all", over_all))
        self._run = run

    async def count(self, scope: Scope, address: str) -> None:
        """Count a call of an address. Raises ProblemError where it is one too many."""
        if not any(most for _, most in self._most):
            return
        try:
            standings = await self._run(lambda store: self._counted(store, address))
        except StorageError as error:
            raise ProblemError("storage-unavailable", headers={"Retry-After": "2"}) from error
        extra: list[tuple[bytes, bytes]] = scope[EXTRA_HEADERS]
        extra.append((b"ratelimit-policy", _policies(standings)))
        extra.append((b"ratelimit", _left(standings)))
        if full := [each for each in standings if each.refuses]:
            wait = max(each.seconds for each in full)
            raise ProblemError("rate-limited", headers={"Retry-After": str(wait)})

    def _counted(self, store: Store, address: str) -> Sequence[Standing]:
        from service.storage import counted_calls  # noqa: PLC0415  its library is loaded with the store

        now = store.now()
        with store.write() as connection:
            found = counted_calls.count(connection, address, now - HOUR_S, now)
            standings = [
                _standing(name, most, counted, now)
                for (name, most), counted in zip(self._most, found, strict=True)
                if most
            ]
            if not any(each.refuses for each in standings):
                counted_calls.note(connection, address, now)
        return standings


def _standing(name: str, most: int, counted: Counted, now: int) -> Standing:
    first = now if counted.first_at is None else counted.first_at
    left = most - counted.calls - 1
    return Standing(name=name, most=most, left=left, seconds=max(first + HOUR_S - now, 1))


def _policies(standings: Sequence[Standing]) -> bytes:
    return ", ".join(f'"{each.name}";q={each.most};w={HOUR_S}' for each in standings).encode()


def _left(standings: Sequence[Standing]) -> bytes:
    return ", ".join(
        f'"{each.name}";r={max(each.left, 0)};t={each.seconds}' for each in standings
    ).encode()
