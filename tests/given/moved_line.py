"""A second method for the offset rule: sampled lines, moved point by point, cut by Shapely.

Nothing of the service's plan is used. Each leg is drawn as a fine polyline of points pushed
toward the soil along their own normal, drawn on past both ends (an arc on its own circle); legs
are cut where they really cross.
"""

from __future__ import annotations

import math

from shapely.geometry import LineString, Point, Polygon
from shapely.ops import substring

from service.core.job.spec import Corner, Curve, PlanPart, Straight

STEPS = 20000
Pose = tuple[float, float, float]  # x, y, heading


def _pose_after(pose: Pose, part: PlanPart, along: float) -> Pose:
    """Pose after `along` meters of a part; negative lengths and lengths past its end go on."""
    x, y, heading = pose
    if isinstance(part, Straight):
        return x + along * math.cos(heading), y + along * math.sin(heading), heading
    assert isinstance(part, Curve)
    turn = 1 if part.side == "outside" else -1
    cx = x - turn * part.radius_m * math.sin(heading)
    cy = y + turn * part.radius_m * math.cos(heading)
    new = heading + turn * along / part.radius_m
    reach = turn * part.radius_m
    return cx + reach * math.sin(new), cy - reach * math.cos(new), new


def _moved(pose: Pose, x_m: float) -> tuple[float, float]:
    """The point at `x_m` to the left of travel."""
    return pose[0] - x_m * math.sin(pose[2]), pose[1] + x_m * math.cos(pose[2])


def _legs(plan: tuple[PlanPart, ...]) -> list[list[tuple[Pose, PlanPart]]]:
    """Parts with the pose at their start, leg by leg."""
    pose: Pose = (0.0, 0.0, 0.0)
    found: list[list[tuple[Pose, PlanPart]]] = [[]]
    for part in plan:
        if isinstance(part, Corner):
            turn = 1 if part.side == "outside" else -1
            pose = (pose[0], pose[1], pose[2] + turn * part.angle_rad)
            found.append([])
        else:
            found[-1].append((pose, part))
            pose = _pose_after(pose, part, part.length_m)
    return found


def _leg_line(
    leg: list[tuple[Pose, PlanPart]], x_m: float, before_m: float, past_m: float
) -> LineString:
    points: list[tuple[float, float]] = []
    for index, (pose, part) in enumerate(leg):
        start = -before_m if index == 0 else 0.0
        end = part.length_m + (past_m if index == len(leg) - 1 else 0.0)
        steps = STEPS if isinstance(part, Curve) else 1
        for step in range(steps + 1):
            along = start + (end - start) * step / steps
            points.append(_moved(_pose_after(pose, part, along), x_m))
    return LineString(points)


def moved_legs(plan: tuple[PlanPart, ...], x_m: float) -> list[LineString]:
    """Each leg of the plan moved toward the soil by `x_m`, cut where it crosses its neighbors."""
    reach = 6 * abs(x_m) + 0.01
    legs = _legs(plan)
    last = len(legs) - 1
    lines = [
        _leg_line(leg, x_m, reach if i else 0.0, reach if i < last else 0.0)
        for i, leg in enumerate(legs)
    ]
    for i in range(last):
        joint = Point(legs[i + 1][0][0][:2])
        crossing = lines[i].intersection(lines[i + 1])
        candidates = list(getattr(crossing, "geoms", [crossing]))
        meet = min(candidates, key=joint.distance)
        lines[i] = substring(lines[i], 0, lines[i].project(meet))
        lines[i + 1] = substring(lines[i + 1], lines[i + 1].project(meet), lines[i + 1].length)
    return lines


def moved_length(plan: tuple[PlanPart, ...], x_m: float) -> float:
    """Length of the whole plan line moved toward the soil by `x_m`."""
    return math.fsum(leg.length for leg in moved_legs(plan, x_m))


def strip_area(plan: tuple[PlanPart, ...], x1_m: float, x2_m: float) -> float:
    """Area between the plan line moved by `x1_m` and by `x2_m`, as one polygon."""
    near = [p for leg in moved_legs(plan, x1_m) for p in leg.coords]
    far = [p for leg in moved_legs(plan, x2_m) for p in leg.coords]
    return float(Polygon(near + far[::-1]).area)
