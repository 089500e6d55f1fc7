"""Edits of the header's lists of (from when, value)."""

from __future__ import annotations

from typing import Any, Final

from aftercase.edit.header import change_header
from aftercase.model.case import Case

OVER_TIME: Final = ("technique", "seat", "turn_deg", "mirrored", "zoom", "machine")
"""Fields whose value may change during the film."""


def set_since(case: Case, field: str, from_us: int, value: str | float | bool) -> Case:
    """Let a value hold from a moment on, until the next one that is given.

    A value that was given for the same moment is replaced.

    Args:
        case: The header.
        field: One of `OVER_TIME`.
        from_us: The moment; 0 for from the start.
        value: The value.

    Raises:
        EditRefused: The value breaks its field's rule.
    """
    entry = {"from_us": from_us, "value": value}
    return _with_entries(case, field, [*_without(case, field, from_us), entry])


def drop_since(case: Case, field: str, from_us: int) -> Case:
    """Take back what was given for a moment; what was given before it holds on."""
    return _with_entries(case, field, _without(case, field, from_us))


def _without(case: Case, field: str, from_us: int) -> list[Any]:
    if field not in OVER_TIME:
        raise ValueError(f"{field} does not change over time")
    return [entry for entry in getattr(case, field) if entry.from_us != from_us]


def _with_entries(case: Case, field: str, entries: list[Any]) -> Case:
    return change_header(case, **{field: sorted(entries, key=_from_us)})


def _from_us(entry: Any) -> int:
    return int(entry["from_us"] if isinstance(entry, dict) else entry.from_us)
