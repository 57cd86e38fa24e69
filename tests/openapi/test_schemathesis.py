"""The whole API document against the running application: examples, edges, fuzzing, links.

Bounded and repeatable: a fixed seed and number of examples. `python .ci/tasks.py` runs it with the
other tests. What is off, and why:

- `positive_data_acceptance`: our rules go beyond what a schema can say (two figures fix a curve,
  ids must be in the catalog, items need prices), so what fits the schema may still be 422.

`ignored_auth`, `object_level_authorization`, `use_after_free` and `ensure_resource_availability`
are on and have nothing to look at while there are neither keys nor stored things.
"""

from __future__ import annotations

from typing import Any

import schemathesis
from hypothesis import settings
from schemathesis.config import SchemathesisConfig

from service.api.app import create_app
from service.catalog import load_catalog
from service.settings import Settings

CONFIG = SchemathesisConfig.from_dict(
    {
        "seed": 20260504,
        "generation": {"mode": "all", "max-examples": 40, "deterministic": True},
        # The time is by the wall clock, on a machine that runs other tests: it only finds hangs.
        # What a request may cost is held in tests/api/test_worst_case.py, by work done.
        "checks": {"positive_data_acceptance": {"enabled": False}, "max_response_time": 20.0},
        "phases": {
            "examples": {"enabled": True},
            "coverage": {"enabled": True},
            "fuzzing": {"enabled": True},
            "stateful": {"enabled": True, "max-steps": 5},
        },
    }
)
# Schemathesis calls the application under this name.
SETTINGS = Settings.model_construct(allowed_hosts=("testserver",))
schema = schemathesis.openapi.from_asgi(
    "/openapi.json", create_app(SETTINGS, load_catalog(())), config=CONFIG
)


@schema.parametrize()
def test_every_operation_keeps_to_the_document(case: schemathesis.Case[Any]) -> None:
    """Statuses, media types, headers and bodies are those of the document; none is a 5xx."""
    case.call_and_validate()


def test_operations_that_lead_to_each_other_keep_to_the_document() -> None:
    """What one answer names (ids of a list, its next page) can be asked for and fits as well."""
    machine = schema.as_state_machine()
    machine.run(
        settings=settings(
            max_examples=25, stateful_step_count=5, deadline=None, derandomize=True, database=None
        )
    )
