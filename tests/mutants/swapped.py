"""Give functions that are loaded other code, wherever they were imported to."""

from __future__ import annotations

import ast
import functools
import gc
from collections.abc import Iterator
from pathlib import Path
from types import CodeType, FunctionType

from tests.mutants.places import ROOT, functions_of, mutated

# What every function of an instrumented module calls first, with its file and name.
SEEN = "__seen__"


def _codes(code: CodeType) -> Iterator[CodeType]:
    for each in code.co_consts:
        if isinstance(each, CodeType):
            yield each
            yield from _codes(each)


def _key(code: CodeType) -> tuple[str, str, int]:
    return code.co_filename, code.co_qualname, code.co_firstlineno


def swap(trees: dict[str, ast.Module]) -> int:
    """Give the loaded functions of these files the code of the trees; how many changed."""
    made = [compile(tree, str(ROOT / file), "exec") for file, tree in trees.items()]
    codes = {_key(code): code for whole in made for code in _codes(whole)}
    changed = 0
    for each in gc.get_objects():
        if isinstance(each, FunctionType) and (code := codes.get(_key(each.__code__))):
            if code != each.__code__:
                each.__code__ = code
                changed += 1
        elif isinstance(each, functools._lru_cache_wrapper) and _is_core(each):  # noqa: SLF001
            each.cache_clear()
    return changed


def _is_core(kept: object) -> bool:
    return str(getattr(kept, "__module__", "")).startswith("service.core")


def swap_mutant(file: str, number: int) -> int:
    """Make one change of a file; how many loaded functions have it."""
    return swap({file: mutated((ROOT / file).read_text("utf-8"), number)})


def instrument(files: list[str]) -> int:
    """Make each function of these files tell `builtins.__seen__` that it was called."""
    return swap({file: _telling(file, ROOT / file) for file in files})


def _telling(file: str, path: Path) -> ast.Module:
    tree = ast.parse(path.read_text("utf-8"))
    for name, function in functions_of(tree):
        told = ast.parse(f"{SEEN}({file!r}, {name!r})").body[0]
        function.body.insert(0, ast.copy_location(told, function.body[0]))
    return ast.fix_missing_locations(tree)
