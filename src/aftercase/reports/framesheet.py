"""A measure's table as a sheet: kinds from the columns' names and types, words from the guide."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

import pandas as pd

from aftercase.model.guide import Guide
from aftercase.reports.sheet import Column, Kind, Sheet, Value
from aftercase.reports.words import WORD_NAMES, names_of, said

if TYPE_CHECKING:
    from aftercase.metrics.table import Table

Naming = Callable[[str], str]

MOMENTS: Final = frozenset(
    {"start_us", "end_us", "at_us", "first_start_us", "from_us", "to_us", "taken_us"}
)

STEP_COLUMNS: Final = ("step", "parent", "other")

_EVENT_CLASS_NAMES: Final = MappingProxyType(
    {
        "action": "action",
        "slip": "slip",
        "complication": "complication",
        "rescue": "rescue",
        "outside": "from outside",
        "not-in-guide": "not in the guide",
    }
)
_FINDING_NAMES: Final = MappingProxyType(
    {
        "out-of-order": "Out of order",
        "usual-order": "Not in the usual order",
        "missing": "Missing",
        "not-needed": "Not needed",
        "unplanned": "Unplanned",
        "returned-to": "Returned to",
        "repeated": "Repeated",
    }
)
_GAP_KIND_NAMES: Final = MappingProxyType(
    {
        "exchange": "exchange",
        "same-back": "same instrument back",
        "lead-in": "before the first instrument",
        "lead-out": "after the last instrument",
        "pause": "pause, as marked",
    }
)


def namings(guide: Guide) -> Mapping[str, Naming]:
    """Return how the words of a column are named, by the column's name."""
    instruments = names_of(guide.instruments)
    vocabularies: dict[str, Mapping[str, str]] = {
        "instrument": instruments,
        "performer": WORD_NAMES,
        "takeover": WORD_NAMES,
        "hour_clock": WORD_NAMES,
        "help": names_of(guide.help),
        "takeover_reason": names_of(guide.takeover_reasons),
        "cause": names_of(guide.pause_causes),
        "reason": names_of(guide.unseen_reasons),
        "result": names_of(guide.attempt_results),
        "finding": _FINDING_NAMES,
        "event_class": _EVENT_CLASS_NAMES,
        "kind": _GAP_KIND_NAMES,
    }
    return {
        **{name: _naming(names) for name, names in vocabularies.items()},
        **dict.fromkeys(("before", "after"), _several(_naming(instruments))),
        **dict.fromkeys(STEP_COLUMNS, guide.step_name),
    }


def _naming(names: Mapping[str, str]) -> Naming:
    return lambda word: said(word, names)


def _several(naming: Naming) -> Naming:
    return lambda words: " + ".join(map(naming, words.split(" + ")))


def sheet_of(table: Table) -> Sheet:
    """Return a measure's table as it is, words as the measure gives them."""
    frame = table.frame
    columns = tuple(_column(str(name), dtype) for name, dtype in frame.dtypes.items())
    values = [[_value(value) for value in frame.iloc[:, i]] for i in range(frame.shape[1])]
    rows = tuple(zip(*values, strict=True)) if values else ()
    return Sheet(table.name, table.title, columns, rows, table.notes)


def worded_sheet(table: Table, guide: Guide) -> Sheet:
    """Return a measure's table in the guide's words; a step keeps its id, its name stands beside.

    Beside ``step`` stands ``step_name``; so for every column that holds a step.
    """
    sheet, named_by = sheet_of(table), dict(namings(guide))
    if "name" in table.frame:
        del named_by["kind"]  # the name stands beside it
    columns: list[Column] = []
    values: list[tuple[Value, ...]] = []
    for column in sheet.columns:
        given = sheet.column(column.name)
        naming = named_by.get(column.name, str)
        named = tuple(naming(one) if isinstance(one, str) else one for one in given)
        is_step = column.name in STEP_COLUMNS
        columns.append(column)
        values.append(given if is_step else named)
        if is_step:
            columns.append(Column(f"{column.name}_name", f"{column.label}"))
            values.append(named)
    return replace(sheet, columns=tuple(columns), rows=tuple(zip(*values, strict=True)))


def chosen(sheet: Sheet, title: str, columns: tuple[Column, ...], *, empty: str = "None.") -> Sheet:
    """Return some of a sheet's columns, by their names, headed and filled as `columns` say."""
    values = [sheet.column(column.name) for column in columns]
    return replace(
        sheet,
        title=title,
        columns=columns,
        rows=tuple(zip(*values, strict=True)),
        empty=empty,
    )


def _column(name: str, dtype: Any) -> Column:
    stem = name.removesuffix("_us")
    return Column(stem, stem.replace("_", " ").capitalize(), _kind(name, dtype))


def _kind(name: str, dtype: Any) -> Kind:
    if name.endswith("_us"):
        return "moment" if name in MOMENTS else "length"
    if pd.api.types.is_bool_dtype(dtype):
        return "flag"
    if pd.api.types.is_integer_dtype(dtype):
        return "count"
    if pd.api.types.is_float_dtype(dtype):
        return "share" if name == "share" or name.endswith("_share") else "number"
    return "text"


def _value(value: Any) -> Value:
    if value is None or pd.isna(value):
        return None
    item = value.item() if hasattr(value, "item") else value
    return item if isinstance(item, bool | int | float) else str(item)
