"""What a quote costs, as ratios of things measured side by side in one run.

Run by name (`python .ci/tasks.py benchmarks`). Each test prints its figures; the bounds are those
of a machine that does nothing else, with room.
"""

from __future__ import annotations

import asyncio
import itertools
import json
import math
import time
from collections.abc import Callable, MutableMapping
from typing import Any

import pytest

from service import json_text
from service.api.app import create_app
from service.catalog import Catalog, load_catalog
from service.core.job.spec import WallSpec
from service.core.layout.layout import lay_out
from service.core.measure import US
from service.core.takeoff.takeoff import take_off
from service.operations.quoting.quote import quote_document
from service.operations.quoting.quote_answer import encode_answer
from service.settings import Settings
from tests.given.walls import entry, ft, section, straight, system, wall

STATIONS = 50
ROUNDS = 9
Json = dict[str, Any]


def best(work: Callable[[], object], times: int = 20) -> float:
    """Seconds of one run: the best of some rounds, each of several runs."""
    found = math.inf
    for _ in range(ROUNDS):
        start = time.process_time()
        for _ in range(times):
            work()
        found = min(found, (time.process_time() - start) / times)
    return found


def wavy(stations: int) -> WallSpec:
    """A wall of so many stations, 10 ft apart, its top and front grade up and down."""
    profile = [
        entry(ft(10 * i), ft(4 + math.sin(i)), ft(0.5 * math.cos(i))) for i in range(stations - 1)
    ]
    length = ft(10 * (stations - 1))
    return wall((straight(length),), (*profile, entry("end", ft(4), 0.0)))


def request(stations: int) -> bytes:
    """The same wall as a caller sends it, with rates, prices and terms."""
    profile: list[Json] = [
        {
            "station": f"{10 * i} ft",
            "top": f"{4 + math.sin(i):.4f} ft",
            "front_grade": f"{0.5 * math.cos(i):.4f} ft",
        }
        for i in range(stations - 1)
    ]
    profile.append({"station": "end", "top": "4 ft", "front_grade": "0 ft"})
    document = {
        "units": "us",
        "wall_system": "terrace_8in",
        "section": "plain_gravity",
        "walls": [
            {
                "plan": [{"kind": "straight", "length": f"{10 * (stations - 1)} ft"}],
                "profile": profile,
            }
        ],
        "rates": "small_crew",
        "prices": {"price_list": "demo_2026"},
        "terms": "standard",
    }
    return json.dumps(document).encode("utf-8")


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    """The shipped catalog."""
    return load_catalog(())


def answer(body: bytes, catalog: Catalog) -> bytes:
    """From the bytes of a request to those of its answer, without a server."""
    return encode_answer(quote_document(json_text.loads(body), catalog))


def test_quote_over_http_costs_little_more_than_the_quote(catalog: Catalog) -> None:
    """CPU of a call through the application / CPU of the same bytes-to-bytes work."""
    app, body = create_app(Settings(), catalog), request(STATIONS)
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "POST",
        "path": "/v1/quotes",
        "raw_path": b"/v1/quotes",
        "query_string": b"",
        "root_path": "",
        "scheme": "http",
        "server": ("127.0.0.1", 8000),
        "client": ("127.0.0.1", 5000),
        "headers": [(b"host", b"127.0.0.1"), (b"content-type", b"application/json")],
    }
    statuses: list[int] = []

    async def receive() -> Json:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: MutableMapping[str, Any]) -> None:
        if message["type"] == "http.response.start":
            statuses.append(message["status"])

    with asyncio.Runner() as runner:

        async def call() -> None:
            await app(dict(scope), receive, send)

        served = best(lambda: runner.run(call()))
    bare = best(lambda: answer(body, catalog))
    print(f"over HTTP {served * 1e3:.2f} ms, bare {bare * 1e3:.2f} ms: {served / bare:.3f}")  # noqa: T201
    assert statuses == [200] * len(statuses)
    assert served / bare <= 1.25


def test_layout_and_takeoff_stay_near_a_plain_loop() -> None:
    """Layout and takeoff of the 50-station wall / a float loop over its course segments.

    The loop walks every course in steps of a tenth of a foot and asks at each whether the course
    is there; it counts units and stone the same, without traces.
    """
    spec, units, detail = wavy(STATIONS), system(), section()

    def ours() -> None:
        layout = lay_out(spec, units, detail, US)
        take_off((layout,), units, detail, {}, US)

    def loop() -> float:
        stone = 0.0
        levels = [(e.station.at_m, e.top_m, e.front_grade_m) for e in spec.profile[:-1]]
        for (a, top_a, front_a), (b, top_b, front_b) in itertools.pairwise(levels):
            for step in range(100):
                share = step / 100
                top = top_a + share * (top_b - top_a)
                front = front_a + share * (front_b - front_a)
                for course in range(-2, 8):
                    level = course * 0.2032
                    if front - 0.1524 <= level + 0.2032 and level < top - 0.1016:
                        stone += (b - a) / 100 * 0.2032 * 0.3048
        return stone

    taken, plain = best(ours, 5), best(loop, 5)
    print(f"ours {taken * 1e3:.2f} ms, loop {plain * 1e3:.2f} ms: {taken / plain:.2f}")  # noqa: T201
    assert taken / plain <= 1.5


@pytest.mark.parametrize("counts", [(10, 200)], ids=["stations"])
def test_time_grows_in_proportion(catalog: Catalog, counts: tuple[int, int]) -> None:
    """The fitted exponent of time in stations is about 1: twenty times as many, at most 20^1.15."""
    few, many = (best(lambda n=n: answer(request(n), catalog), 3) for n in counts)  # type: ignore[misc]
    exponent = math.log(many / few) / math.log(counts[1] / counts[0])
    print(f"{few * 1e3:.2f} ms, {many * 1e3:.2f} ms: exponent {exponent:.3f}")  # noqa: T201
    assert exponent <= 1.15


def dug(stations: int, points: int) -> bytes:
    """A wall with existing ground and a surveyed area, in one request."""
    document = json.loads(request(stations))
    document["soils"] = {"retained": "loam"}
    wall_request = document["walls"][0]
    wall_request["profile"][0]["existing_grade"] = "1 ft"
    wall_request |= {"existing_slope": "6:1", "graded_in_front": "4 ft", "graded_behind": "4 ft"}
    side = math.isqrt(points)
    lines = [
        f"{i * side + j + 1},{i},{j},{math.sin(i / 3) + j / 15:.3f},g"
        for i in range(side)
        for j in range(side)
    ]
    corners = [str(n) for n in (1, side, side * side, side * (side - 1) + 1)]
    columns = ["point", "northing", "easting", "elevation", "description"]
    survey = {"points": "\n".join(lines), "columns": columns, "units": "ft"}
    document["grading"] = [{"survey": {**survey, "boundary": corners, "finished_level": "1 ft"}}]
    return json.dumps(document).encode("utf-8")


def test_a_dug_wall_and_a_survey_grow_no_worse_than_n_log_n(catalog: Catalog) -> None:
    """5,000 points and 200 stations against a quarter of both: at most 4 x the log ratio, with
    the slack of caches."""
    few, many = dug(50, 1250), dug(200, 5000)
    answer(few, catalog)
    short, long = (best(lambda body=body: answer(body, catalog), 1) for body in (few, many))  # type: ignore[misc]
    allowed = 4 * math.log(5000) / math.log(1250) * 1.5
    print(f"{short:.3f} s, {long:.3f} s: {long / short:.2f}, allowed {allowed:.2f}")  # noqa: T201
    assert long / short <= allowed
