"""Factors from finished jobs, each worked by hand."""

from decimal import Decimal
from fractions import Fraction

from service.catalog import load_catalog
from service.core.labor.fitted import JobHours, TaskFactor, fit_factors, own_hours, refined


def job(actual: dict[str, str] | str, **quoted: str) -> JobHours:
    """A job of these hours."""
    return JobHours(
        quoted={task: Decimal(hours) for task, hours in quoted.items()},
        actual=Decimal(actual)
        if isinstance(actual, str)
        else {task: Decimal(hours) for task, hours in actual.items()},
    )


def factors(*jobs: JobHours) -> dict[str, Fraction | None]:
    """The factors by task."""
    return {each.task: each.factor for each in fit_factors(jobs)}


def test_fit_factors_of_a_noted_task_are_the_ratio_of_sums() -> None:
    """(12 + 32) / (10 + 30) = 1.1, and not the mean of 1.2 and 1.0667; unnoted tasks have none."""
    jobs = (job({"dig": "12"}, dig="10", cap="4"), job({"dig": "32"}, dig="30"))
    assert factors(*jobs) == {"dig": Fraction(11, 10), "cap": None}
    dig, cap = fit_factors(jobs)
    assert (dig.quoted, dig.actual) == (Decimal(40), Decimal(44))
    assert cap.quoted == Decimal(4)
    assert cap.actual is None


def test_fit_factors_of_totals_are_least_squares_of_relative_errors() -> None:
    """With r = 10/11 and 100/120, f = (10/11 + 5/6) / (100/121 + 25/36) = 1.145660, for both."""
    found = factors(job("11", dig="4", cap="6"), job("120", dig="100"))
    exact = (Fraction(10, 11) + Fraction(5, 6)) / (Fraction(100, 121) + Fraction(25, 36))
    assert found == {"dig": exact, "cap": exact}


def test_fit_factors_leave_the_noted_tasks_of_a_total_as_noted() -> None:
    """Digging takes 2 x; of 25 h in all 2 x 5 are explained, so 15 h of 10 quoted are 1.5 x."""
    found = factors(job({"dig": "2"}, dig="1"), job("25", dig="5", cap="10"))
    assert found == {"dig": 2, "cap": Fraction(3, 2)}


def test_fit_factors_give_none_where_nothing_fits() -> None:
    """A task that was not quoted has no factor; nor has a rest below 0."""
    assert factors(job({"dig": "2"}, cap="1")) == {"cap": None, "dig": None}
    assert factors(job({"dig": "4"}, dig="1"), job("3", dig="1", cap="1"))["cap"] is None


def test_fit_factors_of_a_total_are_for_its_own_tasks_alone() -> None:
    """The rest of 20 h over 10 quoted doubles `set`; `cap`, in no total and not noted, has none."""
    found = factors(job({"dig": "1"}, dig="1", cap="4"), job("21", dig="1", set="10"))
    assert found == {"dig": 1, "cap": None, "set": 2}


def test_refined_multiplies_what_was_taken() -> None:
    """1.2 x 1.1 = 1.32 where the own figure was taken; a task without one keeps its factor."""
    first = fit_factors([job({"dig": "12", "ram": "12"}, dig="10", ram="10")])
    again = fit_factors([job({"dig": "11", "ram": "12"}, dig="10", ram="10")])
    found = {each.task: each.factor for each in refined(first, again, {"dig"})}
    assert found == {"dig": Fraction(132, 100), "ram": Fraction(6, 5)}


def test_own_hours_are_the_rates_times_the_factor() -> None:
    """0.07 / 0.095 / 0.15 x 1.1 = 0.077 / 0.1045 / 0.165; travel 1.5 x 1.1; a rammer's hours come
    from its figures, and site work isn't in the rates."""
    rates = load_catalog(()).production_rates["small_crew"].core
    tasks = ("set_units", "travel", "ram_backfill", "take_down_timber_wall")
    fitted = [
        TaskFactor(task=task, quoted=Decimal(1), actual=None, factor=Fraction(11, 10))
        for task in tasks
    ]
    own = own_hours(rates, fitted)
    assert {task: of.hours_per_unit.likely for task, of in own.items()} == {
        "set_units": Fraction(Decimal("0.1045")),
        "travel": Fraction(Decimal("1.65")),
    }
    assert (own["set_units"].hours_per_unit.low, own["set_units"].hours_per_unit.high) == (
        Fraction(Decimal("0.077")),
        Fraction(Decimal("0.165")),
    )


def test_fit_factors_give_none_where_noted_tasks_explain_a_total() -> None:
    """Task `dig` took twice what was quoted. A job of 1 h of each that took 2 h leaves nothing for
    `cap`."""
    found = factors(job({"dig": "2"}, dig="1"), job("2", dig="1", cap="1"))
    assert found == {"dig": Fraction(2), "cap": None}
