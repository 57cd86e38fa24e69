"""The largest value within a range, against curves whose top is known and another search."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from service.core.screening.formulas.peak import peak

Curve = Callable[[float], float]
CURVES: dict[str, tuple[Curve, float, float, float]] = {
    "parabola": (lambda x: 7 - (x - 0.3) ** 2, 0.0, 1.0, 0.3),
    "sine": (math.sin, 0.0, 3.0, math.pi / 2),
    "flat top": (lambda x: -((x - 0.9) ** 4), 0.0, 1.0, 0.9),
    "kink": (lambda x: -abs(x - 0.77), 0.0, 1.0, 0.77),
    "rising": (lambda x: x, 2.0, 5.0, 5.0),
    "falling": (lambda x: -x, 2.0, 5.0, 2.0),
    "lopsided": (lambda x: 3 * x - math.exp(x), 0.0, 20.0, math.log(3)),
}


@pytest.mark.parametrize("name", CURVES)
def test_peak_finds_the_top(name: str) -> None:
    """To a hundred-thousandth of the range, be the top inside or at an end, smooth or sharp."""
    curve, low, high, top = CURVES[name]
    value, at = peak(curve, low, high)
    assert at == pytest.approx(top, abs=1e-5 * (high - low))
    assert value == curve(at)


def test_peak_stays_within_the_range() -> None:
    """No place outside is asked for, and a function without any top has one that was found."""
    asked: list[float] = []

    def level(x: float) -> float:
        asked.append(x)
        return 1.0

    value, at = peak(level, 2.0, 5.0)
    assert value == 1.0
    assert all(2.0 < x < 5.0 for x in [*asked, at])


def test_peak_asks_once_in_a_range_of_no_width() -> None:
    """There is one place to ask at."""
    asked: list[float] = []

    def counted(x: float) -> float:
        asked.append(x)
        return -x

    assert peak(counted, 2.0, 2.0) == (-2.0, 2.0)
    assert asked == [2.0]


def test_peak_asks_seldom() -> None:
    """A smooth top costs a third of the 26 values that golden sections alone would take."""
    asked: list[float] = []

    def counted(x: float) -> float:
        asked.append(x)
        return math.sin(x)

    peak(counted, 0.0, 3.0)
    assert len(asked) <= 9


@pytest.mark.parametrize(
    ("curve", "low", "high"),
    [
        (lambda x: -(x**2), -1.0, 2.0),
        (math.cos, -1.0, 1.5),
        (math.cos, -1.5, 1.0),
        (lambda x: x - math.exp(x), -5.0, 20.0),
        (lambda x: x - math.exp(x), -2.0, 1.0),
        (lambda x: -(x**4), -0.1, 0.9),
        (lambda x: -abs(x), -0.77, 0.23),
        (lambda x: -abs(x) - x / 2, -0.27, 0.73),
        (lambda x: x, -3.0, 0.0),
        (lambda x: -x, 0.0, 3.0),
        (lambda x: math.exp(-20 * x**2), -1.0, 3.0),
        (lambda x: -(x**2) * (1 + math.tanh(9 * x) / 2), -1.0, 2.5),
        (lambda x: -math.floor(5 * abs(x)), -1.0, 1.8),
        (lambda x: -(abs(x) ** 2.5), -2.2, 1.3),
        (lambda x: math.cos(7 * x) - abs(x), -1.0, 1.7),
        (lambda x: math.cos(14 * x) - abs(x), -3.0, 1.0),
    ],
)
def test_peak_asks_where_another_search_asks(curve: Curve, low: float, high: float) -> None:
    """Step by step the places of the bounded search of SciPy, which ends as near the top where that
    lies at 0: it adds a share of the place to its tolerance, and takes a third of what it is told.
    """
    asked: list[float] = []
    others: list[float] = []

    def counted(x: float) -> float:
        asked.append(x)
        return curve(x)

    def turned(x: float) -> float:
        others.append(float(x))
        return -curve(x)

    value, at = peak(counted, low, high)
    tolerance = 3e-7 * (high - low)
    minimize_scalar(turned, bounds=(low, high), options={"xatol": tolerance})
    assert asked == pytest.approx(others, abs=1e-9)
    assert at in asked
    assert value == curve(at) == max(curve(x) for x in asked)


@given(
    weight=st.floats(1.0, 500.0),
    extra=st.floats(-0.9, 5.0),
    grip=st.floats(0.3, 0.9),
    slope=st.floats(-0.2, 0.25),
)
def test_peak_is_what_another_search_finds(
    weight: float, extra: float, grip: float, slope: float
) -> None:
    """Pushes of wedges over planes, as bounded search of SciPy finds them; where they grow up to an
    end, that end is a hundred-thousandth of the range away."""

    def push(flatness: float) -> float:
        plane = 1 / flatness
        held = weight * (1 + extra / (plane - slope))
        return held * (plane - grip) / (1 + plane * grip)

    low, high = 0.05, 1 / (grip + 0.01)
    other = minimize_scalar(lambda x: -push(x), bounds=(low, high), options={"xatol": 1e-9})
    found = max(peak(push, low, high)[0], push(low), push(high))
    assert found == pytest.approx(max(-other.fun, push(low), push(high)), rel=1e-9)
