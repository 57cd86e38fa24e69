"""The shipped rates of a request, each task with its own machine, and what people do while one
works."""

from __future__ import annotations

import copy

from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import Json

HEADER = ("id", "version", "title", "note", "source", "choose_by")


def waiting_rates(waiting: str, *, own_drivers: bool = False) -> Json:
    """`small_crew` written into a request; with `own_drivers` no machine is driven by the crew."""
    shipped = shipped_catalog().production_rates["small_crew"].document
    rates: Json = {key: copy.deepcopy(of) for key, of in shipped.items() if key not in HEADER}
    for machine in rates["machines"].values() if own_drivers else ():
        machine.pop("operator", None)
    return {**rates, "waiting": waiting}


def terrace(waiting: str, *, own_drivers: bool = False, **more: object) -> Json:
    """A terrace of 40 ft on level ground, filled to 45 ft behind, which machines grade beyond 15 ft
    when the wall stands: with drivers of their own the crew may leave, with drivers of the crew the
    others may."""
    wall: Json = {
        "name": "edge",
        "plan": [{"kind": "straight", "length": "40 ft"}],
        "profile": [
            {"station": "0 ft", "top": "4 ft", "front_grade": "0 ft", "existing_grade": "0 ft"},
            {"station": "end", "top": "4 ft", "front_grade": "0 ft"},
        ],
        "ends": {"start": "against_structure", "finish": "against_structure"},
        "graded_behind": "45 ft",
    }
    return {
        "units": "us",
        "wall_system": "terrace_8in",
        "section": "plain_gravity",
        "soils": {"retained": "loam"},
        "walls": [wall],
        "rates": waiting_rates(waiting, own_drivers=own_drivers),
        "terms": {"overhead": {"share": "0.05", "per_crew_day": "300.00"}},
        "prices": {"price_list": "demo_2026"},
        **more,
    }
