"""Which rows a wall takes, and in what pieces of it they are looked at (reinforced_layout)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.errors import QuoteFaultsError
from service.core.job.job import Job
from service.core.job.spec import WallSpec
from service.core.screening.reinforced_layout import LaidOut, sheet_of
from service.core.screening.wall_section import Loading
from tests.core.screening.test_reinforced_layout import layered, level, rising, rows_in
from tests.given.basis import ASSOCIATION
from tests.given.failing_walls import failing
from tests.given.layered import GRID
from tests.given.statics import LB_FT, leaning
from tests.given.walls import entry, ft, inch, straight, to_ft, wall

EVERY_JOINT = replace(ASSOCIATION, layers=replace(ASSOCIATION.layers, spacing_m=inch(8)))
PUSH = leaning(30, math.degrees(math.atan(1 / 8))).horizontal * 120 / 2


def faults_of(job: Job) -> list[str]:
    """Why a job has no sheet."""
    with pytest.raises(QuoteFaultsError) as raised:
        sheet_of(job)
    return [fault.code for fault in raised.value.faults]


def test_sheet_is_that_of_the_section() -> None:
    """None is named; the named one has no strength; it has."""
    job, _ = failing()
    bare = replace(job, section=replace(job.section, reinforcement_item=None))
    assert faults_of(bare) == ["reinforcement-not-in-section"]
    material = replace(job.materials["grid"], reinforcement=None)
    unknown = replace(job, materials={**job.materials, "grid": material})
    assert faults_of(unknown) == ["reinforcement-data-missing"]
    assert faults_of(replace(job, materials={})) == ["reinforcement-data-missing"]
    assert sheet_of(job).ultimate_n_m == pytest.approx(3500 * LB_FT)


@pytest.mark.parametrize("spec", [level(9), rising(4, 6), rising(6, 4)])
def test_rows_are_as_far_apart_as_every_section_holds(spec: WallSpec) -> None:
    """Behind 6 ft the lowest of rows three courses apart, 8 in and 2 ft 8 in up, carries what is
    pushed between 6 ft and 6 - 1 2/3 ft deep; two courses apart, 8 in and 2 ft up, between 6 ft and
    6 - 1 1/3. A sheet that holds something between these takes rows two courses apart."""
    three, two = (PUSH * (6**2 - (6 - high) ** 2) for high in (5 / 3, 4 / 3))
    held = 1.5 * (three + two) / 2
    sheet = replace(GRID, ultimate_n_m=held * 1.6 * 1.1 * 1.1 * LB_FT)
    layout, found = layered(spec, ASSOCIATION, sheet=sheet)
    joints = {joint for joint, _, _ in rows_in(found, layout)}
    assert {1, 3, 5} < joints <= {1, 3, 5, 6, 7}


def stations(found: LaidOut) -> tuple[list[float], list[float]]:
    """Where sections with layers stand, and those that stay a plain stack, ft."""
    layers = sorted({to_ft(case.section.station_m) for case in found.cases})
    return layers, [to_ft(section.station_m) for section in found.plain]


def test_pieces_end_where_the_back_grade_crosses_a_joint_of_the_wall() -> None:
    """Four courses; the back grade rises from 1 ft below the base to 2 ft over the top, 17/3 ft in
    40 ft. Under two courses of soil nothing can be laid; joints below and above cut nothing."""
    top = 8 / 3
    ends = (entry(0.0, ft(top), back=ft(-1)), entry("end", ft(top), back=ft(top + 2)))
    _, found = layered(wall((straight(ft(40)),), ends), ASSOCIATION)
    at = [(joint * 2 / 3 + 1) * 40 * 3 / 17 for joint in range(5)]
    layers, plain = stations(found)
    assert layers == pytest.approx([*at[2:], 40])
    assert plain == pytest.approx([0, at[0], at[0], at[1], at[1], at[2]])


def test_peak_of_the_back_grade_on_a_joint_is_no_piece() -> None:
    """From 3 ft up to 4 ft, joint 6, in the middle, and down again: a row on joint 5 would have its
    course of soil at one place alone."""
    entries = [entry(ft(at), ft(6), back=ft(3)) for at in (0, 40)]
    spec = wall((straight(ft(40)),), (entries[0], entry(ft(20), ft(6), back=ft(4)), entries[1]))
    layout, found = layered(spec, EVERY_JOINT)
    assert max(joint for joint, _, _ in rows_in(found, layout)) == 4
    assert all(start < end for _, start, end in rows_in(found, layout))


def test_layers_before_ground_that_does_not_stand_are_as_long_as_tried() -> None:
    """A slope of 1:1 before soil of 30 deg: from 1 ft in steps of 6 in to twice 16 in, 3 ft."""
    basis = replace(ASSOCIATION, layers=replace(ASSOCIATION.layers, shortest_m=ft(1)))
    load = Loading(surcharge_pa=0.0, back_slope=1.0)
    _, found = layered(level(2), basis, load=load)
    assert found.reinforcement.reach_m == pytest.approx(ft(3))
