"""Connections to PostgreSQL that give up on a server that gives no answer.

The limits that a server keeps (`statement_timeout`) say nothing of one that is stopped or cut
off, and the system tells of a cut line after many minutes. So a connection itself looks at the
clock while it waits.
"""

from __future__ import annotations

import time
from collections.abc import Generator
from typing import Any, Final

from sqlalchemy import Engine, event

# A server that does not take a connection within this is gone.
CONNECT_S: Final = 3
# After so long without an answer a connection asks whether the server takes others yet.
ASK_S: Final = 3
# No statement of a caller's takes this long.
STATEMENT_S: Final = 60
_LINE: Final = {
    "connect_timeout": CONNECT_S,
    "application_name": "wall-quote-service",
    # A cut line, in TCP: what was sent and not acknowledged, and silence.
    "tcp_user_timeout": 5000,
    "keepalives_idle": 10,
    "keepalives_interval": 3,
    "keepalives_count": 3,
}


def line_options(lock_wait_s: int, *, bounded: bool) -> dict[str, Any]:
    """How a connection is made; `bounded`: with a limit on statements."""
    options = f"-c lock_timeout={lock_wait_s * 1000} -c timezone=UTC"
    options += f" -c idle_in_transaction_session_timeout={60 * 1000}"
    if bounded:
        options += f" -c statement_timeout={STATEMENT_S * 1000}"
    return {**_LINE, "options": options}


def give_up_on_silence(engine: Engine) -> None:
    """Have an engine connect so that a server that gives no answer is gone within seconds."""
    event.listen(engine, "do_connect", _connect)


def _connect(_dialect: Any, _record: Any, words: Any, options: dict[str, Any]) -> Any:  # noqa: ANN401
    import psycopg  # noqa: PLC0415  an extra: without it there is no PostgreSQL

    class Watched(psycopg.Connection[Any]):
        """A connection that waits for a server that is there, and for no other."""

        def wait(self, gen: Any, *rest: Any, **named: Any) -> Any:  # noqa: ANN401
            return super().wait(self._watched(gen), *rest, **named)

        def _watched(self, gen: Any) -> Generator[Any, Any, Any]:  # noqa: ANN401
            """The driver's own steps; it is told so when nothing came in a tenth of a second."""
            last = time.monotonic() + STATEMENT_S
            ask = time.monotonic() + ASK_S
            try:
                state = next(gen)
                while True:
                    ready = yield state
                    if not ready and time.monotonic() > ask:
                        if time.monotonic() > last or not _answers(words, options):
                            self.pgconn.finish()
                            raise psycopg.OperationalError("the server gives no answer")
                        ask = time.monotonic() + ASK_S
                    state = gen.send(ready)
            except StopIteration as end:
                return end.value

    return Watched.connect(*words, **options)


def _answers(words: Any, options: dict[str, Any]) -> bool:  # noqa: ANN401
    """Whether the server takes another connection: it is at work, if slow."""
    import psycopg  # noqa: PLC0415

    try:
        psycopg.connect(*words, **options).close()
    except psycopg.Error:
        return False
    return True
