"""Existing ground of a wall: planes through a grade, surveyed sections, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.errors import LayoutFaultsError, Path
from service.core.ground.ground import ExistingSections, measure_ground
from service.core.ground.region import Line, Polyline, meeting
from service.core.job.spec import ProfileEntry, WallSpec
from tests.given.earth import dig_section, dug, ground_wall
from tests.given.set_walls import UPRIGHT
from tests.given.walls import entry, ft, laid, level_wall, straight, wall

PAIRS = ((-10.0, 0.0), (10.0, 2.0))


def walled(*entries: ProfileEntry, existing_slope: float = 0.0) -> WallSpec:
    """20 m of wall with some profile entries."""
    return replace(wall((straight(20.0),), entries), existing_slope=existing_slope)


def at(
    station: float, existing: float | None = None, pairs: tuple[tuple[float, float], ...] = ()
) -> ProfileEntry:
    """An entry of a wall 1 m high."""
    plain = entry(station, 1.0)
    return replace(plain, existing_grade_m=existing, existing_section=pairs)


def faults(spec: WallSpec) -> list[tuple[str, Path]]:
    """Codes and paths of what is wrong with the ground."""
    with pytest.raises(LayoutFaultsError) as caught:
        measure_ground(laid(spec))
    return [(fault.code, fault.at) for fault in caught.value.faults]


def test_measure_ground_is_empty_where_nothing_was_measured() -> None:
    """No existing grade in the first entry, no sections: no ground."""
    assert measure_ground(laid(level_wall())) == ()


def test_measure_ground_rises_toward_the_soil_on_both_sides() -> None:
    """A 4:1 plane through 1 m: 1.5 m two meters behind, 0.5 m two meters in front."""
    (piece,) = measure_ground(laid(walled(at(0, 1.0), at(20), existing_slope=0.25)))
    ground = piece.at(5.0)
    assert [ground.at(x) for x in (-2.0, 0.0, 2.0)] == pytest.approx([0.5, 1.0, 1.5])


def test_measure_ground_stays_where_later_entries_leave_it_out() -> None:
    """Left out later the existing grade stays; between entries it is linear."""
    pieces = measure_ground(laid(walled(at(0, 1.0), at(5), at(15, 3.0), at(20))))
    levels = [piece.at(s).at(0.0) for piece, s in zip(pieces, (5.0, 10.0, 20.0), strict=True)]
    assert levels == pytest.approx([1.0, 2.0, 3.0])


def test_measure_ground_jumps_where_two_entries_meet() -> None:
    """Two entries at one station make a vertical jump."""
    before, after = measure_ground(laid(walled(at(0, 1.0), at(8, 1.0), at(8, 2.0), at(20))))
    assert (before.at(8.0).at(0.0), after.at(8.0).at(0.0)) == (1.0, 2.0)


def test_measure_ground_is_linear_between_pairs_and_stations() -> None:
    """Sections with other offsets: each is linear by itself, and between them by station."""
    bent = ((-10.0, 0.0), (0.0, 4.0), (20.0, 4.0))
    (piece,) = measure_ground(laid(walled(at(0, pairs=PAIRS), at(20, pairs=bent))))
    # halfway: (0.5 + 2) / 2 at -5, (1 + 4) / 2 at 0, (1.5 + 4) / 2 at 5
    ground = piece.at(10.0)
    assert [ground.at(x) for x in (-5.0, 0.0, 5.0)] == pytest.approx([1.25, 2.5, 2.75])


def test_measure_ground_lies_between_the_sections_at_its_ends() -> None:
    """Three sections at 0, 8 and 20 m: each piece goes by the two at its ends, over the offsets
    that both have, each once, and linear between their stations."""
    second = ((-10.0, 1.0), (0.0, 2.0), (10.0, 3.0))
    narrow = ((-6.0, 5.0), (0.0, 4.0), (4.0, 6.0))
    first, last = measure_ground(
        laid(walled(at(0, pairs=PAIRS), at(8, pairs=second), at(20, pairs=narrow)))
    )
    assert isinstance(first, ExistingSections)
    assert isinstance(last, ExistingSections)
    assert (first.offsets_m, last.offsets_m) == ((-10, 0, 10), (-6, 0, 4))
    # a quarter of the way from 8 m: (3 x 2 + 4) / 4 at 0, (3 x 2.4 + 6) / 4 at 4
    ground = last.at(11.0)
    assert [ground.at(x) for x in (0.0, 4.0)] == pytest.approx([2.5, 3.3])
    assert (first.surveyed, last.surveyed) == (True, True)


def test_measure_ground_asks_for_the_grade_in_the_first_entry() -> None:
    """existing_grade stands in the first entry or in none."""
    found = faults(walled(at(0), at(20, 1.0)))
    assert found == [("existing-grade-first", ("profile", 1, "existing_grade"))]


def test_measure_ground_asks_for_sections_everywhere() -> None:
    """existing_section stands in every entry of a wall or in none."""
    found = faults(walled(at(0, pairs=PAIRS), at(10), at(20, pairs=PAIRS)))
    assert found == [("existing-section-missing", ("profile", 1, "existing_section"))]


def test_measure_ground_refuses_grade_and_sections_together() -> None:
    """One wall has a plane or sections."""
    found = faults(walled(at(0, pairs=PAIRS), at(20, 1.0, PAIRS)))
    assert found == [("existing-ground-twice", ("profile", 1, "existing_grade"))]


@pytest.mark.parametrize("pairs", [((0.0, 1.0), (0.0, 2.0)), ((3.0, 1.0), (2.0, 1.0))])
def test_measure_ground_refuses_pairs_out_of_order(pairs: tuple[tuple[float, float], ...]) -> None:
    """Offsets grow from pair to pair."""
    found = faults(walled(at(0, pairs=pairs), at(20, pairs=PAIRS)))
    assert found == [("existing-section-order", ("profile", 0, "existing_section", 1, "offset"))]


def test_measure_ground_refuses_one_pair() -> None:
    """A section is at least two pairs."""
    found = faults(walled(at(0, pairs=((0.0, 1.0),)), at(20, pairs=PAIRS)))
    assert found == [("existing-section-order", ("profile", 0, "existing_section"))]


def test_measure_ground_refuses_sections_that_lie_apart() -> None:
    """Neighboring sections need offsets in common."""
    apart = ((20.0, 0.0), (30.0, 0.0))
    found = faults(walled(at(0, pairs=PAIRS), at(20, pairs=apart)))
    assert found == [("existing-section-short", ("profile", 1, "existing_section"))]


@pytest.mark.parametrize(
    "pairs", [((-7, 0), (-2, 0), (3, 2)), ((-0.2, 0), (10, 4)), ((-1, 1), (20, 1))]
)
def test_excavate_refuses_ground_beyond_the_last_pair(
    pairs: tuple[tuple[float, float], ...],
) -> None:
    """The top of the cut, the trench's front edge and the grading in front need measured ground."""
    spec = ground_wall((0, 4, 0, 0), (40, 4, 0, 0), section_pairs=pairs, graded_behind_m=0.0)
    with pytest.raises(LayoutFaultsError) as caught:
        dug(spec, dig_section(), UPRIGHT)
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == (
        "existing-section-short",
        ("profile", 0, "existing_section"),
    )


