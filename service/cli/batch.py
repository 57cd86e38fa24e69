"""`batch`: the answers of `POST /v1/quotes/batch` to the requests in a file, line by line."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import ExitStack, suppress
from io import BufferedReader
from pathlib import Path
from typing import Annotated, cast

import typer
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

from service.api.batch import Batch
from service.api.lines import Line, LineSplitter
from service.cli.quote import STDIN
from service.cli.start import WRONG_USAGE, ended, read_catalog, read_settings
from service.operations.prices.stored_prices import StoredPrices
from service.wiring import existing_store

ARRIVAL_BYTES = 64 * 1024


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("batch")(batch)


def batch(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="Quote requests, one a line; - reads stdin.")
    ],
) -> None:
    """Quote many requests, one JSON document a line; one answer a line. Nothing is stored.

    The answers go to stdout in the order of the requests, each as soon as it is there; the last
    line says how many there were. The exit code is 1 if one was refused.
    """
    with ExitStack() as held:
        stream = _stream_of(file, held)
        settings = read_settings()
        stored = StoredPrices(lambda: existing_store(settings))
        answers = Batch(read_catalog(settings), stored=stored)
        try:
            _answer(stream, answers)
        except BrokenPipeError as error:  # whoever read the answers has had enough
            with Path(os.devnull).open("wb") as nowhere:
                os.dup2(nowhere.fileno(), sys.stdout.fileno())
            raise typer.Exit(1) from error
        except OSError as error:
            with suppress(OSError):
                _write(answers.abort())
            raise ended(f"The batch broke off: {error.strerror}") from error
    if answers.failed:
        raise ended(f"{answers.failed} of {answers.lines} requests were refused.")


def _stream_of(file: str, held: ExitStack) -> BufferedReader:
    """The stream of requests; a missing file is wrong usage."""
    if file == STDIN:
        return cast("BufferedReader", sys.stdin.buffer)
    try:
        return held.enter_context(Path(file).open("rb"))
    except OSError as error:
        raise ended(f"{file} can't be read: {error.strerror}", WRONG_USAGE) from error


def _answer(stream: BufferedReader, answers: Batch) -> None:
    """Answer every line. Raises OSError where reading or writing breaks off."""
    with _bar() as progress:
        task = progress.add_task("", total=_size(stream))
        for line in _lines(stream):
            _write(answers.answer_line(line))
            words = f"{answers.lines} answered, {answers.failed} refused"
            progress.update(task, advance=len(line.data or b"") + 1, description=words)
    _write(answers.end())


def _lines(stream: BufferedReader) -> Iterator[Line]:
    """The lines, each as soon as it is there: a stream may pause between two of them."""
    lines = LineSplitter()
    while data := stream.read1(ARRIVAL_BYTES):
        lines.feed(data)
        while (line := lines.take()) is not None:
            yield line
    lines.end()
    while (line := lines.take()) is not None:
        yield line


def _bar() -> Progress:
    """Progress on a terminal, unless the answers themselves go there."""
    console = Console(stderr=True)
    return Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        TimeRemainingColumn(),
        console=console,
        disable=not console.is_terminal or sys.stdout.isatty(),
        redirect_stdout=False,
        redirect_stderr=False,
        transient=True,
    )


def _size(stream: BufferedReader) -> int | None:
    """Bytes of a file; None for a pipe."""
    try:
        return os.fstat(stream.fileno()).st_size or None
    except OSError:
        return None


def _write(line: bytes) -> None:
    sys.stdout.buffer.write(line + b"\n")
    sys.stdout.buffer.flush()
