"""`prices list`, `show`, `difference`, `mapping`: what price lists say, of files and database."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from service.cli.app import app
from tests.given.price_files import csv_file
from tests.given.quote_requests import Json

HEAD = "item,unit_cost,per,currency,supplier"


@pytest.fixture(autouse=True)
def own_database(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A database of the test's own, which isn't there yet."""
    monkeypatch.setenv("SERVICE_DATABASE_URL", f"sqlite:///{tmp_path / 'walls.sqlite'}")


@pytest.fixture
def yard(tmp_path: Path) -> None:
    """A list of two revisions: block from 8.40 to 8.82, cap out, sand in."""
    for number, (day, *rows) in enumerate(
        (
            ("2026-03-01", "terrace_8in,8.40,each,USD,North yard", "cap,3.00,each,USD,North yard"),
            ("2026-06-01", "terrace_8in,8.82,each,USD,North yard", "sand,44.00,ton,USD,Pit"),
        )
    ):
        file, mapping = tmp_path / f"{number}.csv", tmp_path / "mapping.json"
        file.write_bytes(csv_file(HEAD, *rows))
        mapping.write_text('{"unknown_items": "add", "absent_items": "remove"}', encoding="utf-8")
        done = run(
            "prices",
            "import",
            str(file),
            "--list",
            "yard",
            "--effective-from",
            day,
            "--mapping",
            str(mapping),
            "--accept-removals",
            "--write",
            "--accept-removals",
        )
        assert done.exit_code == 0, done.output


def run(*words: str) -> Result:
    """Run the command line, wide enough for every column."""
    return CliRunner().invoke(app, words, env={"COLUMNS": "120"})


def rows(text: str) -> list[list[str]]:
    """The cells of each line that has some."""
    return [line.split() for line in text.splitlines() if line.strip()]


@pytest.mark.usefixtures("yard")
def test_list_names_lists_of_files_and_of_the_database() -> None:
    """Each list stands there with its newest revision and where it is kept."""
    shown = run("prices", "list")
    assert shown.exit_code == 0
    assert ["yard", "2", "2026-06-01", "USD", "2", "database"] in rows(shown.stdout)
    assert any(cells[:2] == ["demo_2026", "2"] and "file" in cells for cells in rows(shown.stdout))
    (yard,) = (
        each for each in json.loads(run("prices", "list", "--json").stdout) if each["id"] == "yard"
    )
    assert yard["latest"]["effective_from"] == "2026-06-01"


@pytest.mark.usefixtures("yard")
def test_show_prints_the_prices_of_a_revision() -> None:
    """The latest, one by number, and the one that holds on a day."""
    assert ["sand", "44.00", "ton", "Pit"] in rows(run("prices", "show", "yard").stdout)
    for words in (("--revision", "1"), ("--on", "2026-05-31")):
        shown = run("prices", "show", "yard", *words)
        assert ["terrace_8in", "8.40", "each", "North", "yard"] in rows(shown.stdout)
        assert "sand" not in shown.stdout
    document = json.loads(run("prices", "show", "yard", "--json").stdout)
    assert document["items"]["terrace_8in"]["unit_cost"] == "8.82"


def test_show_prints_a_wage_with_its_burden() -> None:
    """A list of a file shows what an hour costs: 28.00 x 1.42 = 39.76."""
    assert any(
        cells[:3] == ["crew_hour", "39.76", "h"]
        for cells in rows(run("prices", "show", "demo_2026").stdout)
    )


@pytest.mark.usefixtures("yard")
def test_difference_shows_what_changed_came_and_went() -> None:
    """From revision 1 to the latest: 0.42 of 8.40 is 5 %, cap is gone, sand is new."""
    shown = rows(run("prices", "difference", "yard", "1").stdout)
    assert ["terrace_8in", "8.40", "8.82", "each", "0.42", "5.00"] in shown
    assert ["1", "ADDED"] in shown
    assert ["1", "NO", "LONGER", "SOLD"] in shown
    back = json.loads(run("prices", "difference", "yard", "2", "1", "--json").stdout)
    assert [each["item"] for each in back["added"]] == ["cap"]
    assert "No price differs" in run("prices", "difference", "demo_2026", "2").stdout


