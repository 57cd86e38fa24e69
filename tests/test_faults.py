"""Faults from pydantic's errors: real paths, stable codes, plain sentences, nothing leaked."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal, Self

import pytest
from pydantic import (
    AfterValidator,
    Discriminator,
    Field,
    Tag,
    TypeAdapter,
    ValidationError,
    model_validator,
)
from pydantic_core import InitErrorDetails

from service.core.errors import Fault, Path
from service.faults import Model, faults_from, pointer
from service.fields import (
    Count,
    FractionText,
    Id,
    Length,
    PositiveLength,
    RatioText,
    ShortText,
    StrictModel,
    by_shape,
    refused,
)
from tests.given.work import least_work


class _Straight(StrictModel):
    kind: Literal["straight"]
    length: PositiveLength


class _Curve(StrictModel):
    kind: Literal["curve"]
    radius: PositiveLength
    side: Literal["outside", "inside"] = "outside"


class _After(StrictModel):
    after: Count


class _Between(StrictModel):
    nearest: Count
    farthest: Count


class _Terms(StrictModel):
    overhead: RatioText
    profit: RatioText | None = None


class _Span(StrictModel):
    start: Length = Field(alias="from")
    end: Length = Field(alias="to")

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.end < self.start:
            raise refused("span-reversed", "lies before the start", "swap them", at=("to",))
        return self


def _refuse_odd(value: int) -> int:
    if value % 2:
        raise ValueError(f"{value} is odd")
    return value


Part = Annotated[_Straight | _Curve, Field(discriminator="kind")]


class _Wall(StrictModel):
    name: ShortText | None = None
    plan: Annotated[tuple[Part, ...], Field(strict=False, min_length=1, max_length=5)]
    station: Length | Literal["end"] | _After | _Between = 0.0
    terms: (
        Annotated[
            Annotated[Id, Tag("text")] | Annotated[_Terms, Tag("object")], Discriminator(by_shape)
        ]
        | None
    ) = None
    items: Annotated[dict[Id, RatioText], Field(max_length=3)] = Field(default_factory=dict)
    spans: Annotated[tuple[_Span, ...], Field(strict=False, max_length=3)] = ()
    share: FractionText | None = None
    flag: bool = False
    count: Count = 1


class _Body(StrictModel):
    walls: Annotated[tuple[_Wall, ...], Field(strict=False, max_length=3)]


STRAIGHT = {"kind": "straight", "length": "4 ft"}


def _faults(document: object, model: type[StrictModel] = _Wall) -> tuple[Fault, ...]:
    with pytest.raises(ValidationError) as caught:
        model.model_validate(document)
    return faults_from(caught.value, model)


def _fault(document: object, model: type[StrictModel] = _Wall) -> Fault:
    (fault,) = _faults(document, model)
    return fault


def _wall(**more: object) -> dict[str, object]:
    return {"plan": [STRAIGHT], **more}


@pytest.mark.parametrize(
    ("document", "at", "code"),
    [
        ({}, ("plan",), "field-missing"),
        ([], (), "wrong-type"),
        ("text", (), "wrong-type"),
        ({"plan": {}}, ("plan",), "wrong-type"),
        ({"plan": []}, ("plan",), "too-short"),
        ({"plan": [STRAIGHT] * 6}, ("plan",), "too-long"),
        ({"plan": [STRAIGHT, 3]}, ("plan", 1), "wrong-type"),
        ({"plan": [{"length": "4 ft"}]}, ("plan", 0, "kind"), "field-missing"),
        ({"plan": [{"kind": "strait"}]}, ("plan", 0, "kind"), "unknown-choice"),
        ({"plan": [{"kind": 3}]}, ("plan", 0, "kind"), "unknown-choice"),
        ({"plan": [{"kind": "straight"}]}, ("plan", 0, "length"), "field-missing"),
        (
            {"plan": [STRAIGHT, STRAIGHT | {"length": 4}]},
            ("plan", 1, "length"),
            "measurement-invalid",
        ),
        ({"plan": [STRAIGHT | {"radius": "4 ft"}]}, ("plan", 0, "radius"), "unknown-key"),
        (_wall(station="ende"), ("station",), "measurement-invalid"),
        (_wall(station=3), ("station",), "measurement-invalid"),
        (_wall(station=[]), ("station",), "wrong-type"),
        (_wall(station={"after": 0}), ("station", "after"), "out-of-range"),
        (_wall(station={"after": "2"}), ("station", "after"), "wrong-type"),
        (_wall(station={"nearest": 1}), ("station", "farthest"), "field-missing"),
        (_wall(terms="No Id"), ("terms",), "id-invalid"),
        (_wall(terms=3), ("terms",), "wrong-type"),
        (_wall(terms={}), ("terms", "overhead"), "field-missing"),
        (_wall(terms={"overhead": 0.1}), ("terms", "overhead"), "number-not-text"),
        (_wall(items={"a": "2"}), ("items", "a"), "decimal-invalid"),
        (_wall(items={"A": "0.1"}), ("items", "A"), "id-invalid"),
        (_wall(items={"a": "0", "b": "0", "c": "0", "d": "0"}), ("items",), "too-long"),
        (_wall(spans=[{"from": "1 ft", "to": 2}]), ("spans", 0, "to"), "measurement-invalid"),
        (_wall(spans=[{"from": "1 ft"}]), ("spans", 0, "to"), "field-missing"),
        (_wall(spans=[{"from": "2 ft", "to": "1 ft"}]), ("spans", 0, "to"), "span-reversed"),
        (_wall(name=""), ("name",), "text-invalid"),
        (_wall(name="x" * 201), ("name",), "too-long"),
        (_wall(flag="true"), ("flag",), "wrong-type"),
        (_wall(flag=1), ("flag",), "wrong-type"),
        (_wall(count=None), ("count",), "wrong-type"),
        (_wall(count=1_000_001), ("count",), "out-of-range"),
        (_wall(station={"value": 1, "unit": "lb"}), ("station",), "measurement-invalid"),
    ],
    ids=lambda value: ascii(value)[:70] if isinstance(value, (dict, list)) else str(value),
)
def test_faults_from_gives_the_path_in_the_document(document: object, at: Path, code: str) -> None:
    """One mistake is one fault, at its place in the document, without names of union branches."""
    fault = _fault(document)
    assert (fault.at, fault.code) == (at, code)


def test_faults_from_finds_all_mistakes_at_once() -> None:
    """Ten mistakes are ten faults, each with its pointer, in the order of the document."""
    document = {
        "walls": [
            {
                "nam": "lower wall",
                "plan": [
                    {"kind": "straight", "length": 24},
                    {"kind": "curve", "side": "outer"},
                    {"kind": "bend"},
                ],
                "station": "4 feet",
                "terms": {"overhead": 0.1, "profits": "0.2"},
                "count": 0,
            },
            {},
        ]
    }
    faults = _faults(document, _Body)
    assert [(pointer(fault.at), fault.code) for fault in faults] == [
        ("/walls/0/plan/0/length", "measurement-invalid"),
        ("/walls/0/plan/1/radius", "field-missing"),
        ("/walls/0/plan/1/side", "unknown-choice"),
        ("/walls/0/plan/2/kind", "unknown-choice"),
        ("/walls/0/station", "measurement-invalid"),
        ("/walls/0/terms/overhead", "number-not-text"),
        ("/walls/0/terms/profits", "unknown-key"),
        ("/walls/0/count", "out-of-range"),
        ("/walls/0/nam", "unknown-key"),
        ("/walls/1/plan", "field-missing"),
    ]


@pytest.mark.parametrize(
    ("document", "message", "hint"),
    [
        ({"plan": [{"kind": "straight"}]}, "length is required", 'write it like "4 ft 6 in"'),
        (_wall(nam="x"), "nam is not a known key here", 'did you mean "name"?'),
        (
            {"plan": [STRAIGHT | {"zzz": 1}]},
            "zzz is not a known key here",
            "known keys: kind, length",
        ),
        (
            {"plan": [{"kind": "strait"}]},
            'kind: "strait" is not a choice; one of: straight, curve',
            'did you mean "straight"?',
        ),
        ({"plan": [{}]}, "kind is required; one of: straight, curve", None),
        ({"plan": [STRAIGHT, 3]}, "plan[1]: 3 is not an object", None),
        ({"plan": [STRAIGHT] * 6}, "plan: 6 are given, at most 5 entries are read", None),
        (_wall(count=0), "count: 0 must be at least 1", None),
        (_wall(spans=[{"from": "2 ft", "to": "1 ft"}]), "to: lies before the start", "swap them"),
        (
            [],
            "the document: a list is not an object",
            "an object with name, plan, station, terms, items, spans, share, flag, count",
        ),
    ],
    ids=lambda value: ascii(value)[:60],
)
def test_faults_from_speaks_plainly(document: object, message: str, hint: str | None) -> None:
    """A message names the field and what was found, the hint what would be right."""
    fault = _fault(document)
    assert (fault.message, fault.hint) == (message, hint)


def test_faults_from_shows_excerpts_only() -> None:
    """What came in is neither dumped nor printed raw, and pydantic's addresses don't show."""
    document = _wall(
        name="secret " * 1000,
        station="\x1b[31m" * 9,
        terms={"overhead": "x" * 5000},
        count=10**4000,
        items=["x" * 5000],
        **{"k" * 5000: 1},
    )
    for fault in _faults(document):
        said = f"{fault.message} {fault.hint}"
        assert len(said) < 400
        assert said.isprintable()
        assert "pydantic" not in said


def test_faults_from_reads_type_adapters() -> None:
    """A document may be a list or a mapping of models as well."""
    adapter: TypeAdapter[dict[Id, list[Part]]] = TypeAdapter(dict[Id, list[Part]])
    with pytest.raises(ValidationError) as caught:
        adapter.validate_python({"a": [STRAIGHT, {"kind": "curve"}]})
    model: Model = adapter
    (fault,) = faults_from(caught.value, model)
    assert fault.at == ("a", 1, "radius")


class _Plain(StrictModel):
    """Fields of plain pydantic types, as a library's own model may have them."""

    word: Annotated[str, Field(pattern="^[a-z]+$", max_length=3)] = "a"
    number: Annotated[float, Field(ge=0, le=9)] = 0.0
    rows: Annotated[list[Annotated[list[Count], Field(max_length=2)]], Field(max_length=2)] = Field(
        default_factory=list
    )
    pairs: Annotated[tuple[Count, Count], Field(strict=False)] = (1, 1)
    nested: _Plain | None = None
    either: Count | Annotated[list[Count], Field(max_length=2)] = 1
    shape: Annotated[
        Annotated[Id, Tag("text")] | Annotated[list[Id], Tag("list")],
        Discriminator(lambda value: {str: "text", list: "list"}.get(type(value))),
    ] = "a"
    checked: Annotated[int, AfterValidator(_refuse_odd)] = 0


