"""Which way imports run: every contract of `pyproject.toml` is kept, and each can be broken."""

import re
import shutil
import sys
from pathlib import Path

import pytest
from importlinter.cli import EXIT_STATUS_ERROR, EXIT_STATUS_SUCCESS, lint_imports

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ROOT = Path(__file__).resolve().parent.parent
PARTS = "Parts import downward only"
ROOMS = "The calculation is one line of rooms: no step knows a later one"
FORMULAS = "The formulas of screening know nothing of what applies them"
PRICES = "Nothing before the price step sees a price list"
OPERATIONS = "What the service does stands in rooms, one line of them"
SETTINGS = "Settings are read where the parts are wired, nowhere else"
PINT = "The unit library stays behind one module"
DATABASE = "The database stays behind one folder"
CYCLES = "No two parts import each other"

# A module, what it must not import, and the import contract that this breaks.
WRONG_IMPORTS = [
    ("core.screening.formulas.bearing", "service.core.price.hire", ROOMS),
    ("core.ground.volume", "service.core.price.hire", ROOMS),
    ("core.takeoff.roll", "service.core.labor.sequencing.weather", ROOMS),
    ("core.screening.formulas.earth_pressure", "service.core.screening.screening", FORMULAS),
    ("core.screening.formulas.bearing", "service.core.screening.loads", FORMULAS),
    ("core.screening.formulas.gravity", "service.core.screening.gravity_screen", FORMULAS),
    ("core.screening.formulas.layer_statics", "service.core.screening.layers", FORMULAS),
    ("core.screening.formulas.wedge", "service.core.screening.tier_screen", FORMULAS),
    ("core.job.job", "service.core.job.price_list", PRICES),
    ("core.takeoff.haulage", "service.core.job.price_list", PRICES),
    ("core.labor.weather", "service.core.job.price_list", PRICES),
    ("operations.prices.sheet", "service.operations.quoting.quote", OPERATIONS),
    ("core.measure", "service.units", PARTS),
    ("catalog.loader", "service.settings", SETTINGS),
    ("fields.readers", "pint", PINT),
    ("operations.idempotent", "sqlalchemy", DATABASE),
]


def test_imports_keep_every_contract(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Parts import downward only, settings and the unit library stay in their places."""
    status = lint(ROOT, monkeypatch)
    assert status == EXIT_STATUS_SUCCESS, capsys.readouterr().out


@pytest.mark.parametrize(("importer", "imported", "broken"), WRONG_IMPORTS)
def test_imports_that_run_upward_break_their_contract(
    importer: str,
    imported: str,
    broken: str,
    copied_service: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One wrong import in a copy of the code breaks the import contract that forbids it, no other.

    But the one against cycles: where the second already imports the first, they do so in turn.
    """
    add_import(copied_service, importer, imported)
    assert lint(copied_service, monkeypatch) == EXIT_STATUS_ERROR
    report = capsys.readouterr().out
    assert reported_broken(report) | {CYCLES} == {broken, CYCLES}
    assert f"service.{importer} -> {imported}" in " ".join(report.split())


def test_imports_in_a_circle_break_their_contract(
    copied_service: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two modules of one room that import each other break the rule against cycles alone."""
    add_import(
        copied_service, "core.labor.sequencing.sequence", "service.core.labor.sequencing.sequenced"
    )
    assert lint(copied_service, monkeypatch) == EXIT_STATUS_ERROR
    assert reported_broken(capsys.readouterr().out) == {CYCLES}


@pytest.mark.parametrize(
    ("module", "broken"),
    [
        ("service/extra.py", PARTS),
        ("service/core/extra.py", ROOMS),
        ("service/core/screening/extra.py", FORMULAS),
        ("service/operations/extra.py", OPERATIONS),
    ],
)
def test_modules_without_a_place_break_their_contract(
    module: str,
    broken: str,
    copied_service: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A new module that its contract does not place breaks it, whatever the module imports."""
    (copied_service / module).write_text('"""New."""\n', encoding="utf-8")
    assert lint(copied_service, monkeypatch) == EXIT_STATUS_ERROR
    assert reported_broken(capsys.readouterr().out) == {broken}


@pytest.fixture
def copied_service(tmp_path: Path) -> Path:
    """A folder with a copy of the code."""
    ignored = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "service", tmp_path / "service", ignore=ignored)
    return tmp_path


def add_import(folder: Path, importer: str, imported: str) -> None:
    """Add an import to a module of the copy."""
    file = folder / "service" / f"{importer.replace('.', '/')}.py"
    with file.open("a", encoding="utf-8") as text:
        text.write(f"\nimport {imported}\n")


def lint(folder: Path, monkeypatch: pytest.MonkeyPatch) -> int:
    """Check the package `service` of a folder, in this process; give the exit status."""
    with monkeypatch.context() as patch:
        patch.chdir(folder)  # which the linter puts in front of where packages are looked for
        patch.setattr(sys, "path", [*sys.path])
        patch.delitem(sys.modules, "service", raising=False)  # found where it was loaded from, else
        # The linter sets up logging anew, which would silence every logger there is.
        patch.setattr("importlinter.cli.logging_config.dictConfig", lambda _config: None)
        config = str(ROOT / "pyproject.toml")
        return lint_imports(config_filename=config, no_cache=True, no_logo=True)


def reported_broken(report: str) -> set[str]:
    """Names of the contracts that a report calls broken."""
    return set(re.findall(r"^(.+) BROKEN$", report, re.MULTILINE))
