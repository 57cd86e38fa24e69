"""`check-jobs FOLDER`: factors that fit finished jobs, all invented; and each way to be refused."""

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from service.catalog import Catalog, load_catalog
from service.cli.app import app
from service.operations.quoting.quote import quote_document

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples" / "quote_walls"
# Total hours of three jobs: about a quarter, a third and a fifth more than the shipped rates give.
TOTALS = {"straight_wall": "85", "dug_terrace": "109", "curved_terrace": "83"}


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    """The shipped catalog."""
    return load_catalog(())


def request(case: str) -> dict[str, Any]:
    """A request of the examples, dug with the excavator that was there."""
    document: dict[str, Any] = json.loads((EXAMPLES / f"{case}.request.json").read_bytes())
    return document | {"machines_off": ["narrow_excavator"]}


def run(folder: Path, *options: str) -> Result:
    """The command's outcome in a pipe."""
    return CliRunner().invoke(app, ["check-jobs", str(folder), *options])


def write(folder: Path, case: str, actual: object) -> None:
    """A finished job in a file of its own."""
    text = json.dumps({"quote": request(case), "actual": actual})
    (folder / f"{case}.json").write_text(text, encoding="utf-8")


def hours(catalog: Catalog, case: str, overrides: object) -> dict[str, float]:
    """Person-hours by task of an example that is quoted with own figures."""
    rates = {"base": "small_crew", "overrides": overrides}
    answer = quote_document({**request(case), "rates": rates}, catalog)
    assert answer.labor
    found: dict[str, float] = {}
    for task in answer.labor.tasks:
        found[task.task] = found.get(task.task, 0) + float(task.hours)
    return found


@pytest.mark.no_cover  # others run the same lines
def test_check_jobs_fits_totals_within_five_per_cent(tmp_path: Path, catalog: Catalog) -> None:
    """With the printed overrides in each request, each job comes within 5 % of its hours."""
    for case, total in TOTALS.items():
        write(tmp_path, case, {"hours": total})
    document = json.loads(run(tmp_path, "--json").stdout)
    for case, total in TOTALS.items():
        found = sum(hours(catalog, case, document["overrides"]).values())
        assert abs(found / float(total) - 1) <= 0.05
        (row,) = (row for row in document["jobs"] if row["file"] == f"{case}.json")
        assert float(row["with_factors"]) == pytest.approx(found, abs=0.015)


@pytest.mark.no_cover  # others run the same lines
def test_check_jobs_fits_noted_tasks_within_five_per_cent(tmp_path: Path, catalog: Catalog) -> None:
    """Three crews note setting 40 % and digging 60 % over the rates, and travel as it came."""
    noted = {}
    for case, days in (("straight_wall", 4), ("dug_terrace", 5), ("curved_terrace", 4)):
        quoted = hours(catalog, case, {"lay_pipe": {"hours": "0.02"}})
        more = {"set_units": 1.4, "dig": 1.6}
        noted[case] = {t: f"{quoted[t] * f:.2f}" for t, f in more.items() if t in quoted}
        noted[case]["travel"] = f"{days * 1.5:.2f}"
        write(tmp_path, case, {"hours": noted[case]})
    document = json.loads(run(tmp_path, "--json").stdout)
    factors = {row["task"]: row["factor"] for row in document["tasks"]}
    assert float(factors["set_units"]) == pytest.approx(1.4, abs=0.002)
    assert float(factors["dig"]) == pytest.approx(1.6, abs=0.01)
    assert factors["set_caps"] is None
    for case, actual in noted.items():
        found = hours(catalog, case, document["overrides"])
        total = sum(map(float, actual.values()))
        assert abs(sum(found[task] for task in actual) / total - 1) <= 0.05


def test_check_jobs_compares_machines_loads_and_units(tmp_path: Path) -> None:
    """The straight wall has 7 x 29 units and 29 caps, 232 before waste; 58 of 232 more are 1.25."""
    more = {"units": 290, "loads": 3, "machine_days": {"mini_excavator": "2"}}
    write(tmp_path, "straight_wall", {"hours": "85", **more})
    counts = json.loads(run(tmp_path, "--json").stdout)["counts"]
    assert counts == [
        {"what": "days of mini_excavator", "quoted": "0", "actual": "2", "factor": None},
        {"what": "loads of soil", "quoted": "0", "actual": "3", "factor": None},
        {"what": "units set", "quoted": "232", "actual": "290", "factor": "1.25"},
    ]


def test_check_jobs_prints_tables_and_changes_nothing(tmp_path: Path) -> None:
    """Quoted, actual and factor stand in tables, with how they are fitted; the file stays."""
    write(tmp_path, "straight_wall", {"hours": {"set_units": "41"}})
    before = (tmp_path / "straight_wall.json").read_bytes()
    done = run(tmp_path)
    lines = [" ".join(line.split()) for line in done.stdout.splitlines()]
    assert (done.exit_code, done.stderr) == (0, "")
    assert "set_units 20.3 41 2.0197 0.141379 / 0.191872 / 0.302956" in lines
    assert any(line.startswith("Nothing was changed.") for line in lines)
    assert (tmp_path / "straight_wall.json").read_bytes() == before


def test_check_jobs_names_every_fault_by_file(tmp_path: Path) -> None:
    """All files are read; each fault has its file, its place and what would be right; exit 1."""
    write(tmp_path, "straight_wall", {"hours": {"set_unit": "41"}, "machine_days": {"crane": "1"}})
    write(tmp_path, "dug_terrace", {"hours": 41})
    (tmp_path / "broken.json").write_text("{", encoding="utf-8")
    done = run(tmp_path, "--json")
    assert (done.exit_code, done.stdout) == (1, "")
    *faults, last = done.stderr.splitlines()
    assert [line.split(": ")[0] for line in faults] == [
        "broken.json",
        "dug_terrace.json",
        "straight_wall.json",
        "straight_wall.json",
    ]
    assert (
        'actual, hours, set unit: the rates have no task "set_unit" (hint: set_units)' in faults[2]
    )
    assert "actual, machine days, crane" in faults[3]
    assert last == "4 to mend"


def test_check_jobs_needs_rates(tmp_path: Path) -> None:
    """A job without rates has no quoted hours, and is refused."""
    quote = request("straight_wall")
    del quote["rates"]
    text = json.dumps({"quote": quote, "actual": {"hours": "85"}})
    (tmp_path / "a.json").write_text(text, encoding="utf-8")
    done = run(tmp_path)
    assert done.exit_code == 1
    assert done.stderr.startswith("a.json: quote, rates: ")


def test_check_jobs_tells_wrong_usage_from_an_empty_folder(tmp_path: Path) -> None:
    """No such folder is wrong usage, exit 2; a folder without jobs is the input's fault, exit 1."""
    assert run(tmp_path / "none").exit_code == 2
    assert run(tmp_path).exit_code == 1
