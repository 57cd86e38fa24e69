"""Curves from what is known of them: any two of radius, angle, length, chord and rise.

With x = angle/2: length = 2·r·x, chord = 2·r·sin x, rise (middle ordinate) = r·(1 − cos x).
Radius with chord, and length with rise, fit two arcs; the flatter one is meant.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from service.core.errors import QuoteError
from service.core.job.spec import Curve, TurnSide, curve_from_chord

FULL_CIRCLE_RISE = 2  # rise of a full circle, in radii
KNOWN = ("radius", "angle", "length", "chord", "rise")

# (1 − cos x)/(2x), which is rise/length, is largest here; beyond it a second arc fits.
_LARGEST_RISE_HALF_ANGLE = 2.3311223704144226
_LARGEST_RISE_SHARE = 0.36230567688835424


class CurveImpossibleError(QuoteError):
    """No arc has both figures."""


def curve_from(side: TurnSide, known: Mapping[str, float]) -> Curve:
    """The arc with exactly two known figures (`KNOWN`; m and rad, all positive).

    Raises CurveImpossibleError where no arc of less than a full circle has both.
    """
    radius, angle = _SOLVERS[frozenset(known)](known)
    if not (0 < angle < 2 * math.pi and 0 < radius < math.inf):
        raise CurveImpossibleError("no arc of less than a full circle has these two figures")
    return Curve(side=side, radius_m=radius, angle_rad=angle)


def _radius_length(known: Mapping[str, float]) -> tuple[float, float]:
    return known["radius"], known["length"] / known["radius"]


def _radius_chord(known: Mapping[str, float]) -> tuple[float, float]:
    share = known["chord"] / (2 * known["radius"])
    if share > 1:
        raise CurveImpossibleError("the chord is longer than twice the radius")
    return known["radius"], 2 * math.asin(share)


def _radius_rise(known: Mapping[str, float]) -> tuple[float, float]:
    share = known["rise"] / known["radius"]
    if share >= FULL_CIRCLE_RISE:
        raise CurveImpossibleError("the rise is not less than twice the radius")
    return known["radius"], 2 * math.acos(1 - share)


def _angle_length(known: Mapping[str, float]) -> tuple[float, float]:
    return known["length"] / known["angle"], known["angle"]


def _angle_chord(known: Mapping[str, float]) -> tuple[float, float]:
    return known["chord"] / (2 * math.sin(known["angle"] / 2)), known["angle"]


def _angle_rise(known: Mapping[str, float]) -> tuple[float, float]:
    return known["rise"] / (1 - math.cos(known["angle"] / 2)), known["angle"]


def _length_chord(known: Mapping[str, float]) -> tuple[float, float]:
    share = known["chord"] / known["length"]
    if share >= 1:
        raise CurveImpossibleError("the chord is not shorter than the curve's length")
    half = _falling_root(lambda x: math.sin(x) / x - share, 0.0, math.pi)
    return known["length"] / (2 * half), 2 * half


def _length_rise(known: Mapping[str, float]) -> tuple[float, float]:
    share = known["rise"] / known["length"]
    if share > _LARGEST_RISE_SHARE:
        raise CurveImpossibleError("the rise is too large for the curve's length")
    half = _falling_root(
        lambda x: share - (1 - math.cos(x)) / (2 * x), 0.0, _LARGEST_RISE_HALF_ANGLE
    )
    return known["length"] / (2 * half), 2 * half


def _chord_rise(known: Mapping[str, float]) -> tuple[float, float]:
    curve = curve_from_chord("outside", known["chord"], known["rise"])
    return curve.radius_m, curve.angle_rad


_SOLVERS: Mapping[frozenset[str], Callable[[Mapping[str, float]], tuple[float, float]]] = {
    frozenset(("radius", "angle")): lambda known: (known["radius"], known["angle"]),
    frozenset(("radius", "length")): _radius_length,
    frozenset(("radius", "chord")): _radius_chord,
    frozenset(("radius", "rise")): _radius_rise,
    frozenset(("angle", "length")): _angle_length,
    frozenset(("angle", "chord")): _angle_chord,
    frozenset(("angle", "rise")): _angle_rise,
    frozenset(("length", "chord")): _length_chord,
    frozenset(("length", "rise")): _length_rise,
    frozenset(("chord", "rise")): _chord_rise,
}


def _falling_root(function: Callable[[float], float], low: float, high: float) -> float:
    """Root of a function that falls from positive to negative, by halving to the last bit."""
    while (middle := (low + high) / 2) not in (low, high):
        low, high = (middle, high) if function(middle) > 0 else (low, middle)
    return middle
