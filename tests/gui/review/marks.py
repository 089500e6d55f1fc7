"""Marks for a review, times in seconds."""

from __future__ import annotations

from typing import Any

S = 1_000_000
END_US = 60 * S


def record_id(name: str) -> str:
    """Return an id that can be recognised."""
    return name.ljust(26, "0")


def span(name: str, start_s: float, end_s: float, **fields: Any) -> dict[str, Any]:
    """Return the fields of a span, times in seconds."""
    times = {"start_us": round(start_s * S), "end_us": round(end_s * S)}
    return {"id": record_id(name), **times, **fields}


def mark(name: str, at_s: float, **fields: Any) -> dict[str, Any]:
    """Return the fields of a mark at a moment, in seconds."""
    return {"id": record_id(name), "at_us": round(at_s * S), **fields}
