"""One kind of problem, for programs and for people."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ProblemKind:
    """A code, what it means, what to do about it, and the usual HTTP status."""

    code: str
    title: str
    explanation: str
    status: int = 422
