"""No caution hangs on a fact that nobody gives."""

from __future__ import annotations

import ast
from pathlib import Path

from service.core.job.jurisdiction import TRIGGERS

CORE = Path(__file__).resolve().parents[3] / "service" / "core"
# What a rule may hang on is listed here, which gives no fact.
LIST = CORE / "job" / "jurisdiction.py"


def test_every_trigger_has_its_fact() -> None:
    """Each trigger is named somewhere in the core beside the list: as a fact, or as what a failing
    check raises. A rule on any other would never hold, and nobody would know."""
    named = {
        node.value
        for file in CORE.rglob("*.py")
        if file != LIST
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant)
    }
    assert [trigger for trigger in TRIGGERS if trigger not in named] == []
