"""Topsoil of the job serves its own tasks first, and one sod is taken off once (rule 13.15)."""

from __future__ import annotations

import pytest

from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import Json, answered, level_wall, quantity_of, shipped_request

# Loam: 1 yd3 in the bank is 1.25 loose. Topsoil: 1 yd3 in place is bought as 1.2 loose.
SWELL = 1.25
YD3 = 27.0  # ft3


def quoted(topsoil: Json | None, *tasks: tuple[str, str], **more: object) -> Json:
    """40 ft of wall, 4 ft high, on level ground of loam, filled behind to 12 ft."""
    wall = level_wall(graded_behind="12 ft")
    wall["profile"][0]["existing_grade"] = "0 ft"
    work = [{"task": task, "quantity": quantity} for task, quantity in tasks]
    stripping = {"topsoil": topsoil} if topsoil else {}
    request = shipped_request(
        wall, rates="small_crew", soils={"retained": "loam"}, site_work=work, **stripping, **more
    )
    return answered(request, shipped_catalog())


def yards(answer: Json, key: str) -> float:
    """A volume of the topsoil, in yd3."""
    return float(answer["earthwork"]["topsoil"][key]["value"])


def items(answer: Json) -> list[str]:
    """The items that stand on lines."""
    return [line["item"] for line in answer["quantities"]]


def net(answer: Json, item: str) -> float:
    """How much of an item there is before waste."""
    return float(quantity_of(answer, item)["net"]["value"])


STRIP_ALL = {"strip": "6 in", "replace": "0 in"}


def test_quote_spreads_the_topsoil_that_was_stripped_before_it_leaves() -> None:
    """6 yd3 of what was stripped are spread by a task: none is bought, and 6 x 1.25 = 7.5 yd3
    loose less leave by the haul-off line."""
    alone, found = quoted(STRIP_ALL), quoted(STRIP_ALL, ("spread_topsoil", "6 yd3"))
    assert yards(alone, "stripped") > 6
    assert "topsoil" not in items(found)
    assert yards(found, "site_work") == pytest.approx(6)
    assert yards(found, "surplus") == pytest.approx(yards(alone, "surplus") - 6)
    assert net(found, "haul_off") == pytest.approx(net(alone, "haul_off") - 6 * SWELL)
    assert yards(found, "short") == 0


def test_quote_buys_only_the_topsoil_that_the_job_lacks() -> None:
    """Where tasks need 4 yd3 more than is left, 4 are bought: 4.8 loose, 5 by the half yard."""
    left = yards(quoted(STRIP_ALL), "surplus")
    found = quoted(STRIP_ALL, ("spread_topsoil", f"{left + 4:.9f} yd3"))
    line = quantity_of(found, "topsoil")
    assert net(found, "topsoil") == pytest.approx(4, abs=1e-6)
    assert line["order"]["value"] == "5"
    assert "stripped on the job" in " ".join(line["how"])
    assert yards(found, "surplus") == 0
    assert yards(found, "short") == pytest.approx(4, abs=1e-6)


def test_quote_puts_topsoil_back_before_its_tasks_get_any() -> None:
    """As much is put back as is left: tasks get what was stripped less what is put back."""
    depths = {"strip": "6 in", "replace": "4 in"}
    left = yards(quoted(depths), "surplus")
    found = quoted(depths, ("spread_topsoil", f"{left + 2:.9f} yd3"))
    assert net(found, "topsoil") == pytest.approx(2, abs=1e-6)
    assert yards(found, "replaced") == pytest.approx(yards(quoted(depths), "replaced"))


def test_quote_serves_every_task_that_takes_topsoil() -> None:
    """600 ft2 of lawn take 600 x 0.042 ft3 = 25.2 ft3, beside 2 yd3 that are spread."""
    tasks = (("restore_lawn", "600 ft2"), ("spread_topsoil", "2 yd3"))
    alone, found = quoted(STRIP_ALL), quoted(STRIP_ALL, *tasks)
    taken = 25.2 / YD3 + 2
    assert yards(found, "surplus") == pytest.approx(yards(alone, "surplus") - taken)
    assert "topsoil" not in items(found)


def test_quote_serves_no_topsoil_twice() -> None:
    """Two tasks of 2 yd3 more together than is left: 2 are bought, not none."""
    left = yards(quoted(STRIP_ALL), "surplus")
    tasks = [("spread_topsoil", f"{left / 2 + 1:.9f} yd3")] * 2
    assert net(quoted(STRIP_ALL, *tasks), "topsoil") == pytest.approx(2, abs=1e-6)


def test_quote_buys_all_topsoil_where_none_is_stripped() -> None:
    """Without `topsoil`, or of material alone, nothing is stripped: 6 yd3 are bought."""
    task = ("spread_topsoil", "6 yd3")
    assert net(quoted(None, task), "topsoil") == pytest.approx(6)
    heaped = ("strip_topsoil", "10 yd3")
    alone = quoted(STRIP_ALL, task, heaped, materials_only=True)
    assert net(alone, "topsoil") == pytest.approx(6)


