"""The operations of events."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.late import late_modules
from service.api.operation import READS_STORED, Operation
from service.api.parameters import IF_CHANGED, read_answers
from service.api.v1.events.address import PREFIX

if TYPE_CHECKING:
    from service.api.v1.events import reads
    from service.operations.callers import event_list
else:
    (reads,) = late_modules("service.api.v1.events", "reads")
    (event_list,) = late_modules("service.operations.callers", "event_list")

OPERATIONS = (
    Operation(
        method="GET",
        path=PREFIX,
        handler=reads.list_all_events,
        id="list_events",
        scopes=("field", "quotes", "prices", "admin"),
        tag="events",
        summary="List what changed, in its order",
        parameters=(reads.PARAMETERS, IF_CHANGED),
        answers=read_answers(event_list.EventPage, "What changed, as far as it is there."),
        refuses=(410, *READS_STORED),
    ),
)
