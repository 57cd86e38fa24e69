"""What is tried in larger numbers than every run of the tests has time for.

A command has `{count}` and `{seed}` where they belong; a test reads its count from the variable
that is named. A test without a seed among its words prints the one it has.
"""

from __future__ import annotations

from dataclasses import dataclass

MACHINES = (
    "tests/operations/callers/test_key_machine.py",
    "tests/operations/prices/test_price_list_machine.py",
    "tests/operations/saved/test_saved_quote_machine.py",
    "tests/operations/test_idempotent_machine.py",
    "tests/operations/test_repricing_machine.py",
)


@dataclass(frozen=True, slots=True)
class Row:
    """One thing that is tried: how often, by which module, and where it reads its count."""

    count: int
    words: tuple[str, ...]
    variable: str = ""


def tests(count: int, variable: str, *words: str) -> Row:
    """Tests that read their count from a variable, and print what they counted."""
    return Row(count, ("pytest", "-q", "-s", "-p", "no:randomly", *words), variable)


def fuzzing(count: int, *targets: str) -> Row:
    """So many inputs of each target, however long they take."""
    long = ("--seconds", str(10**7))
    return Row(count, ("tests.fuzzing", *targets, *long, "--inputs", "{count}", "--seed", "{seed}"))


ROWS = {
    "leaks": Row(20_000, ("tests.leaks", "--answers", "{count}", "--seed", "{seed}")),
    "kills of writes": tests(1_000, "KILLS", "tests/faults/test_kill.py", "-k", "loses"),
    "kills of re-pricings": tests(200, "KILLS", "tests/faults/test_repricing_killed.py"),
    "kills of workers": tests(100, "KILLS", "tests/jobs", "-k", "killed"),
    "kills of senders": tests(100, "KILLS", "tests/faults/test_webhook_killed.py"),
    "kills of workers that send": tests(
        20, "WORKER_KILLS", "tests/faults/test_webhook_killed.py", "-k", "worker"
    ),
    "kills of migrations": tests(200, "KILLS", "tests/migrations", "-k", "kill"),
    "kills after statements": tests(1, "EVERY", "tests/migrations", "-k", "statement"),
    "power cuts": tests(20_000, "CUTS", "tests/faults/test_power_cut.py"),
    "full disks": tests(200, "LEVELS", "tests/faults/test_full_disk.py"),
    "failing files": tests(1, "EVERY", "tests/faults/test_file_faults.py"),
    "restarts of the server": tests(100, "RESTARTS", "tests/faults/test_server_restarts.py"),
    "two versions": tests(300, "SECONDS", "tests/faults/test_two_versions.py"),
    "lost answers": tests(200, "REFUSALS", "tests/faults/test_lost_answers.py"),
    "jumps of the clock": tests(1, "", "tests/faults/test_clock_jumps.py"),
    "twins": tests(200, "TWINS", "tests/api/test_event_writing.py", "-k", "twins"),
    "keys of twins": tests(50, "KEYS", "tests/api/test_saved_quotes.py", "-k", "one_key"),
    "machines": tests(2_000, "RUNS", *MACHINES),
    "document": tests(2_000, "EXAMPLES", "tests/openapi/test_schemathesis.py"),
    "fuzzing of measurements": fuzzing(10_000_000, "measurement"),
    "fuzzing of texts": fuzzing(1_000_000, "json", "toml", "csv", "cursor", "if-match", "points"),
    "fuzzing of workbooks": fuzzing(100_000, "workbook"),
    "changes of the calculation": Row(
        10_000, ("tests.mutants", "--count", "{count}", "--seed", "{seed}", "--wide")
    ),
    "hostile texts": tests(1, "", "tests/api/test_bodies.py", "tests/sending/test_targets.py"),
    "hostile bytes": tests(1, "", "tests/server"),
    "idle callers": tests(2_000, "CALLERS", "tests/server/test_crowd.py"),
    "backups": tests(100, "BACKUPS", "tests/storage/test_backup.py"),
    "answers": tests(1, "LONG_ANSWERS", "tests/answers"),
    "machines of others": tests(36, "CELLS", "tests/api/test_determinism.py", "tests/answers"),
    "soak": Row(600, ("tests.faults.soak", "--seconds", "{count}")),
    "bulk": Row(
        1_000_000,
        (
            *("tests.benchmarks.bulk", "--quotes", "10000", "100000"),
            *("--compact", "10000", "100000", "{count}", "--seed", "{seed}"),
        ),
    ),
}
