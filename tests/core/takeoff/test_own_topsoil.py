"""What the job's own topsoil serves of the uses of site work."""

from __future__ import annotations

from decimal import Decimal

from service.core.measure import METRIC, Dimension
from service.core.takeoff.site_uses import SiteUse, less_own_topsoil


def use(item: str, dimension: Dimension, amount: float) -> SiteUse:
    """What an entry takes."""
    return SiteUse(
        place=0,
        item=item,
        title=item,
        dimension=dimension,
        amount=amount,
        waste=Decimal(0),
        how=item,
    )


def test_own_topsoil_serves_topsoil_by_volume_alone() -> None:
    """5 m3 stripped serve no mulch and no topsoil by weight; of two uses of topsoil they serve
    the first whole (2 m3) and 3 m3 of the second (4 m3)."""
    uses = [
        use("mulch", "volume", 3.0),
        use("topsoil", "mass", 900.0),
        use("topsoil", "volume", 2.0),
        use("topsoil", "volume", 4.0),
    ]
    left = list(less_own_topsoil(uses, 5.0, METRIC))
    assert [(each.item, each.dimension, each.amount) for each in left] == [
        ("mulch", "volume", 3.0),
        ("topsoil", "mass", 900.0),
        ("topsoil", "volume", 1.0),
    ]
    assert left[-1].how == "topsoil, less 3 m3 stripped on the job"


def test_own_topsoil_leaves_no_crumbs() -> None:
    """What is short by less than a ten-millionth of a use is float noise, however large the use:
    0.0000002 of 4 m3 is, of 1 m3 it is bought."""
    for amount, bought in ((4.0, 0), (1.0, 1)):
        left = less_own_topsoil([use("topsoil", "volume", amount)], amount - 2e-7, METRIC)
        assert len(list(left)) == bought
