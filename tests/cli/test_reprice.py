"""`reprice`: a preview in words or as JSON, writing it, and what it says when it can't."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from service.cli.app import app
from service.storage import Store
from tests.given.repricings import catalog_at, draft_of, save, yard_request


@pytest.fixture
def office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Store]:
    """Three quotes on revision 1; the service's settings name their store and revision 2."""
    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    store = Store.open(url)
    store.migrate()
    spring = catalog_at(tmp_path, 1)
    for feet in (20, 30, 40):
        save(store, draft_of(spring, yard_request(f"job-{feet}", feet)))
    catalog_at(tmp_path, 2, "1.1")
    monkeypatch.setenv("SERVICE_DATABASE_URL", url)
    monkeypatch.setenv("SERVICE_CATALOG_PATH", str(tmp_path / "at_2_1.1_0"))
    yield store
    store.close()


def run(*arguments: str) -> Result:
    """The command's outcome in a pipe."""
    return CliRunner().invoke(app, ["reprice", *arguments])


@pytest.mark.usefixtures("office")
def test_reprice_shows_what_quotes_would_cost() -> None:
    """Counts, sums, the largest changes first, quotes under the floor; no bar in a pipe."""
    done = run("--list", "yard", "--margin-floor", "0.15")
    assert (done.exit_code, done.stderr) == (0, "")
    said = "3 of 3 quotes: 3 changed, 3 under the margin floor (0 of them out), 0 failed."
    assert said in done.stdout
    rows = [line for line in done.stdout.splitlines() if "job-" in line]
    assert [row.split()[1] for row in rows[:3]] == ["job-40", "job-30", "job-20"]
    # What loses most comes first.
    assert [row.split()[0] for row in rows[3:]] == ["job-40", "job-30", "job-20"]
    assert "UNDER THE MARGIN FLOOR OF 0.15" in done.stdout
    assert "\n\nTo write it: python -m service reprice --write r" in done.stdout


@pytest.mark.usefixtures("office")
def test_reprice_counts_one_quote_in_the_singular() -> None:
    """A named quote that is not there is one quote that failed, and has no sums to show."""
    done = run("--list", "yard", "--filter", "reference=job-99")
    assert (done.exit_code, done.stderr) == (1, "1 of 1 quote could not be priced.\n")
    assert "1 of 1 quote: 0 changed" in done.stdout
    assert "->" not in done.stdout


@pytest.mark.usefixtures("office")
def test_reprice_writes_every_quote_into_a_file(tmp_path: Path) -> None:
    """A row for each quote with its totals, as HTTP exports them; one quote is one."""
    table, lines = tmp_path / "out.csv", tmp_path / "out.ndjson"
    done = run("--list", "yard", "--items", str(table))
    assert (done.exit_code, str(table) in done.stderr) == (0, True)
    with table.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert sorted(row["reference"] for row in rows) == ["job-20", "job-30", "job-40"]
    alone = run("--list", "yard", "--filter", "reference=job-20", "--items", str(lines))
    assert "1 of 1 quote:" in alone.stdout
    kept = [json.loads(line) for line in lines.read_text(encoding="utf-8").splitlines()]
    (row,) = (row for row in rows if row["reference"] == "job-20")
    assert row["new_total"] == kept[0]["new_total"]
    assert run("--list", "yard", "--items", "out.txt").exit_code == 2
    assert run("--list", "yard", "--items", str(tmp_path / "no" / "out.csv")).exit_code == 1


@pytest.mark.usefixtures("office")
def test_reprice_writes_what_a_preview_showed() -> None:
    """`--write` makes the revisions that the preview named; `--json` is what HTTP answers."""
    preview = json.loads(run("--list", "yard", "--revision", "2", "--json").stdout)
    assert (preview["status"], preview["counts"]["changed"]) == ("succeeded", 3)
    refused = run("--write", preview["id"])
    assert refused.exit_code == 2
    assert "--yes" in refused.stderr
    written = json.loads(run("--write", preview["id"], "--yes", "--json").stdout)
    assert written["summary"] == preview["summary"]
    assert json.loads(run("--list", "yard", "--json").stdout)["counts"]["changed"] == 0


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("as_json", [False, True])
def test_reprice_ends_with_1_where_a_quote_fails(
    office: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, as_json: bool
) -> None:
    """Gravel that is no longer sold fails three quotes; the one with a price of its own is priced.
    What was found is printed all the same, for a preview and for its writing."""
    own = {"gravel": {"unit_cost": "41.00", "per": "yd3", "note": "by phone"}}
    prices = {"price_list": "yard", "overrides": own}
    save(office, draft_of(catalog_at(tmp_path, 1), yard_request("job-50", 50, prices=prices)))
    catalog_at(tmp_path, 3, "1.2", ("gravel",))
    monkeypatch.setenv("SERVICE_CATALOG_PATH", str(tmp_path / "at_3_1.2_1"))
    preview = run("--list", "yard", "--json")
    found = json.loads(preview.stdout)
    written = run("--write", found["id"], "--yes", *(["--json"] if as_json else []))
    assert (found["counts"]["total"], found["counts"]["failed"]) == (4, 3)
    for done in (preview, written):
        assert (done.exit_code, done.stderr) == (1, "3 of 4 quotes could not be priced.\n")
    assert json.loads(written.stdout)["mode"] == "write" if as_json else "job-20" in written.stdout


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.usefixtures("office")
def test_reprice_takes_filters() -> None:
    """Names as in a request, some several times."""
    done = run(
        "--list",
        "yard",
        "--json",
        "--filter",
        "reference=job-20",
        "--filter",
        "reference=job-40",
        "--filter",
        "total_from=1000.00",
    )
    assert json.loads(done.stdout)["counts"]["total"] == 1


