"""How much layout one request may ask for: plan parts x courses, and 5 for each step."""

import pytest

from service.core.built import lay_out_walls
from service.core.errors import LayoutFaultsError
from service.core.job.spec import WallSpec
from tests.given.jobs import job_of
from tests.given.walls import entry, ft, inch, level_wall, straight, wall


def of_size(parts: int, exposed_in: float) -> WallSpec:
    """A level wall without a step; n courses of 8 in carry 8n + 4 - 6 in."""
    return level_wall(tuple(straight(ft(3)) for _ in range(parts)), inch(exposed_in))


THOUSAND = of_size(199, 38)  # 199 parts x 5 courses + 5
THOUSAND_AND_ONE = of_size(166, 46)  # 166 parts x 6 courses + 5


def test_lay_out_walls_takes_a_size_of_20_000_in_all() -> None:
    """Twenty walls of a size of 1,000 each are laid out; where one of them has 1,001 they are
    refused, and the message gives the figure."""
    assert sum(found.size for found in lay_out_walls(job_of(*[THOUSAND] * 20))) == 20_000
    with pytest.raises(LayoutFaultsError) as caught:
        lay_out_walls(job_of(*[THOUSAND] * 19, THOUSAND_AND_ONE))
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("layout-too-large", ("walls",))
    assert "more than 20000 in all" in fault.message


def test_lay_out_walls_tells_the_faults_of_all_walls() -> None:
    """The first and the third wall begin a foot off their plan; both are told, each with its
    place."""
    off = wall((straight(ft(40)),), (entry(ft(1), ft(4)), entry("end", ft(4))))
    with pytest.raises(LayoutFaultsError) as caught:
        lay_out_walls(job_of(off, level_wall(), off))
    at = [fault.at for fault in caught.value.faults]
    assert at == [("walls", place, "profile", 0, "station") for place in (0, 2)]
