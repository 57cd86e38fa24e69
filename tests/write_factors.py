"""Writes `service/units/factors.txt` anew: `python .ci/tasks.py factors`."""

from __future__ import annotations

from service.units.factor import FACTORS, worked_out
from service.units.symbols import READ

HEAD = """\
# SI units in one unit, by dimension and symbol, to 45 digits: worked out by Pint of
# definitions.txt, which has the source of each. `python .ci/tasks.py factors` writes this file.

"""


def factors_text() -> str:
    """The file as it has to be: every unit that is read, in its order."""
    lines = [
        f"{dimension} {symbol} {worked_out(dimension, symbol):f}\n"
        for dimension, symbols in READ.items()
        for symbol in symbols
    ]
    return HEAD + "".join(lines)


if __name__ == "__main__":
    FACTORS.write_text(factors_text(), encoding="utf-8")
