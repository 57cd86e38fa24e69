"""Changes are found, made and judged: one that a test notices is killed, any other lives."""

from __future__ import annotations

import ast
import subprocess
import sys

import pytest

from tests.mutants.__main__ import argued, core_files, main, near, select
from tests.mutants.differing import seen_by, telling
from tests.mutants.places import ROOT, mutants_of, mutated

MONEY = "service/core/money.py"

SMALL = '''
def shown(length: int = 3) -> bool:
    """Three at most."""
    if length < 4 and not length == 2:
        told.append(length)
    return length - 1 > 0
'''


def test_mutants_of_changes_each_place() -> None:
    """Every operator, number, condition and statement of a body is a place; a default is none."""
    found = {(each.line, each.before, each.after) for each in mutants_of("small.py", SMALL)}
    assert found == {
        (4, "length < 4 and (not length == 2)", "length < 4 or not length == 2"),
        (4, "length < 4", "length <= 4"),
        (4, "4", "5"),
        (4, "not length == 2", "length == 2"),
        (4, "length == 2", "length != 2"),
        (4, "2", "3"),
        (5, "told.append(length)", "pass"),
        (6, "length - 1 > 0", "length - 1 >= 0"),
        (6, "length - 1", "length + 1"),
        (6, "1", "2"),
        (6, "0", "1"),
    }


def test_mutants_of_turns_round_what_is_near_enough() -> None:
    """A tolerance has no limit to stand at; what says that it is never reached does nothing."""
    text = "def f():\n    if a - b < CLOSE_M:\n        assert_never(a)\n"
    changes = [each.after for each in mutants_of("small.py", text)]
    assert changes == ["a - b >= CLOSE_M", "a + b"]


def test_mutated_changes_one_place_alone() -> None:
    """The module with a change differs from the module by what the change says."""
    whole = ast.unparse(ast.parse(SMALL))
    for mutant in mutants_of("small.py", SMALL):
        changed = ast.unparse(mutated(SMALL, mutant.number))
        assert changed != whole
        differing = [
            (before, after)
            for before, after in zip(whole.splitlines(), changed.splitlines(), strict=True)
            if before != after
        ]
        assert len(differing) == 1


def differing(text: str, *lengths: int) -> set[str]:
    """What the changes make of the places that they differ in when `shown` is called with these."""
    seen: set[int] = set()
    names: dict[str, object] = {**seen_by(seen), "told": []}
    exec(compile(telling(text, 100), "small.py", "exec"), names)  # noqa: S102  our own text
    shown = names["shown"]
    assert callable(shown)
    for length in lengths:
        shown(length)
    places = mutants_of("small.py", text)
    return {places[number - 100].after for number in seen}


def test_telling_tells_what_differs() -> None:
    """A limit differs where one stands at it alone, a sum unless nothing is added, a number or a
    statement wherever it is reached; and nothing is changed by it."""
    assert differing(SMALL) == set()
    longer = {"length < 4 or not length == 2", "5", "length + 1", "2", "1"}
    assert differing(SMALL, 9) == longer
    assert "length <= 4" in differing(SMALL, 4) - differing(SMALL, 3)
    assert "pass" in differing(SMALL, 3) - differing(SMALL, 4)
    assert "length - 1 >= 0" in differing(SMALL, 1) - differing(SMALL, 3)
    whole = "def shown(length):\n    told.append(length + 0)\n    return told.pop() < 1\n"
    assert differing(whole, 3) == {"pass", "1", "told.pop() <= 1", "2"}


def test_telling_leaves_each_module_as_it_is() -> None:
    """Every module of the core can be told of, and has each of its changes in it."""
    for file in core_files():
        text = (ROOT / file).read_text("utf-8")
        told = ast.unparse(telling(text, 7_000_000))
        for number in range(len(mutants_of(file, text))):
            assert f"({7_000_000 + number}, " in told, (file, number)


def test_select_goes_by_its_seed() -> None:
    """A sample is the same for one seed, and another for the next."""
    assert select([MONEY], 8, 1) == select([MONEY], 8, 1) != select([MONEY], 8, 2)
    assert len(select([MONEY], 8, 1)) == 8


def test_near_has_the_room_and_who_names_the_module() -> None:
    """A module of a room is tried with the room's tests; one of its own, with who imports it."""
    assert "tests/core/layout/test_plan.py" in near("service/core/layout/levels.py")
    assert "tests/core/test_money.py" in near(MONEY)
    assert "tests/core/layout/test_plan.py" not in near(MONEY)
    assert "tests/api/test_would_pass.py" in near("service/core/would_pass/tried.py")
    assert all((ROOT / test).is_file() for file in core_files() for test in near(file))


def test_argued_changes_are_there() -> None:
    """Whoever changes a line that a change was argued for, argues it anew; each has a reason."""
    names = {mutant.name for mutant in select(core_files(), 0, 0)}
    assert argued().keys() <= names
    assert all(len(why) > 20 for why in argued().values())


TRY = """
import sys
from tests.mutants.__main__ import select
from tests.mutants.trial import try_all
wanted = sys.argv[2:]
found = [each for each in select([sys.argv[1]], 0, 0) if f"{each.before} => {each.after}" in wanted]
for each, result in try_all(found, ["tests/core/test_money.py"], lambda *_: None).items():
    print(each.line, each.before, "=>", each.after, result)
"""


def test_try_all_tells_what_tests_notice() -> None:
    """A sum of lines that is taken off instead of left over is noticed. A single weight of 2 for
    one of 1 splits the same way, so that no test can tell; nor is a function noticed that no
    test calls."""
    words = (
        "units - sum((share for share, _ in cut)) => units + sum((share for share, _ in cut))",
    )
    done = _python(MONEY, *words, "1 => 2")
    assert f"{words[0]} killed" in done
    assert "69 1 => 2 lived" in done
    assert "result" not in _python("service/core/near_words.py", *words)


def _python(*words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", TRY, *words], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_main_has_nothing_to_do_without_changes(capsys: pytest.CaptureFixture[str]) -> None:
    """Files without a function that could be changed end with 0, and say so."""
    assert main(["service/core/__init__.py"]) == 0
    assert "0 changes" in capsys.readouterr().out
