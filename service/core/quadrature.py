"""Nodes of numerical integration, once for all."""

from __future__ import annotations

# Gauss-Legendre nodes and weights on [0, 1], five points (Abramowitz and Stegun, 25.4.30).
GAUSS = (
    (0.046910077030668, 0.118463442528095),
    (0.230765344947158, 0.239314335249683),
    (0.5, 0.284444444444444),
    (0.769234655052842, 0.239314335249683),
    (0.953089922969332, 0.118463442528095),
)
