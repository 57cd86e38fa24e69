"""The crew's sheet: setting out, courses, layers, material, order of work, checks. No money."""

from __future__ import annotations

from collections.abc import Iterator

from service.core.layout.layout import WallLayout
from service.documents.tree import (
    Block,
    Bullets,
    Column,
    Document,
    Facts,
    Figure,
    Heading,
    PageBreak,
    Paragraph,
    Row,
    Table,
)
from service.documents.words import Words
from service.operations.paper.checklist import checklist
from service.operations.paper.document_head import document_of, site_line
from service.operations.paper.heeded import caution_sentences
from service.operations.paper.setting_out_tables import detail_of, level_text, set_out_blocks
from service.operations.paper.subject import Sender, Subject
from service.operations.paper.supplier_order import days_needed
from service.operations.paper.written import about, exact, length
from service.operations.quoting.answer_walls import RunAnswer, WallAnswer


def crew_sheet(
    subject: Subject, sender: Sender, figures: dict[str, tuple[Figure, ...]]
) -> Document:
    """The sheet that a crew builds from; `figures` are the drawings of each wall by its name, and
    those of the whole job under an empty one."""
    words = sender.words
    blocks: list[Block] = [*_overview(subject, words), *figures.get("", ())]
    for wall, layout in zip(subject.answer.walls, subject.quote.layouts, strict=True):
        blocks.append(PageBreak())
        blocks.append(Heading(text=words.say("Wall {wall}", wall=wall.name)))
        blocks += set_out_blocks(subject, layout, words)
        blocks += figures.get(wall.name, ())
        blocks += _courses(subject, wall, layout, words)
        blocks += _layers(subject, wall, words)
    blocks.append(PageBreak())
    blocks += _work(subject, words)
    blocks += _material(subject, words)
    blocks.append(Heading(text=words.say("Heed")))
    blocks.append(Bullets(items=tuple(caution_sentences(subject, "crew", words))))
    blocks.append(Heading(text=words.say("Check before you cover it")))
    blocks.append(Bullets(items=tuple(checklist(subject, words)), marks="boxes"))
    return document_of(subject, sender, words.say("Crew sheet"), tuple(blocks))


def _overview(subject: Subject, words: Words) -> Iterator[Block]:
    section, units = subject.quote.job.section, subject.quote.job.units
    system = subject.quote.job.system
    rows = [(words.say("Block"), words.say_data(system.title))]
    if subject.number:
        rows.insert(0, (words.say("Number"), subject.number))
    if site_line(subject):
        rows.append((words.say("Site"), site_line(subject)))
    rows += [
        (words.say("Setback of each course"), detail_of(system.setback_m, units, words)),
        (words.say("Height of a course"), detail_of(system.standard.height_m, units, words)),
        (words.say("Pad"), detail_of(section.leveling_pad.thickness_m, units, words)),
        (
            words.say("Drainage stone behind the units"),
            detail_of(section.drainage.width_m, units, words),
        ),
    ]
    yield Facts(rows=tuple(rows))


def _courses(
    subject: Subject, wall: WallAnswer, layout: WallLayout, words: Words
) -> Iterator[Block]:
    units = subject.quote.job.units
    yield Heading(text=words.say("Courses"), level=3)
    titles = (
        words.say("Course"),
        words.say("Underside"),
        words.say("Behind the plan line"),
        words.say("From station"),
        words.say("To station"),
        words.say("Face"),
        words.say("Units"),
        words.say("Corner units"),
    )
    rows = []
    for course, laid in zip(wall.courses, layout.courses, strict=True):
        level, offset = (
            level_text(subject, laid.elevation_m, words),
            detail_of(laid.offset_m, units, words),
        )
        rows += [
            Row(cells=(str(course.number), level, offset, *_run_cells(run, words)))
            for run in course.runs
        ]
    caps = sum(cap.units for cap in wall.caps)
    rows.append(Row(cells=(words.say("Caps"), *("",) * 5, str(caps), ""), kind="sum"))
    yield Table(
        caption=words.say("Counts by course, without waste"),
        columns=tuple(Column(title=title, align="end") for title in titles),
        rows=tuple(rows),
    )


def _run_cells(run: RunAnswer, words: Words) -> tuple[str, ...]:
    lengths = (run.from_station, run.to_station, run.face_length)
    counts = str(run.standard_units), str(run.corner_units)
    return (*(length(measure, words) for measure in lengths), *counts)


def _layers(subject: Subject, wall: WallAnswer, words: Words) -> Iterator[Block]:
    if not subject.quote.reinforced:
        return
    found = [entry for entry in subject.answer.screening.walls if entry.wall == wall.name]
    layers = found[0].layers if found and isinstance(found[0].layers, tuple) else ()
    if not layers:
        return
    yield Heading(text=words.say("Layers of reinforcement"), level=3)
    yield Paragraph(
        text=words.say("A preliminary layout: build by the engineer's plan, not by this table."),
        tone="caution",
    )
    yield Table(
        caption=words.say("Layers, on top of which course"),
        columns=tuple(
            Column(title=title, align="end")
            for title in (
                words.say("On course"),
                words.say("From station"),
                words.say("To station"),
                words.say("Into the soil from the face"),
            )
        ),
        rows=tuple(
            Row(
                cells=(
                    str(layer.course),
                    length(layer.from_station, words),
                    length(layer.to_station, words),
                    length(layer.length, words),
                )
            )
            for layer in layers
        ),
    )


def _work(subject: Subject, words: Words) -> Iterator[Block]:
    order = subject.answer.order_of_work
    if not order:
        return
    crews = {crew.crew: crew.title for crew in order.crews}
    machines = {
        machine.machine: machine.title
        for machine in (subject.answer.labor.equipment if subject.answer.labor else ())
    }
    yield Heading(text=words.say("Order of work"))
    yield Table(
        caption=words.say("Phases by working day"),
        columns=(
            Column(title=words.say("Days"), align="end", share=0.6),
            Column(title=words.say("Phase"), share=1.6),
            Column(title=words.say("Crews"), share=1.4),
            Column(title=words.say("Machines"), share=1.8),
        ),
        rows=tuple(
            Row(
                cells=(
                    _days(phase.start_day, phase.finish_day),
                    words.say_data(phase.title),
                    ", ".join(words.say_data(crews[crew.crew]) for crew in phase.crews),
                    ", ".join(words.say_data(machines[use.machine]) for use in phase.machines),
                )
            )
            for phase in order.phases
        ),
    )


def _material(subject: Subject, words: Words) -> Iterator[Block]:
    rows = tuple(_material_rows(subject, words))
    if rows:
        yield Heading(text=words.say("Material on site"))
        yield Table(
            caption=words.say("Material by the day on which it is needed"),
            columns=(
                Column(title=words.say("By day"), align="end", share=0.6),
                Column(title=words.say("What"), share=3.0),
                Column(title=words.say("In place"), align="end"),
                Column(title=words.say("Ordered"), align="end"),
            ),
            rows=rows,
        )


def _material_rows(subject: Subject, words: Words) -> Iterator[Row]:
    """What is built in, first what is needed first."""
    days = days_needed(subject)
    bought = [line for line in subject.answer.quantities if subject.is_material(line.item)]
    for line in sorted(bought, key=lambda line: days.get(line.item, 0)):
        title, day = words.say_data(line.description), str(days.get(line.item, ""))
        yield Row(cells=(day, title, about(line.net, words), exact(line.order, words)))


def _days(first: int, last: int) -> str:
    return str(first) if first == last else f"{first}–{last}"
