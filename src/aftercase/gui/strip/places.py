"""Where the rows of the strip lie, closed and opened; sizes follow the height of the text."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from aftercase.gui.strip.content import Content, Lane, Row

Look = Literal["block", "bar", "hatch", "cross-hatch", "dots", "signs"]
"""How the marks of a row are drawn."""

_LOOKS: Final[dict[Lane, Look]] = {
    "remarks": "signs",
    "steps": "block",
    "taken-over": "bar",
    "instruments": "block",
    "gaps": "hatch",
    "pauses": "hatch",
    "unseen": "cross-hatch",
    "missing": "dots",
    "events": "signs",
}
_FOOT_LANES: Final[tuple[Lane, ...]] = ("missing", "gaps", "pauses", "unseen", "events")
_OPEN_LANES: Final[tuple[tuple[str, tuple[Lane, ...]], ...]] = (
    ("Remarks", ("remarks",)),
    ("Steps", ("steps",)),
    ("Events", ("events",)),
    ("Pauses", ("gaps", "pauses")),
    ("Not seen", ("missing", "unseen")),
    ("Instruments", ("instruments",)),
)
"""What stands below each other in the opened strip."""

_STACKED: Final = ("Steps", "Instruments")
_SPACE_PX: Final = 2


@dataclass(frozen=True)
class Sizes:
    """Sizes in pixels; all follow the height of a line of text.

    Attributes:
        text_px: Height of a line of text.
    """

    text_px: int

    @property
    def sign_px(self) -> int:
        """How wide and high a sign is."""
        return self.text_px - 1

    @property
    def marks_px(self) -> int:
        """Height of a row of signs, and of the ruler."""
        return self.text_px + 1

    @property
    def step_px(self) -> int:
        """Height of the steps."""
        return self.text_px + 6

    @property
    def foot_px(self) -> int:
        """Height of the part of the band below the steps."""
        return self.text_px - 1

    @property
    def row_px(self) -> int:
        """Height of a row of the opened strip."""
        return self.text_px + 2

    @property
    def bar_px(self) -> int:
        """Height of a bar: a step's part in the closed strip, and where it was taken over."""
        return max(3, round(self.text_px / 4))

    @property
    def side_px(self) -> int:
        """Room beside the clock on both sides, for half a sign."""
        return self.sign_px // 2 + 1

    def gutter_px(self, is_open: bool) -> int:
        """Return the width of what names the rows."""
        return round(self.text_px * (12.5 if is_open else 4.4))


@dataclass(frozen=True)
class Place:
    """Where a row lies.

    Attributes:
        row: The row.
        look: How its marks are drawn.
        top_px: Where it begins.
        height_px: How high it is.
        has_words: Whether its blocks carry words.
    """

    row: Row
    look: Look
    top_px: int
    height_px: int
    has_words: bool = True


@dataclass(frozen=True)
class Title:
    """What names a row, beside it.

    Attributes:
        text: Its name.
        side: What stands before it: the hand, where it is another than above.
        top_px: Where the row begins.
        height_px: How high it is.
    """

    text: str
    side: str
    top_px: int
    height_px: int


@dataclass(frozen=True)
class Plan:
    """Where everything lies from top to bottom.

    Attributes:
        sizes: The sizes.
        is_open: Whether the strip is opened.
        places: The rows, in the order they are painted.
        titles: What names them.
        band_top_px: Where the steps begin.
        foot_top_px: Where the activity curve begins.
        foot_px: How high it is.
        ruler_px: Height of the ruler at the top; 0 where there is none.
        height_px: How high everything is.
    """

    sizes: Sizes
    is_open: bool
    places: tuple[Place, ...]
    titles: tuple[Title, ...]
    band_top_px: int
    foot_top_px: int
    foot_px: int
    ruler_px: int
    height_px: int


def resting_height_px(sizes: Sizes) -> int:
    """Return the height of the closed strip, with or without a case."""
    return 2 * _SPACE_PX + 1 + sizes.marks_px + sizes.step_px + sizes.foot_px


def closed_plan(content: Content, sizes: Sizes) -> Plan:
    """Return the thin strip: signs, and below them a band of steps with what stands under them."""
    band_top = _SPACE_PX + sizes.marks_px
    foot_top = band_top + sizes.step_px
    places = []
    for depth, row in enumerate(content.of("steps")):
        if depth == 0:
            places.append(Place(row, "block", band_top, sizes.step_px))
        else:
            top = foot_top - sizes.bar_px
            places.append(Place(row, "block", top, sizes.bar_px, has_words=False))
    places += _bars(content, band_top, sizes)
    places += [
        Place(row, _LOOKS[row.lane], foot_top, sizes.foot_px)
        for lane in _FOOT_LANES
        for row in content.of(lane)
    ]
    places += [
        Place(row, "signs", _SPACE_PX, sizes.marks_px) for row in content.of("remarks")
    ]  # fmt: skip
    titles = (
        Title("Remarks", "", _SPACE_PX, sizes.marks_px),
        Title("Steps", "", band_top, sizes.step_px),
        Title("Events", "", foot_top, sizes.foot_px),
    )
    return Plan(
        sizes, False, tuple(places), titles, band_top, foot_top, sizes.foot_px, 0,
        resting_height_px(sizes),
    )  # fmt: skip


def opened_plan(content: Content, sizes: Sizes) -> Plan:
    """Return the opened strip: a ruler, and a lane for everything."""
    ruler_px = sizes.marks_px + _SPACE_PX
    places: list[Place] = []
    titles = [Title("Time", "", _SPACE_PX, sizes.marks_px)]
    tops: dict[str, int] = {}
    top = ruler_px
    for title, lanes in _OPEN_LANES:
        height = {"Remarks": sizes.marks_px, "Steps": sizes.step_px}.get(title, sizes.row_px)
        rows = content.of(*lanes)
        is_stacked = title in _STACKED
        places += [
            Place(row, _LOOKS[row.lane], top + number * is_stacked * height, height)
            for number, row in enumerate(rows)
        ]
        if title == "Instruments":
            titles += _instrument_titles(rows, top, height)
        else:
            titles.append(Title(title, "", top, height))
        tops[title] = top
        n_rows = max(len(rows), title != "Instruments") if is_stacked else 1
        top += n_rows * height + _SPACE_PX
    places += _bars(content, tops["Steps"], sizes)
    return Plan(
        sizes, True, tuple(places), tuple(titles), tops["Steps"], tops["Events"], sizes.row_px,
        ruler_px, top + 1,
    )  # fmt: skip


def _bars(content: Content, band_top: int, sizes: Sizes) -> list[Place]:
    return [
        Place(row, "bar", band_top, sizes.bar_px, has_words=False)
        for row in content.of("taken-over")
    ]


def _instrument_titles(rows: tuple[Row, ...], top: int, height: int) -> list[Title]:
    titles = []
    above = ""
    for number, row in enumerate(rows):
        side = row.hand if row.hand != above else ""
        titles.append(Title(row.name, side, top + number * height, height))
        above = row.hand
    return titles
