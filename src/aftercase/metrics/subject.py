"""What measures are worked out of, and the choices they are worked out by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from aftercase.clock import SECOND_US
from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.review import Review

EMPTY: Final = ("eye-empty", "main-hand-empty")
GAP_SOURCES: Final = ("auto", "instruments", "pauses")
SHORTEST_GAPS_US: Final = (0, SECOND_US // 2, SECOND_US, 3 * SECOND_US)
"""The shortest gaps a screen offers; any other of 0 or more is taken as well."""


@dataclass(frozen=True)
class Subject:
    """One person's review of one case, with the case's copy of its guide."""

    case: Case
    guide: Guide
    review: Review


@dataclass(frozen=True)
class Settings:
    """How gaps are counted.

    Attributes:
        shortest_gap_us: Shortest gap that is counted, 0 or more.
        empty: ``eye-empty`` (no instrument of either hand) or ``main-hand-empty``.
        gap_source: ``instruments``, ``pauses`` (as marked directly), or ``auto``: instruments if
            any are marked, else pauses, else not marked.
    """

    shortest_gap_us: int = SECOND_US
    empty: str = EMPTY[0]
    gap_source: str = GAP_SOURCES[0]

    def __post_init__(self) -> None:
        if self.shortest_gap_us < 0:
            raise ValueError("the shortest gap is 0 or more")
        if self.empty not in EMPTY or self.gap_source not in GAP_SOURCES:
            raise ValueError(f"empty is one of {EMPTY}, gap_source one of {GAP_SOURCES}")
