"""The command line, wired: every command registers itself here.

Exit codes: 0 done, 1 the input is at fault (the message is on stderr), 2 wrong usage.
"""

from __future__ import annotations

import typer

from service.cli import catalog, demo, openapi, quote, serve

app = typer.Typer(
    name="service",
    help="Quotes for dry-stacked modular-block retaining walls.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
serve.register(app)
demo.register(app)
quote.register(app)
catalog.register(app)
openapi.register(app)


def main() -> None:
    """Run the command line."""
    app(prog_name="python -m service")
