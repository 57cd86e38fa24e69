"""Figures of an answer: measures, money, ratios, hours, each with its JSON Schema.

A measure has one unit per field and unit set; `x-units` in the schema names both.
"""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, Struct

from service.fields import ID_PATTERN

DECIMAL = r"^-?[0-9]+(\.[0-9]+)?$"
DIGEST = "^[0-9a-f]{64}$"

Money = Annotated[str, Meta(pattern=DECIMAL, description="Money in the answer's currency.")]
Ratio = Annotated[str, Meta(pattern=DECIMAL, description="A share: 0.05 is 5 %.")]
Hours = Annotated[str, Meta(pattern=DECIMAL, description="Hours of work.")]
EntryId = Annotated[str, Meta(pattern=f"^{ID_PATTERN}$")]
Digest = Annotated[str, Meta(pattern=DIGEST, description="SHA-256, hexadecimal.")]
Day = Annotated[str, Meta(description="A date.", extra_json_schema={"format": "date"})]
Instant = Annotated[
    str,
    Meta(
        pattern="^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z$",
        description="Date and time in UTC (RFC 3339).",
        extra_json_schema={"format": "date-time"},
    ),
]


SoilState = Literal["bank", "loose", "compacted", "in_place"]


class Measure(Struct, frozen=True):
    """A value with its unit."""

    value: Annotated[str, Meta(pattern=DECIMAL)]
    unit: str


Length = Annotated[
    Measure,
    Meta(
        description="Length: ft, or m in metric.",
        extra_json_schema={"x-units": {"us": "ft", "metric": "m"}},
    ),
]
Area = Annotated[
    Measure,
    Meta(
        description="Area: ft2, or m2 in metric.",
        extra_json_schema={"x-units": {"us": "ft2", "metric": "m2"}},
    ),
]
Mass = Annotated[
    Measure,
    Meta(
        description="Weight: lb, or kg in metric.",
        extra_json_schema={"x-units": {"us": "lb", "metric": "kg"}},
    ),
]
Counted = Annotated[
    Measure,
    Meta(
        description="Pieces (each), length (ft, m), area (ft2, m2), volume (yd3, m3) or weight "
        "(lb, kg): by what is counted, in the unit set of the request.",
        extra_json_schema={
            "x-units": {
                "us": ["each", "ft", "ft2", "yd3", "lb"],
                "metric": ["each", "m", "m2", "m3", "kg"],
            }
        },
    ),
]
Sold = Annotated[
    Measure, Meta(description="In the unit or pack in which it is sold, whatever `units` says.")
]
