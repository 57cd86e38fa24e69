"""The operations of events."""

from __future__ import annotations

from service.api.operation import READS_STORED, Operation
from service.api.parameters import IF_CHANGED, read_answers
from service.api.v1.events.reads import PARAMETERS, PREFIX, list_all_events
from service.operations.callers.event_list import EventPage

OPERATIONS = (
    Operation(
        method="GET",
        path=PREFIX,
        handler=list_all_events,
        id="list_events",
        scopes=("field", "quotes", "prices", "admin"),
        tag="events",
        summary="List what changed, in its order",
        parameters=(*PARAMETERS, IF_CHANGED),
        answers=read_answers(EventPage, "What changed, as far as it is there."),
        refuses=(410, *READS_STORED),
    ),
)
