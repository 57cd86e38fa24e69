"""`check-jobs FOLDER`: finished jobs against their quotes, and the factors that fit them all."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any

import typer

from service import json_text
from service.catalog import Catalog
from service.cli.columns import console_for
from service.cli.job_tables import check_document, print_check
from service.cli.pointers import fault_words
from service.cli.start import WRONG_USAGE, ended, read_catalog, read_settings, using_storage
from service.core.errors import QuoteFaultsError
from service.faults import pointer
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.finished_job import FinishedJob, check_jobs, read_finished_job
from service.wiring import existing_store


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("check-jobs")(check_jobs_in)


def check_jobs_in(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Finished jobs, one JSON file each.")
    ],
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Print the result as JSON.")] = False,
) -> None:
    """Compare finished jobs with their quotes, task by task. Nothing is changed or stored.

    A job is {"quote": a quote request, "actual": {"hours": people's hours in total or by task,
    "machine_days": {machine: days}, "loads": ..., "units": ...}}.
    """
    files = _files(folder)
    settings = read_settings()
    stored = StoredPrices(lambda: existing_store(settings))
    with using_storage():
        jobs = _read(files, read_catalog(settings), stored)
    try:
        check = check_jobs(list(jobs.values()))
    except QuoteFaultsError as error:
        raise ended(f"With the factors taken the jobs can't be quoted: {error}") from error
    document = check_document(jobs, check)
    if as_json:
        json.dump(document, sys.stdout, indent=2, ensure_ascii=False)
        sys.stdout.write("\n")
    else:
        print_check(console_for(sys.stdout), document)


def _files(folder: Path) -> Sequence[Path]:
    """The JSON files of a folder by name; a folder that can't be read is wrong usage."""
    try:
        files = sorted(path for path in folder.iterdir() if path.suffix == ".json")
    except OSError as error:
        raise ended(f"{folder} can't be read: {error.strerror}", WRONG_USAGE) from error
    if not files:
        raise ended(f"{folder} holds no finished jobs: files called NAME.json")
    return files


def _read(
    files: Sequence[Path], catalog: Catalog, stored: StoredPrices
) -> Mapping[str, FinishedJob]:
    """All jobs by file name; the faults of all of them end the command at once."""
    jobs: dict[str, FinishedJob] = {}
    lines: list[str] = []
    for file in files:
        try:
            jobs[file.name] = read_finished_job(_document(file), catalog, stored)
        except json_text.JsonTextInvalidError as error:
            lines.append(f"{file.name}: {error.message}")
        except QuoteFaultsError as error:
            for fault in error.faults:
                hint = f" (hint: {fault.hint})" if fault.hint else ""
                said = fault_words(pointer(fault.at), fault.message)
                lines.append(f"{file.name}: {said}{hint}")
    if lines:
        raise ended("\n".join((*lines, f"{len(lines)} to mend")))
    return jobs


def _document(file: Path) -> Any:  # noqa: ANN401  whatever stands in it
    try:
        return json_text.loads(file.read_bytes())
    except OSError as error:
        raise ended(f"{file} can't be read: {error.strerror}", WRONG_USAGE) from error
