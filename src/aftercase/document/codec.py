"""Records to bytes and back: sorted keys, UTF-8 unescaped, one line a value, diff-friendly."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any, Final, TypeVar

import pydantic

from aftercase.document.versions import upgraded
from aftercase.errors import DocumentBroken
from aftercase.model.base import Record
from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.intake import IntakeList
from aftercase.model.problem import Problem, problems_of
from aftercase.model.review import Review

Document = TypeVar("Document", Case, Review, Guide, IntakeList)

MOST_BYTES: Final = 256 * 1024 * 1024
DEEPEST: Final = 100
"""Lists and objects within each other; records need a handful, writing allows no more than 250."""
_MOST_DIGITS: Final = 40
_MOST_PROBLEMS_SHOWN: Final = 5
_REPAIR_HINT: Final = "Put an earlier kept version in its place, or mend the named place."


def encoded(record: Record) -> bytes:
    """Return a record as the bytes of its file.

    Example:
        >>> from aftercase.model.case import Window
        >>> encoded(Window(start_us=0, end_us=40000)).decode()
        '{\\n  "end_us": 40000,\\n  "start_us": 0\\n}\\n'
    """
    data = record.model_dump(mode="json")
    text = json.dumps(data, ensure_ascii=False, indent=2, sort_keys=True, allow_nan=False)
    # Half of a surrogate pair (odd file names hold some) has no UTF-8; its escape is JSON again.
    return (text + "\n").encode("utf-8", errors="backslashreplace")


def decoded(kind: type[Document], content: bytes, path: Path) -> Document:
    """Read a record from the bytes of its file, upgrading an older format on the way.

    Raises:
        DocumentBroken: It is no JSON, another kind of file, or breaks the format; each place
            is named.
        DocumentTooNew: Its major version is newer than this program's.
    """
    data = upgraded(kind, parsed(content, path), path)
    try:
        return kind.model_validate(data)
    except pydantic.ValidationError as error:
        raise broken(problems_of(error), path) from error


def parsed(content: bytes, path: Path) -> dict[str, Any]:
    """Read bytes as one JSON object.

    Raises:
        DocumentBroken: They are none; line and column are named.
    """
    if len(content) > MOST_BYTES:
        raise DocumentBroken("This file is too large to be read.", hint=_REPAIR_HINT, path=path)
    try:
        data = json.loads(
            content.decode("utf-8-sig"),
            parse_constant=_refuse_constant,
            parse_float=_finite,
            parse_int=_whole,
            object_pairs_hook=_each_once,
        )
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise DocumentBroken(
            f"This file is no JSON: {error.msg} at {where}.", hint=_REPAIR_HINT, path=path
        ) from error
    except UnicodeDecodeError as error:
        raise DocumentBroken(
            f"This file is no UTF-8 text: byte {error.start} is none.", hint=_REPAIR_HINT, path=path
        ) from error
    except ValueError as error:
        raise DocumentBroken(
            f"This file cannot be read: {error}.", hint=_REPAIR_HINT, path=path
        ) from error
    except RecursionError as error:
        raise _too_deep(path) from error
    if not isinstance(data, dict):
        raise DocumentBroken("This file is no JSON object.", hint=_REPAIR_HINT, path=path)
    _refuse_deep(data, path)
    return data


def _refuse_deep(data: dict[str, Any], path: Path) -> None:
    level: list[Any] = [data]
    for _ in range(DEEPEST):
        level = [child for parent in level for child in _children(parent)]
        if not level:
            return
    raise _too_deep(path)


def _children(parent: Any) -> list[Any]:
    values = parent.values() if isinstance(parent, dict) else parent
    return [value for value in values if isinstance(value, dict | list)]


def _too_deep(path: Path) -> DocumentBroken:
    return DocumentBroken(
        f"This file nests more than {DEEPEST} lists and objects in each other.",
        hint=_REPAIR_HINT,
        path=path,
    )


def broken(problems: list[Problem], path: Path) -> DocumentBroken:
    """Return the error that names the first broken rules of a file and counts the rest."""
    shown = "\n".join(f"  - {problem}" for problem in problems[:_MOST_PROBLEMS_SHOWN])
    rest = len(problems) - _MOST_PROBLEMS_SHOWN
    more = f"\n  - and {rest} more" if rest > 0 else ""
    return DocumentBroken(
        f"This file breaks {len(problems)} rule(s) of its format:\n{shown}{more}",
        hint=_REPAIR_HINT,
        path=path,
    )


def _refuse_constant(name: str) -> Any:
    raise ValueError(f"{name} is not a number that a file may hold")


def _finite(digits: str) -> float:
    number = float(digits)
    if not math.isfinite(number):
        raise ValueError(f"the number {digits[:_MOST_DIGITS]} is too large")
    return number


def _whole(digits: str) -> int:
    if len(digits) > _MOST_DIGITS:
        raise ValueError(f"a whole number has {len(digits)} digits")
    return int(digits)


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    fields = dict(pairs)
    if len(fields) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"the field “{twice}” stands twice in one object")
    return fields
