"""What a screening comes to, in plain words for whoever signs. Never a promise that it stands."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from service.core.job.basis import Basis
from service.core.screening.check import Check
from service.core.screening.check_table import CHECK_TABLE
from service.core.screening.screening import Screening
from service.core.screening.wall_screening import WallScreening

PERMIT = "permit"
_FIRST_LOOK = (
    "This is a first look with published methods on the figures given. It is no design: local "
    "code and a licensed engineer decide what is built."
)


def summary_of(
    screening: Screening,
    held: Sequence[str],
    *,
    reinforced: bool,
    reasons: Sequence[str] = (),
    for_engineer: Collection[str] = (),
    passing: Sequence[str] = (),
) -> tuple[str, ...]:
    """One sentence per finding: by wall, then what the place asks for, then what this is; `held`
    are the codes of the cautions that hold, `reasons` why the place asks for an engineer.

    `for_engineer` names walls that an engineer must design where they fail, whatever would pass;
    `passing` are changes that pass, in words."""
    return (
        *_of_walls(screening, reinforced, for_engineer, passing),
        *_of_place(held, reasons),
        _FIRST_LOOK,
    )


def _of_walls(
    screening: Screening, reinforced: bool, for_engineer: Collection[str], passing: Sequence[str]
) -> Iterator[str]:
    checks = screening.checks(reinforced=reinforced)
    for wall in screening.walls:
        own = [check for check in checks if check.wall == wall.wall]
        layered = reinforced and wall.reinforcement is not None
        if _unstable(own):
            offered = () if wall.wall in for_engineer else passing
            yield f"{wall.wall}: {_of_failing(offered, layered=layered)}"
        else:
            yield f"{wall.wall}: {_of_stability(own, screening.basis, layered=layered)}"
        if any(check.failed and check.check == "water_pressure" for check in own):
            yield f"{wall.wall}: water has no way out behind it, and no check here counts its push."
        if wall.reinforcement and not layered:
            yield f"{wall.wall}: {_of_layers(wall)}"
        if any(check.failed and check.check == "tier_independence" for check in own):
            yield (
                f"{wall.wall}: the wall above it stands so near that the two act together. A "
                "licensed engineer must design both as one."
            )


def _unstable(checks: Sequence[Check]) -> bool:
    return any(check.failed for check in checks if CHECK_TABLE[check.check].of_a_wall)


def _of_failing(passing: Sequence[str], *, layered: bool) -> str:
    """A wall that fails, and what would pass; without that it is for an engineer."""
    built = "with the layers shown" if layered else "as a plain wall of these units"
    if not passing:
        return f"does not pass {built}. A licensed engineer must design it."
    return f"does not pass {built} as it is; these changes pass: {'; or '.join(passing)}."


def _of_stability(checks: Sequence[Check], basis: Basis, *, layered: bool) -> str:
    """What the checks of a wall as it is quoted come to."""
    stability = [check for check in checks if CHECK_TABLE[check.check].of_a_wall]
    if all(check.status == "not_checked" for check in stability):
        return "could not be checked: the soil behind it or the weight of its units is not known."
    if layered:
        return (
            "planned with layers of reinforcement in the soil behind it. Their layout is "
            "preliminary; a licensed engineer must design it before work begins."
        )
    return f"passes this first look as a plain wall of these units.{_but(stability, basis)}"


def _but(checks: Sequence[Check], basis: Basis) -> str:
    """What a wall that passes rests on, and which of the basis' checks could not be made."""
    told = ""
    if any(check.status == "pass_as_assumed" for check in checks):
        told += " It rests on assumptions, which are listed."
    open_still = [
        CHECK_TABLE[check.check].words
        for check in checks
        if check.status == "not_checked" and basis.required(check.check, reinforced=False)
    ]
    if open_still:
        told += f" Not checked: {', '.join(open_still)}."
    return told


def _of_layers(wall: WallScreening) -> str:
    """What layers that are shown and not quoted would do."""
    if any(check.failed for check in wall.reinforced_checks):
        return "the layers of reinforcement shown would not be enough either."
    return "with the layers of reinforcement shown it would pass this first look."


def _of_place(held: Sequence[str], reasons: Sequence[str]) -> Iterator[str]:
    if reasons:
        *most, last = reasons
        why = f"{', '.join(most)} and {last}" if most else last
        yield f"The plan must be reviewed by a licensed engineer, because of {why}."
    if any(code.startswith(PERMIT) for code in held):
        yield "A building permit is asked for, or likely to be: the building department decides."