@pytest.mark.parametrize(
    ("document", "at", "code", "message"),
    [
        ({"word": "A"}, ("word",), "text-invalid", 'word: "A" is not of the form ^[a-z]+$'),
        (
            {"word": "abcd"},
            ("word",),
            "too-long",
            "word: 4 are given, at most 3 characters are read",
        ),
        ({"number": "1"}, ("number",), "wrong-type", 'number: "1" is not a number'),
        ({"number": 10.0}, ("number",), "out-of-range", "number: 10.0 must be at most 9.0"),
        ({"number": float("nan")}, ("number",), "out-of-range", "number: nan is not finite"),
        (
            {"rows": [[1, "x"]]},
            ("rows", 0, 1),
            "wrong-type",
            'rows[0][1]: "x" is not a whole number',
        ),
        ({"pairs": [1, 0]}, ("pairs", 1), "out-of-range", "pairs[1]: 0 must be at least 1"),
        (
            {"nested": {"nested": {"word": 3}}},
            ("nested", "nested", "word"),
            "wrong-type",
            "word: 3 is not text",
        ),
        ({"either": [1, 0]}, ("either", 1), "out-of-range", "either[1]: 0 must be at least 1"),
        ({"shape": 3}, ("shape",), "wrong-type", "shape: 3 is not what is needed here"),
        ({"shape": ["A"]}, ("shape", 0), "id-invalid", None),
        ({"checked": 3}, ("checked",), "value-invalid", "checked: 3 is odd"),
    ],
    ids=lambda value: ascii(value)[:60],
)
def test_faults_from_knows_plain_types(
    document: object, at: Path, code: str, message: str | None
) -> None:
    """Models that use pydantic's own types get the same paths, codes and sentences."""
    fault = _fault(document, _Plain)
    assert (fault.at, fault.code) == (at, code)
    assert message is None or fault.message == message


