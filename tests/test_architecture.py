"""The house rules that a reader of one file can't see: direction, purity, places, names.

The rules are stated in `pyproject.toml` and `DEVELOPERS.md`; here they are held.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ROOT = Path(__file__).resolve().parent.parent
TOP_LEVEL = (
    "DEVELOPERS.md",
    "README.md",
    "catalog",
    "migrations",
    "openapi",
    "pyproject.toml",
    "service",
    "tests",
)
HIDDEN = (".ci", ".gitignore", ".licenses", ".locks", ".pre-commit-config.yaml")
# What tools leave behind; .gitignore names the same.
LEFT_BEHIND = re.compile(r"build|dist|__pycache__|.*\.egg-info")

# What the core may import beside itself: the standard library's arithmetic and data types
# (no files, text formats, clock, environment, chance, network, processes), NumPy and Shapely. All
# else is refused.
PURE = frozenset(
    {
        "__future__",
        "abc",
        "bisect",
        "cmath",
        "collections",
        "dataclasses",
        "datetime",
        "decimal",
        "difflib",
        "enum",
        "fractions",
        "functools",
        "graphlib",
        "hashlib",
        "heapq",
        "itertools",
        "math",
        "numbers",
        "numpy",
        "operator",
        "re",
        "shapely",
        "string",
        "struct",
        "types",
        "typing",
    }
)
IMPURE_CALLS = frozenset({"__import__", "breakpoint", "eval", "exec", "input", "open", "print"})
# At which place these calls take the encoding, if it is not passed by name.
ENCODING_PLACE = {"open": 3, "read_text": 0, "write_text": 1}
CLOCK_READS = frozenset({"fromtimestamp", "now", "today", "utcnow"})


def python_files(*folders: str) -> list[Path]:
    """Return the Python files below some folders, sorted."""
    return sorted(file for folder in folders for file in (ROOT / folder).rglob("*.py"))


def parse(file: Path) -> ast.Module:
    """Return the syntax tree of a file."""
    return ast.parse(file.read_text(encoding="utf-8"), filename=str(file))


def where(file: Path, node: ast.AST) -> str:
    """Return a place in a form that an editor can jump to."""
    return f"{file.relative_to(ROOT)}:{getattr(node, 'lineno', 0)}"


def imported_modules(tree: ast.Module) -> Iterator[tuple[ast.AST, str]]:
    """Yield each import with the full name of what it imports from."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node, node.module or "."


def is_pure(module: str) -> bool:
    """Tell whether the core may import a module."""
    top = module.partition(".")[0]
    if top == "service":
        return module == "service.core" or module.startswith("service.core.")
    return top in PURE


