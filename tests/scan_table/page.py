"""The tables as text, and into the page between its markers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scores import Judged

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "scan.md"
BEGIN, END = "<!-- table begins -->", "<!-- table ends -->"


@dataclass(frozen=True)
class Row:
    """A line of the table.

    Attributes:
        what: What was measured.
        bar: What it must reach.
        reached: What it did reach.
        is_met: Whether that is enough; None where there is no bar or nothing was measured.
    """

    what: str
    bar: str
    reached: str
    is_met: bool | None

    def cells(self) -> tuple[str, ...]:
        """Return it as cells."""
        said = {True: "yes", False: "**no**", None: ""}[self.is_met]
        return (self.what, self.bar, self.reached, said)


def markdown(rows: Iterable[Row], sessions: Sequence[Judged]) -> str:
    """Return the table of what must be reached, and one of the sessions."""
    from scores import SESSION_HEADS

    return "\n".join(
        [
            _table(("what", "must be", "is", "met"), [row.cells() for row in rows]),
            "",
            "Session by session:",
            "",
            _table(SESSION_HEADS, [one.cells() for one in sessions]),
        ]
    )


def written(rows: Iterable[Row], sessions: Sequence[Judged]) -> Path:
    """Put the tables into the page, and return where that is."""
    before, _, rest = PAGE.read_text(encoding="utf-8").partition(BEGIN)
    _, _, after = rest.partition(END)
    text = f"{before}{BEGIN}\n{markdown(rows, sessions)}\n{END}{after}"
    PAGE.write_text(text, encoding="utf-8")
    return PAGE


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [heads, ["---"] * len(heads), *rows]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in lines)
