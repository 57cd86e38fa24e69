"""What stands in the addresses of leads."""

from __future__ import annotations

from service.api.operation import Parameter
from service.api.parameters import ID_SCHEMA

PREFIX = "/v1/leads"
LEAD_ID = Parameter(
    name="id",
    within="path",
    description="The lead's id, which its visitor has as a reference.",
    schema=ID_SCHEMA,
    component="LeadId",
    required=True,
)
