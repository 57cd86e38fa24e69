"""What is built, in plain words made from what was laid out and counted."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet, number
from service.documents.words import Words, msgid
from service.operations.answer_figures import Measure
from service.operations.paper.subject import PricedSubject
from service.operations.paper.written import about, exact, length
from service.operations.quoting.answer_walls import WallAnswer
from service.operations.quoting.measures import measure_of


def scope_sentences(subject: PricedSubject, words: Words) -> Iterator[str]:
    """One sentence for each thing that is built or done."""
    for wall, layout in zip(subject.answer.walls, subject.quote.layouts, strict=True):
        yield _wall(wall, layout, words)
        yield from _steps_and_curves(layout, words)
    yield from _section(subject, words)
    yield from _layers(subject, words)
    if not subject.answer.materials_only:
        yield from _earth(subject, words)
        yield from _site_work(subject, words)


def _wall(wall: WallAnswer, layout: WallLayout, words: Words) -> str:
    return words.say(
        "{wall}: a dry-stacked wall ({system}), {length} long, showing up to {shown} over the "
        "ground in front and {height} high with what is buried; {courses} courses{caps}.",
        wall=wall.name,
        system=words.say_data(layout.system.title),
        length=length(wall.length, words),
        shown=length(wall.max_exposed_height, words),
        height=length(wall.max_wall_height, words),
        courses=layout.most_courses,
        caps=words.say(", with caps") if layout.system.cap else "",
    )


def _steps_and_curves(layout: WallLayout, words: Words) -> Iterator[str]:
    curves = sum(1 for piece in layout.plan.pieces if hasattr(piece.part, "radius_m"))
    corners = len(layout.plan.corners)
    if curves:
        yield words.say_count(
            "{wall}: with {count} curve.", "{wall}: with {count} curves.", curves, wall=layout.name
        )
    if corners:
        yield words.say_count(
            "{wall}: with {count} corner.",
            "{wall}: with {count} corners.",
            corners,
            wall=layout.name,
        )


def _section(subject: PricedSubject, words: Words) -> Iterator[str]:
    """The pad, the stone behind, the pipe and the fabric of the typical section."""
    job, section = subject.quote.job, subject.quote.job.section

    def called(item: str) -> str:
        return words.say_data(job.materials[item].title)

    def wide(meters: float) -> str:
        return _short(meters, job.units, words)

    pad = section.leveling_pad
    yield words.say(
        "Under the base course a compacted pad, {thickness} thick: {item}.",
        thickness=wide(pad.thickness_m),
        item=called(pad.item),
    )
    yield words.say(
        "Behind the units drainage stone, {width} wide: {item}.",
        width=wide(section.drainage.width_m),
        item=called(section.drainage.item),
    )
    if section.pipe:
        item = called(section.pipe.item)
        yield words.say("A drain along the foot of the wall, with outlets: {item}.", item=item)
    if section.filter_fabric:
        item = called(section.filter_fabric.item)
        yield words.say("Filter fabric between stone and soil: {item}.", item=item)


def _layers(subject: PricedSubject, words: Words) -> Iterator[str]:
    reinforcement = subject.answer.screening.reinforcement
    if subject.quote.reinforced and reinforcement:
        yield words.say(
            "Layers of reinforcement in the soil, as in a preliminary layout: {item}.",
            item=words.say_data(str(reinforcement.description or reinforcement.item)),
        )


def _earth(subject: PricedSubject, words: Words) -> Iterator[str]:
    earth = subject.answer.earthwork
    if not earth:
        return
    for text, volume in (
        (msgid("Digging: about {volume} of soil as it lies."), earth.cut),
        (msgid("Filling behind and around the wall: about {volume}."), earth.backfill),
        (msgid("Soil hauled off: about {volume}."), earth.haul_off),
        (msgid("Fill brought in: about {volume}."), earth.import_),
    ):
        if Decimal(volume.value) > 0:
            yield words.say(text, volume=about(Measure(volume.value, volume.unit), words))


def _site_work(subject: PricedSubject, words: Words) -> Iterator[str]:
    for entry in subject.quote.job.site_work:
        amount = Measure(number(entry.amount), entry.task.unit.symbol)
        title = words.say_data(entry.task.title)
        yield words.say("{what}: {amount}.", what=title, amount=exact(amount, words))


def _short(meters: float, units: UnitSet, words: Words) -> str:
    return length(measure_of(meters, "length", units), words)
