"""From what is to be built to the answer of the field. No cost comes in here."""

from __future__ import annotations

import msgspec
from msgspec import UNSET, UnsetType

from service.core import ENGINE_VERSION
from service.core.built import Built
from service.core.cautions.caution import Caution
from service.core.labor.hours import Labor
from service.core.measure import UnitSet
from service.core.would_pass.alternative import Alternative, WouldPass
from service.operations.field.answer import (
    FieldAlternativeAnswer,
    FieldAssumptionAnswer,
    FieldLaborAnswer,
    FieldQuoteAnswer,
    FieldReinforcementAnswer,
    FieldScreeningAnswer,
)
from service.operations.field.of_money import is_about_prices
from service.operations.quoting.caution_answer import caution_answer
from service.operations.quoting.changes_request import patch_of
from service.operations.quoting.earth_answer import earth_answer
from service.operations.quoting.labor_answer import (
    crew_answer,
    machine_answer,
    replaced_answer,
    task_answer,
)
from service.operations.quoting.measures import plain
from service.operations.quoting.order_answer import order_answer
from service.operations.quoting.quote_answer import (
    delivered_answer,
    digest_of,
    engineering_answer,
    quantity_answer,
    title_of,
    wall_answer,
)
from service.operations.quoting.quote_request import QuoteRequest
from service.operations.quoting.screening_answer import (
    checked,
    checks_answer,
    screening_summary,
    wall_screening,
)
from service.operations.quoting.would_pass_answer import changes_in_words, why_none


def field_answer(
    built: Built,
    request: QuoteRequest,
    catalog_version: str,
    assumptions: tuple[FieldAssumptionAnswer, ...],
    found: WouldPass | None = None,
) -> FieldQuoteAnswer:
    """The answer to a request; `found` is what would pass where a check fails."""
    units = built.job.units
    answer = FieldQuoteAnswer(
        digest="",
        engine_version=ENGINE_VERSION,
        catalog_version=catalog_version,
        units=units.name,
        levels_are=request.levels_are,
        materials_only=request.materials_only,
        title=title_of(request),
        reference=request.reference or UNSET,
        issued_on=request.issued_on.isoformat() if request.issued_on else UNSET,
        walls=tuple(wall_answer(x, units, rod=request.are_rods()) for x in built.layouts),
        quantities=tuple(quantity_answer(line, units) for line in built.quantities.lines),
        delivered=delivered_answer(built.quantities, units),
        earthwork=earth_answer(built.earthwork, units) if built.earthwork else UNSET,
        labor=_labor(built.labor, units) if built.labor else UNSET,
        order_of_work=order_answer(built.phases, units) if built.phases else UNSET,
        engineering=engineering_answer(built.job.engineering),
        checks=checks_answer(built),
        screening=_screening(built, found, request),
        cautions=tuple(map(caution_answer, heeded(built))),
        always=tuple(map(caution_answer, built.cautions.always)),
        assumptions=assumptions,
    )
    return msgspec.structs.replace(answer, digest=digest_of(answer))


def heeded(built: Built) -> tuple[Caution, ...]:
    """The cautions, without those about prices."""
    place = built.job.jurisdiction
    return tuple(c for c in built.cautions.given if not is_about_prices(c.code, place))


def _labor(labor: Labor, units: UnitSet) -> FieldLaborAnswer:
    return FieldLaborAnswer(
        tasks=tuple(task_answer(task, units) for task in labor.tasks),
        crews=tuple(map(crew_answer, labor.crews)),
        labor_hours=plain(labor.labor_hours),
        labor_hours_low=plain(labor.labor_hours_low),
        labor_hours_high=plain(labor.labor_hours_high),
        crew_days=plain(labor.crew_days),
        equipment=tuple(map(machine_answer, labor.equipment)),
        replaced=tuple(map(replaced_answer, labor.replaced)),
    )


def _screening(
    built: Built, found: WouldPass | None, request: QuoteRequest
) -> FieldScreeningAnswer:
    basis, sets = built.screening.basis, found.sets if found else ()
    return FieldScreeningAnswer(
        basis=basis.id,
        title=basis.title,
        source=basis.source,
        walls=tuple(wall_screening(wall, built) for wall in built.screening.walls),
        summary=screening_summary(built, sets),
        reinforcement=_reinforcement(built),
        would_pass=_alternatives(sets, built, request) if found else UNSET,
        other_walls=_alternatives(found.other_walls, built, request) if found else UNSET,
        why_none=why_none(found, built) if found else UNSET,
    )


def _alternatives(
    found: tuple[Alternative, ...], built: Built, request: QuoteRequest
) -> tuple[FieldAlternativeAnswer, ...]:
    return tuple(
        FieldAlternativeAnswer(
            changes=each.changes,
            text=changes_in_words(each, built),
            patch=patch_of(request, built.job, each.job),
        )
        for each in found
    )


def _reinforcement(built: Built) -> FieldReinforcementAnswer | UnsetType:
    layers = built.screening.reinforcement
    if not layers:
        return UNSET
    material = built.job.materials.get(layers[0].item)
    return FieldReinforcementAnswer(
        item=layers[0].item,
        description=material.title if material else UNSET,
        quoted=built.reinforced,
        checks=UNSET
        if built.reinforced
        else checked(built.screening.checks(reinforced=True), built),
    )