def test_quote_buys_topsoil_of_tasks_beside_what_is_short() -> None:
    """Less is stripped than is put back: tasks get none of it, and both are bought together."""
    depths = {"strip": "2 in", "replace": "6 in"}
    short = yards(quoted(depths), "short")
    found = quoted(depths, ("spread_topsoil", "6 yd3"))
    assert net(found, "topsoil") == pytest.approx(short + 6)
    assert yards(found, "short") == pytest.approx(short + 6)


@pytest.mark.parametrize(
    ("strip", "less_ft"),
    [("6 in", 2 / 12), ("2 in", 2 / 12), ("1 in", 1 / 12)],
)
def test_quote_strips_less_where_site_work_takes_the_sod_off(strip: str, less_ft: float) -> None:
    """Over 100 ft2 of sod the strip is less by 2 in, the sod's thickness, or by all of it."""
    depths = {"strip": strip, "replace": "0 in"}
    alone, found = quoted(depths), quoted(depths, ("strip_sod", "100 ft2"))
    less = 100 * less_ft / YD3
    assert yards(found, "stripped") == pytest.approx(yards(alone, "stripped") - less)
    assert net(found, "haul_off") == pytest.approx(net(alone, "haul_off") - less * SWELL)
    for volume in ("cut", "backfill", "fill"):
        assert found["earthwork"][volume] == alone["earthwork"][volume]


def test_quote_strips_no_less_than_the_ground_that_is_stripped() -> None:
    """More sod than ground is stripped: 2 of 6 in go with it everywhere, and not more."""
    alone = quoted(STRIP_ALL)
    found = quoted(STRIP_ALL, ("strip_sod", "20000 ft2"))
    assert yards(found, "stripped") == pytest.approx(yards(alone, "stripped") * 4 / 6)


def test_quote_times_the_strip_without_the_sod() -> None:
    """The loader strips 12 yd3 an hour, three quarters of it: what is left takes 1/9 h a yd3."""
    found = quoted(STRIP_ALL, ("strip_sod", "400 ft2"))
    tasks = {task["task"]: float(task["hours"]) for task in found["labor"]["tasks"]}
    assert tasks["strip_topsoil"] == pytest.approx(yards(found, "stripped") / 9, abs=0.006)


def test_quote_says_what_goes_with_the_sod() -> None:
    """The words name area, thickness and what is left to strip."""
    found = quoted(STRIP_ALL, ("strip_sod", "100 ft2"))
    (words,) = (line for line in found["earthwork"]["how"] if line.startswith("sod that"))
    assert "100 ft2 x 2 in = 0.617284 yd3" in words


def test_quote_takes_from_the_heap_what_site_work_stripped() -> None:
    """A task strips and heaps 10 yd3, another spreads 8: none is bought, and nothing leaves.

    Of 12 to be spread 2 are bought. The same with existing ground and without.
    """
    heaped = ("strip_topsoil", "10 yd3")
    assert "topsoil" not in items(quoted(None, heaped, ("spread_topsoil", "8 yd3")))
    dug = quoted(None, heaped, ("spread_topsoil", "12 yd3"))
    assert net(dug, "topsoil") == pytest.approx(2)
    alone = answered(
        shipped_request(
            level_wall(),
            site_work=[
                {"task": task, "quantity": quantity}
                for task, quantity in (heaped, ("spread_topsoil", "12 yd3"))
            ],
            rates="small_crew",
        ),
        shipped_catalog(),
    )
    assert net(alone, "topsoil") == pytest.approx(2)


def test_quote_leaves_in_the_heap_what_nobody_needs() -> None:
    """A heap of 10 yd3 stays where it is: what leaves is the strip's surplus alone, and tasks take
    that first."""
    alone = quoted(STRIP_ALL, ("spread_topsoil", "2 yd3"))
    found = quoted(STRIP_ALL, ("spread_topsoil", "2 yd3"), ("strip_topsoil", "10 yd3"))
    assert yards(found, "surplus") == pytest.approx(yards(alone, "surplus"))
    assert "from_heap" not in found["earthwork"]["topsoil"]


def test_quote_puts_the_heap_back_before_topsoil_is_bought() -> None:
    """2 in are stripped and 6 put back: what is short falls by a heap of 1 yd3."""
    depths = {"strip": "2 in", "replace": "6 in"}
    short = yards(quoted(depths), "short")
    found = quoted(depths, ("strip_topsoil", "1 yd3"))
    assert yards(found, "from_heap") == pytest.approx(1)
    assert yards(found, "short") == pytest.approx(short - 1)
    assert net(found, "topsoil") == pytest.approx(short - 1)
