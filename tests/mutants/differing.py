"""Find the changes that make a difference while a test runs, without making any.

Each place of a module is given a call that compares its value with what the change would make of
it. Where no value of a run differs, the change can't be noticed by it, and need not be tried.
"""

from __future__ import annotations

import ast
import copy
from collections.abc import Callable

from tests.mutants.places import places_of

# What the places of an instrumented module call.
SEEN, DIFFERS = "__seen__", "__differs__"
# Whatever takes something away, or adds it, isn't asked twice.
CHANGING = frozenset(
    {"add", "append", "clear", "discard", "extend", "insert", "next", "pop", "popleft", "remove"}
    | {"heappop", "heappush", "setdefault", "update"}
)
COMPARABLE = (ast.Compare, ast.BinOp, ast.BoolOp, ast.UnaryOp)


def telling(text: str, first: int) -> ast.Module:
    """The module, telling which of its changes differ: the first has this number, and so on."""
    tree = ast.parse(text)
    places, others = places_of(tree), places_of(ast.parse(text))
    parents = {each: node for node in ast.walk(tree) for each in ast.iter_child_nodes(node)}
    # Inner places first: an outer one then holds what they became.
    for number in reversed(range(len(places))):
        _tell(places[number].node, others[number].changed, first + number, parents)
    return ast.fix_missing_locations(tree)


def _tell(node: ast.AST, changed: ast.AST, number: int, parents: dict[ast.AST, ast.AST]) -> None:
    match node:
        case ast.If():
            _put(node.test, _call(SEEN, number, node.test), parents)
        case ast.expr() if _is_in_pattern(node, parents) or _is_assigned(node):
            _begin(_function_of(node, parents), number)
        case ast.expr():
            compared = isinstance(node, COMPARABLE) and not _changes_something(node)
            told = _call(DIFFERS, number, node, _later(changed)) if compared else None
            _put(node, told or _call(SEEN, number, node), parents)
        case ast.stmt():
            _before(node, number, parents)


def _call(name: str, number: int, *values: ast.expr) -> ast.Call:
    return ast.Call(ast.Name(name, ast.Load()), [ast.Constant(number), *values], [])


def _later(value: ast.AST) -> ast.Lambda:
    assert isinstance(value, ast.expr)
    nothing = ast.arguments(posonlyargs=[], args=[], kwonlyargs=[], kw_defaults=[], defaults=[])
    return ast.Lambda(nothing, copy.deepcopy(value))


def _put(old: ast.AST, new: ast.expr, parents: dict[ast.AST, ast.AST]) -> None:
    """Let a call stand where a node stood, around it."""
    parent = parents[old]
    for field, value in ast.iter_fields(parent):
        if value is old:
            setattr(parent, field, new)
        elif isinstance(value, list):
            value[:] = [new if each is old else each for each in value]
    ast.copy_location(new, old)
    parents[old], parents[new] = new, parent


def _before(node: ast.stmt, number: int, parents: dict[ast.AST, ast.AST]) -> None:
    """Tell that a statement is reached."""
    told = ast.copy_location(ast.Expr(_call(SEEN, number, ast.Constant(None))), node)
    for _, body in ast.iter_fields(parents[node]):
        if isinstance(body, list) and any(each is node for each in body):
            body.insert(next(at for at, each in enumerate(body) if each is node), told)


def _begin(function: ast.FunctionDef | ast.AsyncFunctionDef, number: int) -> None:
    """Tell that a function is called: a pattern can't be told when it is looked at."""
    told = ast.Expr(_call(SEEN, number, ast.Constant(None)))
    function.body.insert(0, ast.copy_location(told, function.body[0]))


def _above(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> list[ast.AST]:
    found: list[ast.AST] = []
    while above := parents.get(node):
        found.append(above)
        node = above
    return found


def _is_in_pattern(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> bool:
    return any(isinstance(each, ast.pattern) for each in _above(node, parents))


def _is_assigned(node: ast.AST) -> bool:
    return isinstance(node, (ast.Name, ast.Attribute)) and not isinstance(node.ctx, ast.Load)


def _function_of(
    node: ast.AST, parents: dict[ast.AST, ast.AST]
) -> ast.FunctionDef | ast.AsyncFunctionDef:
    functions = (ast.FunctionDef, ast.AsyncFunctionDef)
    return next(each for each in _above(node, parents) if isinstance(each, functions))


def _changes_something(node: ast.AST) -> bool:
    return any(_is_changing(each) for each in ast.walk(node))


def _is_changing(node: ast.AST) -> bool:
    match node:
        case ast.NamedExpr() | ast.Yield() | ast.YieldFrom() | ast.Await():
            return True
        case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name)):
            return name in CHANGING
        case _:
            return False


def seen_by(seen: set[int]) -> dict[str, Callable[..., object]]:
    """What an instrumented module calls; numbers of changes that differ go into `seen`."""

    def reached(number: int, value: object) -> object:
        seen.add(number)
        return value

    def differs(number: int, value: object, other: Callable[[], object]) -> object:
        if number not in seen and not _is_same(value, other):
            seen.add(number)
        return value

    return {SEEN: reached, DIFFERS: differs}


def _is_same(value: object, other: Callable[[], object]) -> bool:
    try:
        changed = other()
        return type(changed) is type(value) and bool(changed == value)
    except Exception:  # noqa: BLE001  whatever it raises, the value raises nothing
        return False
