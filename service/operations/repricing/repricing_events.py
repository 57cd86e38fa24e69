"""What is told of a re-pricing that is over: what became of it, and how many quotes fell under the
margin's floor. Which ones stands under its address."""

from __future__ import annotations

from service.operations.repricing.repricing_reads import known_run
from service.storage import Connection
from service.storage.events import NewEvent, record_all
from service.storage.repricing_chunks import find_counts


def tell_finished(connection: Connection, run_id: str, now: int, *, by: str | None) -> None:
    """Tell that a run is over; `by` is who started it, or None for who acts now.

    One that was done to its end also tells of quotes under its floor: those that it looked at,
    and among them those that are out, which is so whether it only previewed or wrote.
    """
    run = known_run(connection, run_id)
    asked, place = run.asked, f"/v1/repricings/{run_id}"
    told = {
        "repricing": run_id,
        "mode": asked.mode,
        "state": run.status,
        "price_list": asked.price_list,
        "revision": asked.price_list_revision,
        "links": {"repricing": place, "items": f"{place}/items"},
    }
    events = [NewEvent(type="repricing.finished", subject=run_id, data=told)]
    counts = find_counts(connection, run_id)
    under = {"under_margin": counts.under_margin, "out_under_margin": counts.out_under_margin}
    if run.status == "succeeded" and any(under.values()):
        told = {**told, **under}
        events.append(NewEvent(type="repricing.under_margin", subject=run_id, data=told))
    record_all(connection, events, now, by=by)
