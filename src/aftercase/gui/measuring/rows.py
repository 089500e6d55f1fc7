"""What stands beside the film while something is measured on it, row by row; no widgets."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from aftercase.clock import text_of
from aftercase.gui.review.sign_list import SignRow
from aftercase.metrics.picturecautions import APPROXIMATE
from aftercase.metrics.rulers import ruler_of
from aftercase.model.base import NOT_SAID
from aftercase.model.measure import AT_CORNEA, BEHIND_CORNEA, KNOWN_LENGTH, LIMBUS, OPTIC
from aftercase.session.desk import Desk
from aftercase.session.guidelist import seconds_of
from aftercase.session.pointing import SETS, TOOLS, Pointing
from aftercase.session.verbs.pointing import (
    KeptLine,
    ReadOut,
    ruler_taken,
    rulers_for,
)

BETWEEN: Final = " "
"""Between what a row of choices is about and its word, in the id of a row."""

PIXELS: Final = "pixels"
"""The word for no ruler."""

FILM_KEYS: Final = (
    ("on", "n", "One frame on; Shift: a second"),
    ("back", "b", "One frame back; Shift: a second"),
    ("home", "f", "Back to its frame"),
)
HOW: Final = (
    "Click, or move the cross with the arrow keys (Shift: finely) and press Return; Return once "
    "more keeps it. Backspace takes the last place back. Drag a place to move it, or choose it "
    "with “.” or “,” and move it with the arrow keys. Tab leads to the fields, Esc to the tools."
)

_KEPT: Final = (
    "A click, or the arrow keys and Return, take up what is kept, to change it; Del takes it away."
)

_SIGNS: Final = "123456789acdeghmpqrstuvwxyz"
"""None of those of `FILM_KEYS`."""

_PLANES: Final = (
    (NOT_SAID, "not said"),
    (AT_CORNEA, "at the cornea"),
    (BEHIND_CORNEA, "behind the cornea"),
)
_FROM: Final = {
    LIMBUS: (
        ("assumed", "assumed: that of most people"),
        ("measured", "measured on this eye"),
        ("maker", "said by its maker"),
    ),
    OPTIC: (("assumed", "assumed: the usual one"), ("maker", "of the lens that was used")),
    KNOWN_LENGTH: (
        (NOT_SAID, "not said"),
        ("measured", "measured"),
        ("maker", "said by its maker"),
    ),
}


def tool_rows(kept: tuple[KeptLine, ...], at_us: int) -> tuple[SignRow, ...]:
    """Return the tools, and everything that was measured: on the shown frame, and elsewhere."""
    rulers = [tool for tool in TOOLS.values() if tool.is_ruler]
    measures = [tool for tool in TOOLS.values() if not tool.is_ruler]
    here = [line for line in kept if at_us in line.times_us]
    elsewhere = [line for line in kept if at_us not in line.times_us]
    return (
        *_headed("Rulers", [SignRow(f"tool {one.word}", one.key, one.label) for one in rulers]),
        *_headed("Measures", [SignRow(f"tool {one.word}", one.key, one.label) for one in measures]),
        *_headed("Kept on this frame", [_kept_row(line, "") for line in here]),
        *_headed(
            "Kept on other frames", [_kept_row(one, seconds_of(one.at_us)) for one in elsewhere]
        ),
        *(SignRow("", "", said, tone="said") for said in (_KEPT, APPROXIMATE) if kept),
    )


def work_rows(desk: Desk, pointing: Pointing, read: ReadOut) -> tuple[SignRow, ...]:
    """Return what is measured so far, and what can be said of it by one key each."""
    signs = iter(_SIGNS)
    rows = [
        *_away(desk, pointing),
        *(SignRow("", "", line.text, line.value, tone=line.tone) for line in read.lines),
    ]
    for about, title, words, chosen in _choices(desk, pointing):
        rows += [SignRow("", "", title)]
        rows += [
            SignRow(f"{about}{BETWEEN}{word}", next(signs, ""), name, is_chosen=word == chosen)
            for word, name in words
        ]
    film = [SignRow(f"film {word}", key, name) for word, key, name in FILM_KEYS]
    return (*rows, *_headed("The film", film), SignRow("", "", HOW, tone="said"))


_Choices = tuple[str, str, tuple[tuple[str, str], ...], str]
"""What is said, its heading, its words with their names, the one that holds."""


def _choices(desk: Desk, pointing: Pointing) -> Iterator[_Choices]:
    word = pointing.tool.word
    if word in SETS:
        yield "into", "Pointed at now", SETS[word], pointing.into
    if word in _FROM:
        yield "from", "Its size is", _FROM[word], pointing.size_from
    if word not in (LIMBUS, OPTIC, "angle", "capsulorhexis"):
        yield "plane", "Where it lies", _PLANES, pointing.plane
    rulers = rulers_for(desk, pointing)
    if rulers and not pointing.tool.is_ruler and word != "angle":
        offered = tuple(
            (one.id, f"{ruler_of(desk.case, one).words}, at {seconds_of(one.at_us)}")
            for one in rulers
        )
        taken = ruler_taken(desk, pointing) or PIXELS
        yield "with", "Measured with", (*offered, (PIXELS, "no ruler: in pixels")), taken


def _away(desk: Desk, pointing: Pointing) -> Iterator[SignRow]:
    """Say where it belongs while another frame is shown."""
    if not pointing.is_on(desk.at_us) and pointing.at_us is not None and not pointing.has_times:
        said = (
            f"Another frame is shown. This is measured on the one at {text_of(pointing.at_us)}: F "
            "goes back to it."
        )
        yield SignRow("", "", said, tone="warn")


def _headed(title: str, rows: list[SignRow]) -> tuple[SignRow, ...]:
    return (SignRow("", "", title), *rows) if rows else ()


def _kept_row(line: KeptLine, when: str) -> SignRow:
    name = f"{when} {line.name}".strip()
    return SignRow(f"kept {line.id}", "", name, line.value)
