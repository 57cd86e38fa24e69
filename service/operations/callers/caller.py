"""Who calls, and what for.

`quotes` contains `field`; nothing else contains anything: who keeps prices, or administers keys,
makes no quotes by that.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

KeyScope = Literal["website", "field", "quotes", "prices", "admin"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Caller:
    """Who calls: `by` is the id of a key, `link`, `website`, `loopback` or `command-line`.

    A key for a website names its entry in the catalog, and the origins of the pages it stands in.
    """

    by: str
    scopes: frozenset[KeyScope]
    website: str = ""
    origins: tuple[str, ...] = ()

    def may(self, scope: KeyScope) -> bool:
        """Whether a scope is among the caller's, or contained in one of them."""
        return scope in self.scopes or (scope == "field" and "quotes" in self.scopes)

    @property
    def sees_money(self) -> bool:
        """Whether quotes are answered with their prices."""
        return "quotes" in self.scopes


# Who sits at the machine, as long as no key was ever made.
_EVERYTHING: Final = frozenset[KeyScope]({"field", "quotes", "prices", "admin"})
LOOPBACK: Final = Caller(by="loopback", scopes=_EVERYTHING)
# Who shows no key where none is asked for.
NOBODY: Final = Caller(by="", scopes=frozenset())
COMMAND_LINE: Final = Caller(by="command-line", scopes=_EVERYTHING)
