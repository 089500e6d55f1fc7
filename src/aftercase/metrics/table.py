"""A measure's answer: a frame of numbers with its definition and what was left out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd
from pandas.api.types import pandas_dtype


@dataclass(frozen=True)
class Table:
    """What a measure gives back.

    Attributes:
        name: The measure's name.
        title: Its title, for people.
        definition: What is measured, one sentence; its only home is docs/reference/metrics.md.
        frame: One row a finding. Times are ``Int64`` in columns named ``*_us``, shares and hours
            ``Float64``; a blank is ``<NA>`` and means "not known", never 0.
        notes: What was left out or counted how, printed under the table.
    """

    name: str
    title: str
    definition: str
    frame: pd.DataFrame
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Found:
    """A measure's rows before they become a table: each a mapping from column to value."""

    rows: tuple[Mapping[str, Any], ...] = ()
    notes: tuple[str, ...] = ()


def typed_frame(columns: Mapping[str, str], rows: Iterable[Mapping[str, Any]]) -> pd.DataFrame:
    """Return rows as a frame with just these columns and nullable types.

    Args:
        columns: Column names in order, each with its pandas type.
        rows: Values by column; None or a left-out column is a blank.

    Raises:
        ValueError: A row has a column that is not among these.

    Example:
        >>> frame = typed_frame({"step": "string", "total_us": "Int64"}, [{"step": "seal"}])
        >>> frame["total_us"].isna().tolist()
        [True]
    """
    rows = list(rows)
    for row in rows:
        if surplus := set(row) - set(columns):
            raise ValueError(f"no such columns: {sorted(surplus)}")
    return pd.DataFrame(
        {
            name: pd.Series([row.get(name) for row in rows], dtype=pandas_dtype(dtype))
            for name, dtype in columns.items()
        }
    )
