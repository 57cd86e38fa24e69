"""The arithmetic that a check shows is that of the section which governs it."""

import math
import re

import pytest
from starlette.testclient import TestClient

from tests.given.quote_requests import Json, quoted, shipped_request, straight

WORDS = re.compile(
    r"thrust of soil ([\d.]+) lb/ft, of load ([\d.]+) lb/ft; units and cap ([\d.]+) lb/ft"
)
FIRM_DEG = 30  # silty_sand, which the base stands on


@pytest.mark.parametrize("tops", [(2, 4), (4, 2), (2, 4, 3)])
def test_check_shows_the_arithmetic_of_its_own_section(
    client: TestClient, tops: tuple[int, ...]
) -> None:
    """Sliding of a wall of several heights is weight x tan 30 deg / thrust of the words given, the
    lowest of the wall, and not that of a lower section."""
    sliding, alone = (base_sliding(client, each) for each in (tops, (max(tops),) * 2))
    found = WORDS.search(sliding["how"][0])
    assert found
    thrust, load, weight = map(float, found.groups())
    ratio = weight * math.tan(math.radians(FIRM_DEG)) / (thrust + load)
    assert float(sliding["value"]) == pytest.approx(ratio, rel=1e-4)
    assert sliding["value"] == alone["value"]


def base_sliding(client: TestClient, tops: tuple[int, ...]) -> Json:
    """The check of sliding of a wall of 40 ft with its tops at even distances, in feet."""
    stations = [f"{40 * place / (len(tops) - 1):g} ft" for place in range(len(tops))]
    profile: list[Json] = [
        {"station": station, "top": f"{top} ft", "front_grade": "0 ft"}
        for station, top in zip(stations, tops, strict=True)
    ]
    wall: Json = {"plan": [straight("40 ft")], "profile": profile}
    soils = {"retained": "silty_sand", "foundation": "silty_sand"}
    answer = quoted(client, shipped_request(wall, soils=soils))
    (sliding,) = (each for each in answer["checks"] if each["check"] == "base_sliding")
    found: Json = sliding
    return found