def test_mapping_is_kept_and_printed(tmp_path: Path) -> None:
    """Saved twice it is replaced; a later import reads by it."""
    file = tmp_path / "mapping.json"
    assert run("prices", "mapping", "yard").exit_code == 1
    for cost in ("Cost", "Preis"):
        file.write_text(json.dumps({"columns": {"unit_cost": cost}}), encoding="utf-8")
        assert run("prices", "mapping", "yard", "--save", str(file)).exit_code == 0
    assert json.loads(run("prices", "mapping", "yard").stdout) == {
        "columns": {"unit_cost": "Preis"}
    }


@pytest.mark.usefixtures("yard")
def test_publish_shows_first_and_writes_when_told(tmp_path: Path) -> None:
    """Sand 5 % dearer is shown, 44.00 to 46.20, and becomes revision 3 with --write alone; the
    whole list as it stands is no new revision."""
    file = tmp_path / "changes.json"
    change = {"adjust": {"factor": "1.05", "items": ["sand"]}}
    document = {"effective_from": "2026-07-01", "changes": [change]}
    file.write_text(json.dumps(document), encoding="utf-8")
    kept: Json = {}
    for words, latest in (((), 2), (("--write",), 3)):
        done = run("prices", "publish", str(file), "--list", "yard", *words)
        assert done.exit_code == 0, done.output
        assert ["sand", "44.00", "46.20", "ton", "2.20", "5.00"] in rows(done.stdout)
        kept = json.loads(run("prices", "show", "yard", "--json").stdout)
        assert kept["revision"] == latest
    whole = {key: kept[key] for key in ("currency", "effective_from", "items")}
    file.write_text(json.dumps(whole), encoding="utf-8")
    again = run("prices", "publish", str(file), "--list", "yard", "--write")
    assert "nothing was published" in again.stderr
    first = run("prices", "publish", str(file), "--list", "pit", "--write", "--json")
    assert json.loads(first.stdout)["added_total"] == 2
    assert "Revision 1 of pit published." in first.stderr


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("show", "demo_2025"), 1, "demo_2026"),
        (("show", "demo_2026", "--revision", "9"), 1, "its latest is revision 2"),
        (("show", "demo_2026", "--on", "2025-12-31"), 1, "holds on 2025-12-31"),
        (("show", "demo_2026", "--on", "5/4/2026"), 2, "2026-05-04"),
        (("show", "demo_2026", "--on", "2026-05-04", "--revision", "2"), 2, "exclude each other"),
        (("difference", "yard", "1"), 1, "there is no price list 'yard'"),
        (("mapping", "demo_2026", "--save", "{broken}"), 1, "line 1"),
        (("mapping", "demo_2026", "--save", "{sound}"), 1, "is a file of the catalog"),
        (("mapping", "yard", "--save", "{wrong}"), 1, "colums: "),
        (("mapping", "yard", "--save", "nowhere.json"), 2, "nowhere.json can't be read"),
        (("publish", "{wrong}", "--list", "yard"), 1, "colums is not a known key"),
        (("publish", "{sound}", "--list", "demo_2026"), 1, "is a file of the catalog"),
    ],
)
def test_price_list_commands_say_what_is_wrong(
    tmp_path: Path, words: tuple[str, ...], code: int, said: str
) -> None:
    """What isn't there or can't be read is told with what would be right."""
    for name, text in {"broken": "{", "sound": "{}", "wrong": '{"colums": {}}'}.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    given = [str(tmp_path / each[1:-1]) if each.startswith("{") else each for each in words]
    done = run("prices", *given)
    assert done.exit_code == code, done.output
    assert said in " ".join(done.stderr.split()).replace("│ ", "").replace(" │", "")
