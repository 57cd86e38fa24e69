"""What is wrong with a catalog: every fault of every file, in one error."""

from __future__ import annotations

from collections.abc import Iterable

from service.core.errors import Fault


class CatalogInvalidError(Exception):
    """The catalog can't be loaded. The first part of each fault's `at` is the file, the rest the
    key; the text of the error is one line per fault."""

    code = "catalog-invalid"

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(line_of(fault) for fault in self.faults))


def line_of(fault: Fault) -> str:
    """A fault as one line: file, table.key, what was found, what would be right."""
    file, *keys = (str(part) for part in fault.at)
    message = _without_name(fault.message, _name(fault.at[1:]))
    where = f"{file}: {_dotted(fault.at[1:])}: " if keys else f"{file}: "
    return where + (f"{message} ({fault.hint})" if fault.hint else message)


def _without_name(message: str, name: str) -> str:
    """The message without the key it begins with: the line names the whole key already."""
    for lead in (f"{name}: ", f"{name} "):
        if name and message.startswith(lead):
            return message[len(lead) :]
    return message


def _dotted(keys: tuple[str | int, ...]) -> str:
    """A key as TOML authors write it: `units.standard.height`, `tasks[2].per` (from 0)."""
    text = ""
    for key in keys:
        if isinstance(key, int):
            text += f"[{key}]"
        else:
            bare = key.replace("_", "").replace("-", "").isalnum() and key.isascii()
            shown = key if bare else f'"{key}"' if key.isprintable() else ascii(key)
            text += f".{shown}" if text else shown
    return text


def _name(keys: tuple[str | int, ...]) -> str:
    """The last key with the numbers after it, as fault messages begin with it."""
    numbers = ""
    for key in reversed(keys):
        if isinstance(key, str):
            return key + numbers
        numbers = f"[{key}]{numbers}"
    return ""