def test_meeting_is_the_first_one_outward() -> None:
    """A level line that a bank crosses twice is met at the first crossing, whichever way."""
    bank = Polyline((-10.0, 0.0, 2.0, 4.0, 10.0), (0.0, 0.0, 2.0, 0.0, 0.0))
    line = Line(0.0, 1.0)
    assert meeting(line, bank, 0.0, 10.0) == pytest.approx(1.0)
    assert meeting(line, bank, 10.0, -10.0) == pytest.approx(3.0)
    assert meeting(line, bank, 0.0, -10.0) is None


def test_meeting_counts_a_touch() -> None:
    """Lines that touch without crossing have met."""
    bank = Polyline((-10.0, 2.0, 10.0), (0.0, 1.0, 0.0))
    assert meeting(Line(0.0, 1.0), bank, -10.0, 10.0) == pytest.approx(2.0)


def test_existing_section_of_a_plane_is_that_plane() -> None:
    """A plane as pairs and as grade and slope gives the same earthwork."""
    stations = ((0, 4, 0, 2), (40, 4, 0, 2))
    plane = ground_wall(*stations, existing_slope=0.25, graded_behind_m=ft(12))
    pairs = ground_wall(
        *stations, section_pairs=((-30, -5.5), (0, 2), (50, 14.5)), graded_behind_m=ft(12)
    )
    one, other = (dug(spec, dig_section(), UPRIGHT) for spec in (plane, pairs))
    assert (one.cut_m3, one.backfill_m3, one.fill_m3) == pytest.approx(
        (other.cut_m3, other.backfill_m3, other.fill_m3), rel=1e-9
    )
