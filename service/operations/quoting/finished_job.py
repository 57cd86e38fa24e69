"""Finished jobs: what was asked for, and what it really took; and factors that fit them all."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from pydantic import Discriminator, Field, Tag

from service.catalog import Catalog
from service.core import quote as core
from service.core.errors import Fault, Path, QuoteFaultsError
from service.core.job.job import Job
from service.core.job.own_hours import OwnHours, rows_of, with_own_hours
from service.core.job.price_list import PriceList
from service.core.job.rates import Rates
from service.core.labor.fitted import JobHours, TaskFactor, fit_factors, own_hours, refined
from service.core.labor.hours import Labor
from service.core.money import total_of
from service.core.near_words import NearWords
from service.fields import Id, NonNegativeDecimalText, PositiveDecimalText, StrictModel, by_shape
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import QuoteRequest, read_named

# How often the fit is tried; the best one counts.
ROUNDS = 5
MOST_LOADS, MOST_UNITS = 100_000, 10_000_000
TaskHours = Annotated[dict[Id, NonNegativeDecimalText], Field(min_length=1, max_length=1000)]


class ActualRequest(StrictModel):
    """What a job took. Hours are those of people: those of who ran a machine among them."""

    hours: Annotated[
        Annotated[PositiveDecimalText, Tag("text")] | Annotated[TaskHours, Tag("object")],
        Discriminator(by_shape),
    ] = Field(description="In total, or by task.")
    machine_days: dict[Id, NonNegativeDecimalText] = Field(default_factory=dict, max_length=50)
    loads: int | None = Field(None, ge=0, le=MOST_LOADS, description="Of soil, off and in.")
    units: int | None = Field(None, ge=0, le=MOST_UNITS, description="Set, caps included.")


class FinishedJobRequest(StrictModel):
    """A quote request, and what the job took."""

    quote: QuoteRequest
    actual: ActualRequest


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishedJob:
    """A job as it was quoted, with rates, and what it took."""

    job: Job
    rates: Rates
    prices: PriceList
    quote: core.Quote
    labor: Labor
    actual: ActualRequest

    @property
    def hours(self) -> Decimal:
        """Actual hours that can be compared with a quote: all, or those of the noted tasks."""
        noted = self.actual.hours
        return noted if isinstance(noted, Decimal) else total_of(noted.values())

    def quoted_hours(self, labor: Labor) -> Decimal:
        """Hours of a labor of this job over the same tasks."""
        noted = self.actual.hours
        by_task = hours_by_task(labor)
        if isinstance(noted, Decimal):
            return labor.labor_hours
        return total_of(by_task.get(task, Decimal(0)) for task in noted)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsCheck:
    """What finished jobs say about the rates. `again` are the jobs' hours with `overrides` taken;
    `overrides` is empty where the jobs were quoted by different rates."""

    factors: tuple[TaskFactor, ...]
    again: tuple[Decimal, ...]
    overrides: Mapping[str, OwnHours]


def read_finished_job(
    document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> FinishedJob:
    """A finished job, quoted. Raises QuoteFaultsError with every fault of one pass."""
    request = read_named(FinishedJobRequest, document, catalog, stored)
    try:
        job, prices = to_core(request.quote, catalog, stored)
        quote = core.quote(job, prices)
    except QuoteFaultsError as error:
        faults = [replace(fault, at=("quote", *fault.at)) for fault in error.faults]
        raise QuoteFaultsError(faults) from error
    if job.rates is None or quote.labor is None:
        raise QuoteFaultsError([_no_rates()])
    _refuse_unknown(request.actual, job.rates, quote.labor, catalog)
    return FinishedJob(
        job=job,
        rates=job.rates,
        prices=prices,
        quote=quote,
        labor=quote.labor,
        actual=request.actual,
    )


def check_jobs(jobs: Sequence[FinishedJob]) -> JobsCheck:
    """The factors that fit all jobs, and the jobs' hours once they are taken as own figures."""
    factors = _fit(jobs, [job.labor for job in jobs])
    taken = {task for job in jobs for task in own_hours(job.rates, factors)}
    rounds = []
    for _ in range(ROUNDS):
        labors = [_again(job, factors) for job in jobs]
        rounds.append((_worst(jobs, labors), factors, labors))
        factors = refined(factors, _fit(jobs, labors), taken)
    _, factors, labors = min(rounds, key=lambda each: each[0])
    alike = all(job.rates == jobs[0].rates for job in jobs)
    return JobsCheck(
        factors=factors,
        again=tuple(job.quoted_hours(of) for job, of in zip(jobs, labors, strict=True)),
        overrides=own_hours(jobs[0].rates, factors) if alike else {},
    )


def _fit(jobs: Sequence[FinishedJob], labors: Sequence[Labor]) -> tuple[TaskFactor, ...]:
    return fit_factors(
        [
            JobHours(quoted=hours_by_task(labor), actual=job.actual.hours)
            for job, labor in zip(jobs, labors, strict=True)
        ]
    )


def _worst(jobs: Sequence[FinishedJob], labors: Sequence[Labor]) -> Fraction:
    """The largest part by which the hours of a job are off."""
    pairs = ((job, job.quoted_hours(labor)) for job, labor in zip(jobs, labors, strict=True))
    return max(off(quoted, job.hours) for job, quoted in pairs)


def off(quoted: Decimal, actual: Decimal) -> Fraction:
    """How far quoted hours are off the actual ones, as a part of these; 1 where there are none."""
    return abs(Fraction(quoted) / Fraction(actual) - 1) if actual else Fraction(1)


def hours_by_task(labor: Labor) -> Mapping[str, Decimal]:
    """Person-hours by task; those of who runs a machine count to its task."""
    hours: dict[str, Decimal] = {}
    for task in labor.tasks:
        hours[task.task] = total_of((hours.get(task.task, Decimal(0)), task.hours))
    return hours


def _again(job: FinishedJob, factors: Sequence[TaskFactor]) -> Labor:
    """The labor of a job that is quoted with the factors as own figures."""
    rates = with_own_hours(job.rates, own_hours(job.rates, factors))
    return core.quote(replace(job.job, rates=rates), job.prices).labor or job.labor


def _refuse_unknown(actual: ActualRequest, rates: Rates, labor: Labor, catalog: Catalog) -> None:
    """Noted tasks and machines are those of the rates, or site work."""
    noted = actual.hours if isinstance(actual.hours, Mapping) else ()
    tasks = (*rows_of(rates), *hours_by_task(labor), *catalog.site_work)
    faults = [
        *_unknown("task", ("actual", "hours"), noted, tasks),
        *_unknown("machine", ("actual", "machine_days"), actual.machine_days, rates.machines),
    ]
    if faults:
        raise QuoteFaultsError(faults)


def _unknown(what: str, at: Path, noted: Iterable[str], known: Collection[str]) -> Iterator[Fault]:
    near, words = NearWords(likeness=0.0), tuple(known)
    for name in noted:
        if name not in known:
            message = f'the rates have no {what} "{name}"'
            hint = near.nearest(name, words)
            yield Fault(code=f"{what}-unknown", at=(*at, name), message=message, hint=hint)


def _no_rates() -> Fault:
    return Fault(
        code="field-missing",
        at=("quote", "rates"),
        message="a job that is compared needs rates, and is more than material alone",
        hint='such as "rates": "small_crew"',
    )