def impure_uses(tree: ast.Module) -> Iterator[ast.AST]:
    """Yield calls of built-in functions that reach outside, and readings of a clock."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        read_by_name = isinstance(node.func, ast.Name) and node.func.id in IMPURE_CALLS
        if read_by_name or (isinstance(node.func, ast.Attribute) and node.func.attr in CLOCK_READS):
            yield node


def opens_text_without_encoding(call: ast.Call) -> bool:
    """Tell whether a call opens a text file and leaves its encoding to the machine."""
    name = called_name(call)
    if ast.unparse(call.func) == "Store.open":  # a database
        return False
    if name not in ENCODING_PLACE or has_keyword(call, "encoding"):
        return False
    if len(call.args) > ENCODING_PLACE[name]:
        return False
    modes = [*call.args, *(keyword.value for keyword in call.keywords if keyword.arg == "mode")]
    return not any(
        isinstance(mode, ast.Constant) and re.fullmatch(r"[rwax]\+?b\+?", str(mode.value))
        for mode in modes
    )


def called_name(call: ast.Call) -> str:
    """Return the last part of the name of what is called."""
    if isinstance(call.func, ast.Attribute):
        return call.func.attr
    return call.func.id if isinstance(call.func, ast.Name) else ""


def has_keyword(call: ast.Call, name: str) -> bool:
    """Tell whether a call passes an argument by this name."""
    return any(keyword.arg == name for keyword in call.keywords)


def repository_texts() -> Iterator[tuple[Path, str]]:
    """Yield every file of the repository that is text, with its text."""
    for top in (*TOP_LEVEL, *HIDDEN):
        files = (ROOT / top).rglob("*") if (ROOT / top).is_dir() else [ROOT / top]
        for file in sorted(files):
            if file.is_file() and not any(LEFT_BEHIND.fullmatch(part) for part in file.parts):
                try:
                    yield file, file.read_text(encoding="utf-8")
                except UnicodeDecodeError:
                    continue


def test_core_imports_only_what_is_pure() -> None:
    """The core imports arithmetic, data types and itself: nothing that reaches outside."""
    found = [
        f"{where(file, node)} imports {module}"
        for file in python_files("service/core")
        for node, module in imported_modules(parse(file))
        if not is_pure(module)
    ]
    assert found == []


def test_core_reads_no_clock_and_no_file() -> None:
    """The core calls nothing that reads a file, a clock, a terminal, or runs text as code."""
    found = [
        where(file, node)
        for file in python_files("service/core")
        for node in impure_uses(parse(file))
    ]
    assert found == []


@pytest.mark.parametrize(
    "text",
    [
        "import os",
        "from pathlib import Path",
        "import pydantic",
        "from service import units",
        "import time as t",
    ],
)
def test_purity_check_sees_an_impure_import(text: str) -> None:
    """The net is no sieve: each of these imports is caught."""
    assert [module for _, module in imported_modules(ast.parse(text)) if not is_pure(module)]


@pytest.mark.parametrize("text", ["open('a')", "date.today()", "datetime.datetime.now()"])
def test_purity_check_sees_an_impure_call(text: str) -> None:
    """The net is no sieve: each of these calls is caught."""
    assert list(impure_uses(ast.parse(text)))


def test_databases_are_opened_in_storage_only() -> None:
    """`create_engine` stands nowhere but in `service/storage`, so that its settings hold."""
    found = [
        where(file, node)
        for file in python_files("service", "migrations")
        if ROOT / "service" / "storage" not in file.parents
        for node in ast.walk(parse(file))
        if "create_engine" in {getattr(node, field, None) for field in ("id", "attr", "name")}
    ]
    assert found == []


def test_text_files_are_opened_with_their_encoding() -> None:
    """No text file is read or written in whatever encoding the machine prefers."""
    found = [
        where(file, node)
        for file in python_files("service", "migrations", "tests", ".ci")
        for node in ast.walk(parse(file))
        if isinstance(node, ast.Call) and opens_text_without_encoding(node)
    ]
    assert found == []


@pytest.mark.parametrize("text", ["open('a')", "p.open('w')", "p.read_text()", "open('a', 'r+')"])
def test_encoding_check_sees_a_bare_open(text: str) -> None:
    """The net is no sieve: each of these calls is caught."""
    assert opens_text_without_encoding(ast.parse(text, mode="eval").body)  # type: ignore[arg-type]


def test_service_packages_are_packages() -> None:
    """Every folder with code below `service` has its `__init__.py`."""
    folders = {file.parent for file in python_files("service")}
    assert [
        str(folder) for folder in sorted(folders) if not (folder / "__init__.py").exists()
    ] == []


def test_top_level_names_are_the_eight() -> None:
    """Nothing visible stands beside the eight names of the top level."""
    visible = [path.name for path in ROOT.iterdir() if not path.name.startswith(".")]
    assert sorted(name for name in visible if not LEFT_BEHIND.fullmatch(name)) == list(TOP_LEVEL)


def test_files_name_no_machine() -> None:
    """No file names a folder of the machine it was written on, or where packages come from."""
    # The brackets keep this line from finding itself.
    forbidden = re.compile(
        r"(?<![\w.~}/-])/(?:work|tmp|root)/\w|(?:py[p]i|python[h]osted|npm[j]s)\.(?:org|com)",
        re.ASCII,
    )
    found = [
        f"{file.relative_to(ROOT)}: {match.group()}"
        for file, text in repository_texts()
        for match in forbidden.finditer(text)
    ]
    assert found == []


LONGEST_FILE = 300
LONGEST_FUNCTION = 50
USUAL_FUNCTION, NINE_IN_TEN = 8, 20
MOST_MODULES = 30


def function_lengths(*folders: str) -> dict[str, int]:
    """Return the lines of each function below some folders, signature and docstring included."""
    return {
        f"{where(file, node)} {node.name}": (node.end_lineno or node.lineno) - node.lineno + 1
        for file in python_files(*folders)
        for node in ast.walk(parse(file))
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef))
    }


def test_files_are_short() -> None:
    """No file of the service has more than 300 lines."""
    lines = {file: len(file.read_text("utf-8").splitlines()) for file in python_files("service")}
    assert [str(file) for file, count in lines.items() if count > LONGEST_FILE] == []


def test_functions_are_small() -> None:
    """Half of all functions have at most 8 lines, nine in ten at most 20, none more than 50."""
    lengths = function_lengths("service")
    assert [name for name, lines in lengths.items() if lines > LONGEST_FUNCTION] == []
    ordered = sorted(lengths.values())
    assert ordered[len(ordered) // 2] <= USUAL_FUNCTION
    assert ordered[len(ordered) * 9 // 10] <= NINE_IN_TEN


def test_rooms_of_the_core_hold_at_most_thirty_modules() -> None:
    """A room that holds more is two rooms."""
    rooms = {file.parent for file in python_files("service/core")}
    counts = {room.name: len(list(room.glob("*.py"))) - 1 for room in sorted(rooms)}
    assert {room: count for room, count in counts.items() if count > MOST_MODULES} == {}


def public_names(tree: ast.Module) -> Iterator[str]:
    """Yield the classes and type aliases that a module defines for others."""
    for node in tree.body:
        if isinstance(node, ast.ClassDef):
            names = [node.name]
        elif isinstance(node, (ast.Assign, ast.AnnAssign)):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            names = [target.id for target in targets if isinstance(target, ast.Name)]
        else:
            continue
        # A constant is written in capitals, a class or an alias has small letters too.
        yield from (name for name in names if name[0].isupper() and not name.isupper())


def test_names_of_the_core_mean_one_thing() -> None:
    """No two classes or type aliases of the core share a name."""
    homes: dict[str, list[str]] = {}
    for file in python_files("service/core"):
        for name in public_names(parse(file)):
            homes.setdefault(name, []).append(str(file.relative_to(ROOT)))
    assert {name: files for name, files in homes.items() if len(files) > 1} == {}


@pytest.mark.parametrize(
    "text", ["class Place: ...", "Place = tuple[float, float]", "Place: TypeAlias = str"]
)
def test_name_check_sees_classes_and_aliases(text: str) -> None:
    """The net is no sieve: each of these names is seen."""
    assert list(public_names(ast.parse(text))) == ["Place"]
