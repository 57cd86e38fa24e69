"""The exact ratio that core computes with: the compiled twin of the standard library's Fraction.

It computes, writes, compares, hashes and rounds like `fractions.Fraction`, several times faster;
half of a quote's time was exact arithmetic. Only this module names the library.

It reads no text: of a text of one character quicktions 1.19 to 1.24 writes into memory that all
of Python shares. Texts are read as a Decimal, which becomes a ratio; the types in `fraction.pyi`
refuse a text, and tests look at that memory.
"""

from quicktions import Fraction

__all__ = ["Fraction"]
