"""`prices import` and `db`: a supplier's file shown, then published; a copy of the database."""

import json
import sqlite3
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from service.cli.app import app
from service.cli.start import database, read_settings
from tests.given.price_files import csv_file, workbook

HEAD = "item,unit_cost,per,currency"


@pytest.fixture(autouse=True)
def own_database(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A database of the test's own, which isn't there yet."""
    file = tmp_path / "data" / "walls.sqlite"
    monkeypatch.setenv("SERVICE_DATABASE_URL", f"sqlite:///{file}")
    return file


def run(*words: str) -> Result:
    """Run the command line."""
    return CliRunner().invoke(app, words)


def imported(file: Path, *words: str) -> Result:
    """Import a file into a list."""
    day = ("--effective-from", "2026-06-01")
    return run("prices", "import", str(file), "--list", "yard", *day, *words)


def revisions() -> int:
    """How many revisions are stored."""
    with database(read_settings(), migrate=False) as store, store.read() as connection:
        rows = connection.exec_driver_sql("SELECT count(*) FROM price_list_revision")
        return int(rows.scalar_one())


def test_import_shows_first_and_writes_when_told(tmp_path: Path) -> None:
    """Without --write nothing is stored; with it the file becomes a revision, once."""
    file = tmp_path / "spring.csv"
    file.write_bytes(csv_file(HEAD, "terrace_8in,8.40,each,USD"))
    shown = imported(file)
    assert shown.exit_code == 0
    assert "terrace_8in: 8.40 per each" in shown.stdout
    assert revisions() == 0
    assert "Revision 1 of yard published." in imported(file, "--write", "--note", "spring").stderr
    assert "nothing was published" in imported(file, "--write", "--note", "spring").stderr
    assert revisions() == 1
    file.write_bytes(csv_file(HEAD, "terrace_8in,8.82,each,USD"))
    # 0.42 / 8.40 = 5 %
    row = "terrace_8in   8.40   8.82   each     0.42   5.00"
    written = imported(file, "--write").stdout
    assert "1 CHANGED" in written
    assert "1 row: 1 changed" in written
    assert row in written
    assert revisions() == 2


def test_import_reads_text_parted_by_tabs(tmp_path: Path) -> None:
    """A .txt is read by the mapping's delimiter; without one the hint says which; an old workbook
    is refused with what to do."""
    file, mapping = tmp_path / "spring.txt", tmp_path / "mapping.json"
    file.write_bytes(csv_file(HEAD, "terrace_8in,8.40,each,USD").replace(b",", b"\t"))
    asked = imported(file)
    assert asked.exit_code == 1
    assert 'cells are parted by "\\t": say delimiter' in " ".join(asked.stdout.split())
    mapping.write_text('{"delimiter": "\\t"}', encoding="utf-8")
    read = imported(file, "--mapping", str(mapping))
    assert (read.exit_code, "terrace_8in: 8.40 per each" in read.stdout) == (0, True)
    before = tmp_path / "spring.xls"
    before.write_bytes(b"\xd0\xcf\x11\xe0")
    old = imported(before)
    assert (old.exit_code, "saved as XLSX first" in old.stderr) == (2, True)


def test_import_names_every_fault_and_stores_nothing(tmp_path: Path) -> None:
    """Faults stand by cell, the exit code is 1, and --write changes nothing."""
    file = tmp_path / "spring.xlsx"
    file.write_bytes(workbook(HEAD.split(","), ["terrace_8in", "8,40", "each", "USD"]))
    done = imported(file, "--write")
    assert done.exit_code == 1
    assert "Prices!B2" in done.stdout
    assert revisions() == 0


def test_import_writes_large_changes_and_removals_when_they_are_accepted(tmp_path: Path) -> None:
    """8.40 to 84.00 and an item that goes are shown with their options; --write without these
    ends with exit code 1 and stores nothing."""
    file, mapping = tmp_path / "spring.csv", tmp_path / "mapping.json"
    mapping.write_text('{"absent_items": "remove"}', encoding="utf-8")
    lines = ("terrace_8in,8.40,each,USD,Plant", "terrace_cap_4in,7.20,each,USD,Plant")
    file.write_bytes(csv_file(f"{HEAD},supplier", *lines))
    assert imported(file, "--write").exit_code == 0
    file.write_bytes(csv_file(f"{HEAD},supplier", "terrace_8in,84.00,each,USD,Plant"))
    shown = imported(file, "--mapping", str(mapping))
    assert shown.exit_code == 0
    assert "line 2, column B: terrace_8in: 8.40 per each becomes 84.00" in shown.stdout
    assert "TO BE ACCEPTED BEFORE IT IS WRITTEN" in shown.stdout
    for given in ((), ("--accept-changes",), ("--accept-removals",)):
        refused = imported(file, "--mapping", str(mapping), "--write", *given)
        missing = {"--accept-changes", "--accept-removals"} - set(given)
        assert refused.exit_code == 1
        assert all(name in refused.stderr for name in missing)
    assert revisions() == 1
    accepted = ("--write", "--accept-changes", "--accept-removals")
    written = imported(file, "--mapping", str(mapping), *accepted)
    assert written.exit_code == 0
    assert "\nACCEPTED\n" in written.stdout
    assert "TO BE ACCEPTED" not in written.stdout
    assert revisions() == 2


def test_import_takes_a_mapping_from_a_file(tmp_path: Path) -> None:
    """A supplier's headings and numbers are read as the mapping says; --json prints the preview."""
    file, mapping = tmp_path / "spring.csv", tmp_path / "mapping.json"
    file.write_bytes(csv_file("Art;Preis", '4711;"8,40"'))
    given = {
        "columns": {"item": "Art", "unit_cost": "Preis"},
        "defaults": {"per": "each", "currency": "EUR"},
        "items": {"4711": "terrace_8in"},
        "decimal": "comma",
        "delimiter": ";",
    }
    mapping.write_text(json.dumps(given), encoding="utf-8")
    done = imported(file, "--mapping", str(mapping), "--json")
    preview = json.loads(done.stdout)
    assert preview["added"] == [{"item": "terrace_8in", "unit_cost": "8.40", "per": "each"}]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (
            ("prices", "import", "missing.csv", "--list", "yard", "--effective-from", "2026-06-01"),
            2,
        ),
        (("prices", "import", "x.txt", "--list", "yard", "--effective-from", "2026-06-01"), 2),
        (("prices", "import", "x.csv", "--list", "Yard", "--effective-from", "2026-06-01"), 2),
        (("prices", "import", "x.csv", "--list", "yard", "--effective-from", "soon"), 2),
        (("prices", "import", "x.csv", "--list", "yard", "--effective-from", "20260601"), 2),
        (("prices", "import", "x.csv", "--list", "demo_2026", "--effective-from", "2026-06-01"), 1),
        (("prices", "import", "x.csv"), 2),
        (("db", "backup", "there/is/no/folder"), 1),
    ],
)
def test_commands_refuse_what_they_cannot_do(
    words: tuple[str, ...], code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Wrong usage is 2, input at fault is 1, and no traceback is shown."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "x.csv").write_bytes(csv_file(HEAD, "terrace_8in,8.40,each,USD"))
    done = run(*words)
    assert done.exit_code == code
    assert done.stderr.strip()
    assert "Traceback" not in done.stderr


def test_import_refuses_a_mapping_at_fault(tmp_path: Path) -> None:
    """A mapping that is no JSON, or has an unknown key, ends the command."""
    file, mapping = tmp_path / "spring.csv", tmp_path / "mapping.json"
    file.write_bytes(csv_file(HEAD, "terrace_8in,8.40,each,USD"))
    for text in ("{", '{"colums": {}}'):
        mapping.write_text(text, encoding="utf-8")
        assert imported(file, "--mapping", str(mapping)).exit_code == 1


def test_upgrade_makes_the_database(own_database: Path) -> None:
    """A database that isn't there is made, with its folder."""
    done = run("db", "upgrade")
    assert (done.exit_code, own_database.exists()) == (0, True)
    assert "at head" in done.stdout


def test_backup_copies_what_is_there(own_database: Path, tmp_path: Path) -> None:
    """The copy holds every row, and no file is written over."""
    assert run("db", "backup", str(tmp_path / "copy.sqlite")).exit_code == 1
    file = tmp_path / "spring.csv"
    file.write_bytes(csv_file(HEAD, "terrace_8in,8.40,each,USD"))
    imported(file, "--write")
    done = run("db", "backup", str(tmp_path / "copy.sqlite"))
    assert "1 documents checked" in done.stdout
    with sqlite3.connect(tmp_path / "copy.sqlite") as copy:
        assert copy.execute("SELECT count(*) FROM price_list_revision").fetchone() == (1,)
    assert run("db", "backup", str(tmp_path / "copy.sqlite")).exit_code == 1
    assert own_database.exists()


def test_quote_reads_stored_prices_and_makes_no_database(
    own_database: Path, tmp_path: Path
) -> None:
    """A quote on the command line looks a list up where there is a database, and makes none."""
    request = tmp_path / "request.json"
    request.write_text('{"prices": {"price_list": "yard"}}', encoding="utf-8")
    assert "there is no price list 'yard'" in run("quote", str(request)).stderr
    assert not own_database.exists()
    file = tmp_path / "spring.csv"
    file.write_bytes(csv_file(HEAD, "terrace_8in,8.40,each,USD"))
    imported(file, "--write")
    assert "there is no price list" not in run("quote", str(request)).stderr


def test_a_database_that_cannot_be_opened_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """A URL that names nothing ends the command with its reason."""
    monkeypatch.setenv("SERVICE_DATABASE_URL", "nonsense")
    done = run("db", "upgrade")
    assert done.exit_code == 1
    assert "no database's URL" in done.stderr
