"""What can be changed in a module, one place at a time, so that a test should notice.

Places stand in the bodies of functions: a comparison at its limit, an operator, a number, a
condition, a statement that does something. Texts, types and defaults are left alone.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
Function = ast.FunctionDef | ast.AsyncFunctionDef

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
# What is near enough has no limit at which anybody could stand: it is turned round.
TURNED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    **COMPARED,
    ast.Lt: ast.GtE,
    ast.LtE: ast.Gt,
    ast.Gt: ast.LtE,
    ast.GtE: ast.Lt,
}
TOLERANCES = (
    "CLOSE",
    "TOLERANCE",
    "ROUNDING",
    "SAME",
    "SLIVER",
    "FINEST_M",
    "LEAST",
    "NOTHING",
    "LEVEL_M",
    "PARALLEL",
)
COMPUTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}
NAMED = {"min": "max", "max": "min", "any": "all", "all": "any", "ceil": "floor", "floor": "ceil"}


@dataclass(frozen=True, slots=True, order=True)
class Mutant:
    """One change: where it is, and the text before and after.

    `number` counts the changes of the file as `mutants_of` finds them.
    """

    file: str
    line: int
    function: str
    before: str
    after: str
    number: int
    source: str

    @property
    def change(self) -> str:
        """What was changed, and the line that it stands in."""
        return f"{self.before} => {self.after} in {self.source}"

    @property
    def name(self) -> str:
        """What stays the same when lines move."""
        return f"{self.file}: {self.function}: {self.change}"


def functions_of(tree: ast.Module) -> Iterator[tuple[str, Function]]:
    """The functions of a module and the methods of its classes, by qualified name."""
    waiting: list[tuple[str, ast.stmt]] = [("", each) for each in tree.body]
    while waiting:
        within, node = waiting.pop(0)
        if isinstance(node, Function):
            yield within + node.name, node
        elif isinstance(node, ast.ClassDef):
            waiting += [(f"{within}{node.name}.", each) for each in node.body]


def _parts(node: ast.AST) -> Iterator[ast.AST]:
    """The nodes below one, without types, decorators and defaults."""
    skipped = {"annotation", "returns", "decorator_list", "args"} if _declares(node) else set()
    for field, value in ast.iter_fields(node):
        if field in skipped:
            continue
        for each in value if isinstance(value, list) else [value]:
            if isinstance(each, ast.AST) and not _is_left_alone(each):
                yield each
                yield from _parts(each)


def _is_left_alone(node: ast.AST) -> bool:
    """Texts, and `strict=True`, which is no more than an assertion."""
    is_strict = isinstance(node, ast.keyword) and node.arg == "strict"
    return is_strict or isinstance(node, ast.JoinedStr)


def _declares(node: ast.AST) -> bool:
    return isinstance(node, (Function, ast.AnnAssign, ast.Lambda))


def _condition(node: ast.expr) -> ast.expr | None:
    """A condition turned round, unless it has an operator that is changed by itself."""
    if isinstance(node, (ast.Compare, ast.BoolOp, ast.UnaryOp)):
        return None
    return ast.UnaryOp(ast.Not(), node)


def _is_near_enough(node: ast.AST) -> bool:
    names = (each.id for each in ast.walk(node) if isinstance(each, ast.Name))
    return any(word in name for name in names for word in TOLERANCES)


def _says_never(node: ast.AST) -> bool:
    """What type checkers alone hear."""
    match node:
        case ast.Expr(value=ast.Call(func=ast.Name(id="assert_never"))):
            return True
        case _:
            return False


def _changed_operator(node: ast.AST) -> ast.AST | None:
    match node:
        case ast.Compare(left=left, ops=[op], comparators=others):
            table = TURNED if _is_near_enough(node) else COMPARED
            return ast.Compare(left, [table[type(op)]()], others)
        case ast.BinOp(left=left, op=op, right=right) if type(op) in COMPUTED:
            return ast.BinOp(left, COMPUTED[type(op)](), right)
        case ast.BoolOp(op=op, values=values):
            return ast.BoolOp(ast.Or() if isinstance(op, ast.And) else ast.And(), values)
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=operand):
            return operand
        case _:
            return None


def _changed_value(node: ast.AST) -> ast.AST | None:
    match node:
        case ast.Constant(value=bool(value)):
            return ast.Constant(not value)
        case ast.Constant(value=int() | float() as value):
            return ast.Constant(value + 1)
        case ast.Name(id=name) if name in NAMED:
            return ast.Name(NAMED[name], node.ctx)
        case ast.Attribute(value=value, attr=name) if name in {"ceil", "floor"}:
            return ast.Attribute(value, NAMED[name], node.ctx)
        case _:
            return None


def _changed_statement(node: ast.AST) -> ast.AST | None:
    match node:
        case ast.If(test=test, body=body, orelse=other) if turned := _condition(test):
            return ast.If(turned, body, other)
        case ast.IfExp(test=test, body=yes, orelse=no) if turned := _condition(test):
            return ast.IfExp(turned, yes, no)
        case ast.Expr(value=ast.Call()) | ast.AugAssign() | ast.Raise() if not _says_never(node):
            return ast.Pass()
        case ast.Continue():
            return ast.Break()
        case ast.Break():
            return ast.Continue()
        case _:
            return None


def _changed(node: ast.AST) -> ast.AST | None:
    """What a node becomes, or None where it stays."""
    return _changed_operator(node) or _changed_value(node) or _changed_statement(node)


def _text(node: ast.AST) -> str:
    """A node's own text, on one line; of a branch its condition alone."""
    if isinstance(node, ast.If):
        return f"if {ast.unparse(node.test)}"
    return " ".join(ast.unparse(node).split())


@dataclass(frozen=True, slots=True)
class Place:
    """A node that can be changed, what it becomes, and the function it stands in."""

    function: str
    line: int
    node: ast.AST
    changed: ast.AST


def places_of(tree: ast.Module) -> list[Place]:
    """The places of a module in their order, outer ones before those within them."""
    return [
        Place(name, getattr(node, "lineno", function.lineno), node, changed)
        for name, function in functions_of(tree)
        for node in _parts(function)
        if (changed := _changed(node)) is not None
    ]


def mutants_of(file: str, text: str) -> list[Mutant]:
    """Every change of a module, in the order of its places."""
    lines = text.splitlines()
    found: list[Mutant] = []
    for number, place in enumerate(places_of(ast.parse(text))):
        told = (_text(place.node), _text(place.changed))
        source = lines[place.line - 1].strip()
        found.append(Mutant(file, place.line, place.function, *told, number, source))
    return found


def mutated(text: str, number: int) -> ast.Module:
    """The module with one change made; lines stay where they were."""
    tree = ast.parse(text)
    place = places_of(tree)[number]
    _replace(tree, place.node, ast.copy_location(place.changed, place.node))
    return ast.fix_missing_locations(tree)


def _replace(tree: ast.AST, old: ast.AST, new: ast.AST) -> None:
    for parent in ast.walk(tree):
        for field, value in ast.iter_fields(parent):
            if value is old:
                setattr(parent, field, new)
            elif isinstance(value, list):
                value[:] = [new if each is old else each for each in value]
