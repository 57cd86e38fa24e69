"""The recipes, run as they stand: against a service that was started for them."""

from __future__ import annotations

import csv
import json
import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from urllib.error import HTTPError

import pytest

from tests.given.processes import until
from tests.given.quote_requests import Json
from tests.given.recipes import FOLDER, ORIGIN, Office, csv_of, office_at

ROOT = FOLDER.parents[1]
RECORD = {
    "id": 4711, "title": "Back yard wall", "name": "A. Example", "email": "a@example.com",
    "length_ft": 40, "height_ft": 4,
}  # fmt: skip


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """A service with a price list `yard`, and keys for those who call it."""
    with office_at(tmp_path_factory.mktemp("office")) as made:
        yield made


@pytest.fixture(scope="module")
def saved(office: Office, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The id of a quote that the recipe saved from a record."""
    record = tmp_path_factory.mktemp("crm") / "record.json"
    record.write_text(json.dumps(RECORD), encoding="utf-8")
    told = [office.run("quotes", "quote_from_crm.py", record, PRICE_LIST="yard") for _ in range(2)]
    assert told[0].stdout == told[1].stdout
    answer = json.loads(told[0].stdout)
    assert answer["complete"] is False  # nobody said where the ground is
    assert (
        answer["total"]
        == office.get("quotes", f"/v1/saved-quotes/{answer['id']}")["facts"]["total"]
    )
    return str(answer["id"])


def test_quote_from_crm_saves_a_record_once(office: Office, saved: str) -> None:
    """A record that is sent twice is one quote, with what the CRM needs to find it again."""
    (found,) = office.get("quotes", "/v1/saved-quotes?metadata=crm_id:4711")["items"]
    assert found["id"] == saved
    assert found["facts"]["reference"] == "crm-4711"


def test_quote_from_crm_says_what_is_wrong(office: Office, tmp_path: Path) -> None:
    """A record that can't be quoted ends with 1, with the place and the fault."""
    record = tmp_path / "record.json"
    record.write_text(json.dumps({**RECORD, "id": 1, "height_ft": "four"}), encoding="utf-8")
    done = office.run("quotes", "quote_from_crm.py", record, code=1)
    assert "/quote/walls/0/profile/0/top" in done.stderr
    assert done.stdout == ""


@pytest.mark.parametrize(
    ("recipe", "words", "scope", "code"),
    [
        ("quote_from_crm.py", ("FILE",), "prices", 1),
        ("supplier_rise.py", ("yard", "FILE", "2026-06-01"), "quotes", 1),
        ("nightly_export.sh", ("PLACE",), "admin", 22),
        ("website_form.sh", ("FILE",), "quotes", 22),
        ("mail_events.py", ("PLACE",), "website", 1),
        ("rotate_key.sh", ("abc", "PLACE"), "quotes", 22),
    ],
)
def test_recipes_say_why_a_call_is_refused(
    office: Office, tmp_path: Path, recipe: str, words: tuple[str, ...], scope: str, code: int
) -> None:
    """A key of another scope, or none, ends each recipe with the service's words for it: no
    silence, no traceback."""
    file, place = tmp_path / "record.json", tmp_path / "place"
    file.write_text(json.dumps(RECORD), encoding="utf-8")
    given = [{"FILE": str(file), "PLACE": str(place)}.get(word, word) for word in words]
    for key, told in ((scope, "The key is not for this"), ("none", "This takes a key")):
        done = office.run(key, recipe, *given, code=code, ORIGIN=ORIGIN)
        assert told in done.stdout + done.stderr
        assert "Traceback" not in done.stderr
    assert not place.exists()


def test_website_form_says_which_answers_there_are(office: Office, tmp_path: Path) -> None:
    """The answers that stand at the recipe's head are enough for a range."""
    head = (FOLDER / "website_form.sh").read_text(encoding="utf-8").split("set -eu")[0]
    shown = head[head.index("{") : head.index("}") + 1].replace("\n#", "\n")
    file = tmp_path / "answers.json"
    file.write_text(shown, encoding="utf-8")
    done = office.run("website", "website_form.sh", file, ORIGIN=ORIGIN)
    assert json.loads(done.stdout)["range"]


def test_supplier_rise_previews_and_writes(office: Office, saved: str, tmp_path: Path) -> None:
    """Without the word nothing is stored; with it the file is a revision, the quotes are drafts on
    it, and those under the floor are listed."""
    file = tmp_path / "supplier.csv"
    file.write_text(csv_of("terrace_8in", "14.00"), encoding="utf-8")
    before = office.get("quotes", "/v1/price-lists/yard/revisions/latest")["revision"]
    words = ("yard", file, "2026-06-01")
    shown = office.run("prices", "supplier_rise.py", *words)
    assert shown.stdout == "terrace_8in: 8.40 -> 14.00 (66.67 %)\n"
    assert office.get("quotes", "/v1/price-lists/yard/revisions/latest")["revision"] == before
    done = office.run("prices", "supplier_rise.py", *words, "--write", FLOOR="0.99")
    first, under, last = done.stdout.splitlines()
    assert first + "\n" == shown.stdout
    assert under.startswith("under 0.99: crm-4711 ")
    assert last.endswith(": 1 drafts")
    quote = office.get("quotes", f"/v1/saved-quotes/{saved}")
    assert quote["facts"]["price_list"]["revision"] == before + 1
    assert under.endswith(f"-> {quote['facts']['total']}")


def test_supplier_rise_tells_faults_by_their_cells(office: Office, tmp_path: Path) -> None:
    """A file that can't be read ends with 1 and names the cell; nothing is stored."""
    file = tmp_path / "supplier.csv"
    file.write_text(csv_of("terrace_8in", "eight"), encoding="utf-8")
    done = office.run("prices", "supplier_rise.py", "yard", file, "2026-06-02", "--write", code=1)
    assert "line 2, column B: " in done.stderr


@pytest.mark.parametrize("rows", ["quotes", "lines"])
def test_nightly_export_is_a_table(office: Office, saved: str, tmp_path: Path, rows: str) -> None:
    """The file is CSV with a row a quote or a price line; a night that fails leaves it."""
    place = tmp_path / "quotes.csv"
    office.run("quotes", "nightly_export.sh", place, ROWS=rows)
    with place.open(encoding="utf-8-sig", newline="") as file:
        table = list(csv.DictReader(file))
    assert {row["reference"] for row in table} == {"crm-4711"}
    assert (len(table) > 1) == (rows == "lines")
    kept = place.read_bytes()
    office.run("quotes", "nightly_export.sh", place, ROWS="nonsense", code=22)
    assert (place.read_bytes(), list(tmp_path.iterdir())) == (kept, [place])
    assert saved


def test_website_form_gives_a_range_or_asks_for_a_visit(office: Office, tmp_path: Path) -> None:
    """A plain wall has a range; a tall one is looked at first; an answer that can't be read is told
    with its place."""
    answers = {
        "length": "42", "height": "3", "behind": "level", "in_front": "level", "above": "lawn",
        "now": "bank", "way_in": "drive_in", "water": "runs_off",
    }  # fmt: skip
    file = tmp_path / "answers.json"

    def ranged(code: int = 0, **other: str) -> Json:
        file.write_text(json.dumps({**answers, **other}), encoding="utf-8")
        found: Json = json.loads(
            office.run("website", "website_form.sh", file, code=code, ORIGIN=ORIGIN).stdout
        )
        return found

    price = ranged()["range"]
    assert float(price["below"]) < float(price["above"])
    assert ranged(height="9")["visit"]["reasons"]
    (fault,) = ranged(22, above="castle")["errors"]
    assert fault["pointer"] == "/answers/above"


def test_rotate_key_changes_the_secret_of_an_id(office: Office, tmp_path: Path) -> None:
    """The new secret stands in a file of its owner alone and works, the old one holds no longer
    than was asked for; whoever is no admin changes nothing."""
    made = office.call("admin", "POST", "/v1/api-keys", {"name": "crew", "scopes": ["field"]})
    place = tmp_path / "key.txt"
    office.run("admin", "rotate_key.sh", made["id"], place, OVERLAP="0d")
    assert stat.S_IMODE(place.stat().st_mode) == 0o600
    office.keys.update(old=made["key"], new=place.read_text(encoding="utf-8").strip())
    assert office.get("new", "/v1/soils")["items"]
    with pytest.raises(HTTPError, match="401"):
        until(lambda: not office.get("old", "/v1/soils"))
    kept = place.read_bytes()
    office.run("quotes", "rotate_key.sh", made["id"], place, code=22)
    assert (place.read_bytes(), list(tmp_path.iterdir())) == (kept, [place])


def test_recipes_are_short_and_need_nothing() -> None:
    """A recipe is at most 90 lines, says at its head how it is called, and imports the standard
    library alone."""
    for file in sorted(FOLDER.glob("*.*")):
        if file.suffix == ".md":
            continue
        text = file.read_text(encoding="utf-8")
        assert len(text.splitlines()) <= 90, file.name
        assert file.name in text.split("\n\n")[0], file.name
        imports = [
            line.split()[1] for line in text.splitlines() if line.startswith(("import ", "from "))
        ]
        if file.suffix == ".py":
            assert {each.split(".")[0] for each in imports} <= sys.stdlib_module_names, file.name
        else:
            assert file.stat().st_mode & stat.S_IXUSR, file.name
            assert subprocess.run(["/bin/sh", "-n", file], check=False).returncode == 0


def test_recipes_page_lists_each() -> None:
    """The page beside the recipes has a row for each of them, and no other."""
    page = (FOLDER / "README.md").read_text(encoding="utf-8")
    rows = [line.split("`")[1] for line in page.splitlines() if line.startswith("| `")]
    assert sorted(rows) == sorted(each.name for each in FOLDER.glob("*.*") if each.suffix != ".md")
