"""Rules of the boundary that no type holds: who may call the unit library, and that every
document from outside is bounded in each of its strings, lists, mappings and numbers."""

from __future__ import annotations

import ast
import importlib
import pkgutil
from collections.abc import Iterator, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Any

import pytest
from pydantic import BaseModel, Field
from pydantic_settings import BaseSettings

import service
from service.fields import Id, Length, RatioText, StrictModel

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ROOT = Path(service.__file__).parent
UNIT_LIBRARY = "pint"
UNITS_MODULE = ROOT / "units" / "factor.py"
TEXT_READERS = {"parse_expression", "parse_units", "parse_pattern", "parse_unit_name"}
REGISTRIES = {"ureg", "registry", "_registry", "unit_registry", "UnitRegistry"}


def _imports(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module.partition(".")[0]
        elif isinstance(node, ast.Call) and _called(node) in {"import_module", "__import__"}:
            yield from (str(arg.value) for arg in node.args if isinstance(arg, ast.Constant))


def _called(node: ast.Call) -> str:
    """The last name of what is called: `registry.Quantity(…)` calls `Quantity`."""
    if isinstance(node.func, ast.Attribute):
        return node.func.attr
    return node.func.id if isinstance(node.func, ast.Name) else ""


def _text_reading(tree: ast.AST) -> Iterator[str]:
    """Calls by which the unit library would read text."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = _called(node)
        first = node.args[0] if node.args else None
        exact = isinstance(first, ast.Call) and _called(first) == "Decimal"
        # A registry is made without positional arguments; called with one, it reads it.
        maker = _called(node.func) if isinstance(node.func, ast.Call) else name
        reads = maker in REGISTRIES and first is not None
        if name in TEXT_READERS or reads or (name in {"Quantity", "Unit"} and not exact):
            yield f"line {node.lineno}: {ast.unparse(node)}"


def _sources() -> list[Path]:
    return sorted(ROOT.rglob("*.py"))


def test_unit_library_is_imported_in_units_only() -> None:
    """Only `service/units/factor.py` may import the unit library, by whatever way."""
    importing = [
        path
        for path in _sources()
        if UNIT_LIBRARY in _imports(ast.parse(path.read_text(encoding="utf-8")))
    ]
    assert importing == [UNITS_MODULE]


def test_unit_library_never_reads_text() -> None:
    """The unit library's own reader evaluates arithmetic: it gets numbers and names, no text."""
    tree = ast.parse(UNITS_MODULE.read_text(encoding="utf-8"))
    assert list(_text_reading(tree)) == []


@pytest.mark.parametrize(
    "code",
    [
        "ureg('4 ft')",
        "registry(text)",
        "ureg.parse_expression(text)",
        "parse_units('ft')",
        "Quantity('4 ft')",
        "ureg.Quantity(text)",
        "ureg.Quantity(value, unit)",
        "_registry()(text)",
        "ureg.Unit('ft')",
    ],
)
def test_text_reading_is_noticed(code: str) -> None:
    """Each way of handing text to the unit library is one that the rule above finds."""
    assert list(_text_reading(ast.parse(code)))


# The schema lint, for any list of models.


def unbounded(model: type[BaseModel]) -> list[str]:
    """Places in a model's schema where something of any size, or a bare number, may come in."""
    schema = model.model_json_schema()
    parts = {"": schema, **schema.get("$defs", {})}
    return [
        f"{model.__name__}{'.' if name else ''}{name}{place}: {why}"
        for name, part in parts.items()
        for place, why in _loose(part, "")
    ]


def _loose(schema: Mapping[str, Any], place: str) -> Iterator[tuple[str, str]]:
    for keyword in ("anyOf", "oneOf", "allOf", "prefixItems"):
        for branch in schema.get(keyword, ()):
            yield from _loose(branch, place)
    for name, below in schema.get("properties", {}).items():
        yield from _loose(below, f"{place}/{name}")
    for keyword in ("items", "additionalProperties"):
        if isinstance(schema.get(keyword), dict):
            yield from _loose(schema[keyword], f"{place}/*")
    for below in schema.get("patternProperties", {}).values():
        yield from _loose(below, f"{place}/*")
    if why := _why_loose(schema, place):
        yield place, why


_BOUNDED_BY = {
    "string": ({"maxLength", "pattern", "enum", "const"}, "a string without a bound"),
    "array": ({"maxItems"}, "an array without maxItems"),
    "mapping": ({"maxProperties"}, "a mapping without maxProperties"),
}


def _why_loose(schema: Mapping[str, Any], place: str) -> str | None:
    keys, kind = set(schema), schema.get("type")
    mapping = keys & {"additionalProperties", "patternProperties"}
    if kind == "object" and mapping and schema.get("additionalProperties") is not False:
        kind = "mapping"
    enough, why = _BOUNDED_BY.get(str(kind), (keys, None))
    if not enough & keys:
        return why
    if kind in {"integer", "number"} and "const" not in keys:
        return _why_loose_number(kind, keys, place)
    says_nothing = not keys - {"title", "description", "default", "examples"}
    return "anything at all" if says_nothing else None


def _why_loose_number(kind: str, keys: set[str], place: str) -> str | None:
    # A number on its own has no unit and is no exact decimal: it stands beside its unit only.
    if kind == "number" and not place.endswith("/value"):
        return "a bare number"
    low, high = keys & {"minimum", "exclusiveMinimum"}, keys & {"maximum", "exclusiveMaximum"}
    return None if low and high else "a number without bounds"


def models() -> list[type[BaseModel]]:
    """Every pydantic model of the service, found by importing its packages."""
    for module in pkgutil.walk_packages(service.__path__, "service."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    found: dict[str, type[BaseModel]] = {}
    waiting = list(BaseModel.__subclasses__())
    while waiting:
        model = waiting.pop()
        waiting.extend(model.__subclasses__())
        ours = model.__module__.startswith("service.")
        if ours and not issubclass(model, BaseSettings) and model.model_fields:
            found[f"{model.__module__}.{model.__qualname__}"] = model
    return [found[name] for name in sorted(found)]


def test_models_bound_everything_that_comes_in() -> None:
    """No model has a bare decimal, string or number, or a list or mapping without an end."""
    loose = {place: None for model in models() for place in unbounded(model)}
    assert list(loose) == []


def test_models_refuse_unknown_keys_and_coerce_nothing() -> None:
    """Every document from outside is strict: unknown keys, coercion and NaN are refused."""
    lax = [
        f"{model.__module__}.{model.__qualname__}"
        for model in models()
        if model.model_config.get("extra") != "forbid"
        or not model.model_config.get("strict")
        or model.model_config.get("allow_inf_nan", True)
    ]
    assert lax == []


class _Loose(BaseModel):
    text: str
    decimal: Decimal
    number: float
    count: int
    many: list[Id]
    tagged: dict[Id, Id]
    anything: Any
    maybe: str | None = None


class _Tight(StrictModel):
    text: Id
    decimal: RatioText
    number: Length
    count: Annotated[int, Field(ge=0, le=9)]
    many: Annotated[tuple[Id, ...], Field(strict=False, max_length=9)]
    tagged: Annotated[dict[Id, Id], Field(max_length=9)]
    maybe: Id | None = None


def test_unbounded_finds_each_looseness() -> None:
    """The lint finds every kind of field it is there for, and has nothing against sound ones."""
    places = {entry.partition(":")[0] for entry in unbounded(_Loose)}
    assert places == {f"_Loose/{name}" for name in _Loose.model_fields}
    assert unbounded(_Tight) == []
