"""The exact ratio that core computes with: the compiled twin of the standard library's Fraction.

It reads, writes, compares, hashes and rounds like `fractions.Fraction`, several times faster; half
of a quote's time was exact arithmetic. Only this module names the library, so that types are
checked as the standard library's, and one line changes it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if not TYPE_CHECKING:
    from quicktions import Fraction
else:
    from fractions import Fraction

__all__ = ["Fraction"]
