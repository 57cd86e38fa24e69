"""Give functions that are loaded other code, wherever they were imported to."""

from __future__ import annotations

import ast
import functools
import gc
from collections import defaultdict
from collections.abc import Iterable, Iterator
from importlib import import_module
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

from tests.mutants.places import ROOT, mutated

_Key = tuple[str, str, int]


class Loaded:
    """The functions of these files (paths below the repository) that are loaded, looked up once,
    and what the core keeps of their answers."""

    def __init__(self, files: Iterable[str]) -> None:
        names = {str(ROOT / file) for file in files}
        for file in files:
            import_module(".".join(Path(file).with_suffix("").parts))  # some load at first need
        self._functions: dict[_Key, list[FunctionType]] = defaultdict(list)
        self._kept: list[Any] = []
        for each in gc.get_objects():
            if isinstance(each, FunctionType) and each.__code__.co_filename in names:
                self._functions[_key(each.__code__)].append(each)
            elif isinstance(each, functools._lru_cache_wrapper) and _is_core(each):  # noqa: SLF001
                self._kept.append(each)

    def forget(self) -> None:
        """Let every answer be found anew."""
        for each in self._kept:
            each.cache_clear()

    def swap(self, file: str, tree: ast.Module) -> int:
        """Give the functions of a file the code of the tree; how many changed."""
        changed = 0
        for code in _codes(compile(tree, str(ROOT / file), "exec")):
            for each in self._functions.get(_key(code), []):
                if code != each.__code__:
                    each.__code__ = code
                    changed += 1
        self.forget()
        return changed

    def swap_mutant(self, file: str, number: int) -> int:
        """Make one change of a file; how many functions have it."""
        return self.swap(file, mutated((ROOT / file).read_text("utf-8"), number))


def _codes(code: CodeType) -> Iterator[CodeType]:
    for each in code.co_consts:
        if isinstance(each, CodeType):
            yield each
            yield from _codes(each)


def _key(code: CodeType) -> _Key:
    return code.co_filename, code.co_qualname, code.co_firstlineno


def _is_core(kept: object) -> bool:
    return str(getattr(kept, "__module__", "")).startswith("service.core")
