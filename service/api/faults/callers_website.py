"""Codes of `service/operations/callers/website/`."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "form-changed",
        "The form is another one by now",
        "The answers are those to another version of the form: read it again from "
        "`/v1/website/form`, and send its `form_version` with its answers.",
        409,
    ),
    ProblemKind(
        "unknown-website",
        "It isn't clear which website calls",
        "A key for a website names an entry of the catalog (`websites/`). Without a key it is the "
        "only one there is.",
        404,
    ),
    ProblemKind(
        "lead-not-reachable",
        "Nobody could answer",
        "Whoever wants to hear from us leaves an e-mail address or a telephone number.",
    ),
    ProblemKind(
        "consent-missing",
        "Nothing is kept without consent",
        "What a visitor leaves is kept where he ticked the box beside the consent: `consent` is "
        "true. Without a lead a range is answered all the same.",
    ),
    ProblemKind(
        "link-invalid",
        "A link can't be taken",
        "Photos stay where they are: a link to one begins with `https://` and has at most 500 "
        "characters.",
    ),
    ProblemKind(
        "leads-not-taken",
        "This website takes no leads",
        "The website's entry of the catalog has no `[leads]`: leave `lead` out.",
    ),
    ProblemKind(
        "unknown-lead",
        "There is no such lead",
        "Leads are erased in time (`SERVICE_LEAD_DAYS`), and by `DELETE`.",
        404,
    ),
    ProblemKind(
        "lead-quoted",
        "A quote was made of the lead already",
        "A lead becomes one saved quote: the problem says where it stands. Revise that one.",
        409,
    ),
)
