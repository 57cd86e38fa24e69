"""What a crew ticks off before it covers a part: the section's measures, the rule book's limits."""

from __future__ import annotations

from collections.abc import Iterator

from service.core.cautions.stated import stated
from service.documents.words import Words
from service.operations.paper.subject import Subject
from service.operations.paper.written import detail, length
from service.operations.quoting.measures import measure_of
from service.operations.quoting.sentences import for_reading


def checklist(subject: Subject, words: Words) -> Iterator[str]:
    """Sentences in the order of the work, each with its figure."""
    job, section = subject.quote.job, subject.quote.job.section

    def long(meters: float) -> str:
        return length(measure_of(meters, "length", job.units), words)

    def short(meters: float) -> str:
        return detail(measure_of(meters, "length", job.units), words)

    yield words.say("Utilities located and marked; marks still to be seen.")
    yield words.say("Trench bottom firm and dry; soft spots dug out.")
    yield words.say(
        "Pad {thickness} thick, compacted, level along and across.",
        thickness=short(section.leveling_pad.thickness_m),
    )
    yield words.say("Base course level, on the line, every joint tight.")
    yield words.say(
        "Each course set back {setback}; cores and joints filled.",
        setback=short(job.system.setback_m),
    )
    yield words.say(
        "Drainage stone {width} wide behind the units.", width=short(section.drainage.width_m)
    )
    if section.pipe:
        yield words.say(
            "Drain pipe with its fall, an outlet every {spacing} at most, mouths screened.",
            spacing=long(section.pipe.outlet_spacing_m),
        )
    if section.filter_fabric:
        yield words.say("Fabric lapped {lap}.", lap=short(section.filter_fabric.lap_m))
    for tolerance in job.basis.tolerances:
        yield for_reading(stated(words.say_data(tolerance.text), job.units))
    if job.system.cap:
        yield words.say("Caps clean, glued, in line.")