def _refuse_parts(value: str) -> str:
    details = [
        InitErrorDetails(type=refused("part-invalid", "is no part"), loc=("b", 2), input=value),
        InitErrorDetails(type=refused("part-invalid", "is no part"), loc=("c",), input=value),
    ]
    raise ValidationError.from_exception_data("parts", details)


def test_faults_from_takes_several_faults_of_one_validator() -> None:
    """A validator may raise several faults at once, each at a place below its field."""
    adapter: TypeAdapter[str] = TypeAdapter(Annotated[str, AfterValidator(_refuse_parts)])
    with pytest.raises(ValidationError) as caught:
        adapter.validate_python("a")
    faults = faults_from(caught.value, adapter)
    assert [fault.at for fault in faults] == [("b", 2), ("c",)]


def test_faults_from_says_something_of_every_kind() -> None:
    """An error that pydantic may grow next is still a fault with a sentence."""
    adapter = TypeAdapter(datetime)
    with pytest.raises(ValidationError) as caught:
        adapter.validate_python("yesterday")
    (fault,) = faults_from(caught.value, adapter)
    assert (fault.code, fault.message) == (
        "value-invalid",
        'the document: "yesterday" can\'t be read here',
    )


def test_faults_from_stays_quick_for_many_mistakes() -> None:
    """A body full of unknown keys is answered in a time that grows with their number alone."""

    def mistakes(count: int) -> ValidationError:
        document = {"walls": [], **{f"key_{number}": number for number in range(count)}}
        with pytest.raises(ValidationError) as caught:
            _Body.model_validate(document)
        return caught.value

    few, many = mistakes(2_000), mistakes(20_000)
    assert len(faults_from(many, _Body)) == 1_000
    # Ten times as many; each looked at for each other would take a hundred times as long.
    most = 30 * least_work(lambda: faults_from(few, _Body))
    assert least_work(lambda: faults_from(many, _Body)) < most


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        ((), ""),
        (("walls", 0, "plan", 3, "length"), "/walls/0/plan/3/length"),
        (("a/b", "m~n", "~1"), "/a~1b/m~0n/~01"),
        (("",), "/"),
    ],
    ids=str,
)
def test_pointer_escapes_as_rfc_6901(path: Path, expected: str) -> None:
    """`~` and `/` in keys are escaped, `~` first; the empty pointer is the whole document."""
    assert pointer(path) == expected
