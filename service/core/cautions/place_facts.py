"""Facts of the ground and the season, held against what a place says of them."""

from __future__ import annotations

from service.core.cautions.shoring_facts import CutRules, shoring_fact, sloped_words
from service.core.ground.earthwork import WallEarthwork
from service.core.ground.soil_class import excavation_class
from service.core.job.fact import Fact, Facts
from service.core.job.job import Job
from service.core.job.jurisdiction import Jurisdiction, Trigger
from service.core.job.presumptive import Presumptive, bearing_words, lateral_words
from service.core.job.rates import Rates
from service.core.job.section import Section
from service.core.job.site import Site
from service.core.job.soil import Soil
from service.core.job.spec import WallSpec
from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet, number

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def soil_facts(retained: Soil | None, fill: Soil | None, presumptive: Presumptive | None) -> Facts:
    """Facts of the job about its soils: not stated, class A, unfit as fill."""
    facts: dict[Trigger, Fact] = {"soil_not_stated": Fact(value=float(retained is None))}
    if retained is None:
        return facts
    placed = fill or retained
    class_a = retained.excavation_class == "A"
    facts["class_a_soil"] = Fact(value=float(class_a), words=f"Retained soil: {retained.title}.")
    if presumptive is not None:
        unfit = placed.group is not None and placed.group in presumptive.unsuitable
        words = f"Fill: {placed.title}, group {placed.group}."
        facts["soil_unsuitable"] = Fact(value=float(unfit), words=words)
    return facts


def presumed_words(soil: Soil | None, presumptive: Presumptive | None, units: UnitSet) -> str:
    """What a code presumes of untested soil of this group; nothing where it presumes nothing."""
    if soil is None or presumptive is None:
        return ""
    lateral, bearing = presumptive.lateral_of(soil.group), presumptive.bearing_of(soil.group)
    said = [
        *([lateral_words(lateral, units)] if lateral else []),
        *([bearing_words(bearing, units)] if bearing else []),
    ]
    return f"{soil.title}, group {soil.group}: {'; '.join(said)}." if said else ""


def cut_facts(
    dug: Facts,
    soil: Soil | None,
    site: Site | None,
    place: Jurisdiction,
    spec: WallSpec,
    earth: WallEarthwork | None,
    units: UnitSet,
) -> Facts:
    """Facts of one wall: how deep it is cut, with the slope that its soil class allows, and
    whether the quoted slope is the protection."""
    depth = dug.get("trench_depth")
    if depth is None:
        return {}
    own = soil.excavation_class if soil else "C"
    found = excavation_class(soil, site, place.earth.disturbed_class) if soil else own
    rules = CutRules(soil_class=found, earth=place.earth)
    shoring = shoring_fact(depth, earth, spec, site, rules, units)
    if soil is None:
        return shoring
    was = "" if found == own else f", not {own}, because the ground is fill"
    words = f"{depth.words} Soil class {found}{was}: no steeper than {number(rules.slope, 6)}:1."
    words = words.lstrip()
    words += sloped_words(earth, shoring, depth, rules)
    return {**shoring, "classed_cut_depth": Fact(value=depth.value, words=words)}


def course_fact(layout: WallLayout, rates: Rates | None, *, measured: bool) -> Facts:
    """Most courses one above the other, where no hours count the strip behind them that is filled
    and compacted by hand course by course."""
    if measured and rates is not None and rates.hand_strip is not None:
        return {}
    most = max(stretch.top_joint - stretch.base for stretch in layout.stretches)
    return {"course_count": Fact(value=float(most), words=f"Up to {most} courses.")}


def season_facts(month: int | None, place: Jurisdiction) -> Facts:
    """Facts of the month in which the quote is dated, 1 to 12."""
    if month is None:
        return {}
    words = f"The quote is dated in {MONTHS[month - 1]}."
    return {
        "frost_month": Fact(value=float(month in place.frost_months), words=words),
        "wet_month": Fact(value=float(month in place.wet_months), words=words),
    }


def pad_fact(job: Job) -> Facts:
    """Clear stone of the pad on clay, and nothing between the two."""
    pad, under = job.section.leveling_pad, job.soils.foundation or job.soils.retained
    stone = job.materials.get(pad.item)
    bare = bool(stone and stone.open_graded and under and under.kind == "clay" and not pad.fabric)
    words = f"Under the pad: {under.title.lower()}." if under else ""
    return {"pad_without_fabric": Fact(value=float(bare), words=words)}


def septic_fact(site: Site | None) -> Facts:
    """A septic system that was spoken of, at no stated distance."""
    said = site is not None and "septic" in site.private_lines
    return {"septic_near": Fact(value=0.0, words="How far it is was not said.")} if said else {}


def book_fact(section: Section, basis: str) -> Facts:
    """The section buries the wall by one rule book while its checks go by another."""
    book = section.embedment.basis
    words = f"Embedment goes by {book}, the checks by {basis}."
    return {"two_rule_books": Fact(value=float(book is not None and book != basis), words=words)}