@pytest.mark.usefixtures("office")
@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (("--list", "yrd"), 1, "there is no price list 'yrd'"),
        ((), 1, "a preview needs the price list"),
        (("--write", "r0", "--yes"), 1, "there is no preview 'r0'"),
        (("--list", "yard", "--filter", "reference"), 2, "NAME=VALUE"),
        (("--list", "yard", "--filter", "colour=red"), 1, "quotes, colour: "),
    ],
)
def test_reprice_says_what_is_wrong(arguments: tuple[str, ...], code: int, said: str) -> None:
    """Exit 1 for an input at fault, 2 for wrong usage, the reason on stderr."""
    done = run(*arguments)
    assert done.exit_code == code
    assert said in done.stderr
    assert done.stdout == ""


@pytest.mark.usefixtures("office")
def test_reprice_says_what_was_not_looked_at() -> None:
    """Nothing fits: the command says so, and what to ask instead; one that fits: how many others
    are open, by list."""
    nothing = run("--list", "yard", "--filter", "title=no such title")
    assert nothing.exit_code == 0
    assert "0 quotes: no draft quote fits; 3 open ones were not looked at" in nothing.stdout
    one = run("--list", "yard", "--filter", "reference=JOB-20")
    assert "Open quotes not looked at: 2 on yard." in one.stdout


def _written() -> str:
    """The run that wrote every quote on revision 2."""
    preview = json.loads(run("--list", "yard", "--revision", "2", "--json").stdout)
    done = run("--write", preview["id"], "--yes")
    run_id = done.stdout.split()[1]
    told = " ".join(done.stdout.split())
    assert f"To issue the drafts: python -m service reprice issue {run_id} --on DATE" in told
    return run_id


def _settled(office: Store, folder: Path, reference: str, feet: int) -> str:
    """A quote on revision 1 whose call for an engineer is settled: its id."""
    request = yard_request(reference, feet, engineering={"settled": "by_owner"})
    return save(office, draft_of(catalog_at(folder, 1), request))


def test_reprice_issue_sends_drafts_out(office: Store, tmp_path: Path) -> None:
    """Those that may go out do, on the day; the others say why not, first, and the exit code is
    1."""
    _settled(office, tmp_path, "job-60", 60)
    run_id = _written()
    refused = run("issue", run_id, "--on", "2026-06-10")
    assert (refused.exit_code, "--yes" in refused.stderr) == (2, True)
    done = run("issue", run_id, "--on", "2026-06-10", "--yes")
    assert (done.exit_code, done.stderr) == (1, "3 of 4 drafts could not be issued.\n")
    assert f"1 of 4 drafts of {run_id} issued on 2026-06-10." in done.stdout
    rows = [line.split() for line in done.stdout.splitlines() if "job-" in line]
    assert [row[0] for row in rows[:3]] == ["job-20", "job-30", "job-40"]
    assert done.stdout.count("calls for an engineer") == 3
    assert (rows[3][0], rows[3][1], rows[3][-1]) == ("job-60", "2", "issued")


def test_reprice_issue_takes_those_that_are_named(office: Store, tmp_path: Path) -> None:
    """One id, one draft, with the answer as HTTP gives it; what is out can't go out again."""
    quote_id = _settled(office, tmp_path, "job-60", 60)
    run_id = _written()
    named = ("issue", run_id, "--on", "2026-06-10", "--yes", "--id", quote_id)
    done = run(*named, "--json")
    (item,) = json.loads(done.stdout)["items"]
    assert (done.exit_code, done.stderr, item["outcome"]) == (0, "", "issued")
    again = run(*named)
    assert (again.exit_code, again.stderr) == (1, "1 of 1 draft could not be issued.\n")
    assert "revision 2 is issued by now" in again.stdout


@pytest.mark.usefixtures("office")
@pytest.mark.parametrize(
    ("day", "run_id", "said"),
    [
        ("June", None, "on: "),
        ("2026-06-10", "r0", "There is no re-pricing"),
        ("2026-06-10", "preview", "Drafts are issued of a write"),
    ],
)
def test_reprice_issue_says_what_is_wrong(day: str, run_id: str | None, said: str) -> None:
    """No day, no such run, a preview: exit code 1, and nothing goes out."""
    if run_id == "preview":
        run_id = json.loads(run("--list", "yard", "--json").stdout)["id"]
    done = run("issue", run_id or _written(), "--on", day, "--yes")
    assert (done.exit_code, done.stdout) == (1, "")
    assert said in done.stderr
