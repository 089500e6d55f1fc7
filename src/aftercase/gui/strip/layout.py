"""What of the strip's rows is in sight, as blocks and signs in pixels; no widget is needed for it.

What falls into one pixel is merged, and words are given to what they fit into.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from aftercase.clock import MILLISECOND_US, SECOND_US, text_of
from aftercase.gui.strip.content import StripMark
from aftercase.gui.strip.places import Place, Plan
from aftercase.gui.strip.stretch import Floats, Ints, Scale
from aftercase.media.frameclock import FrameClock

TextWidth = Callable[[str], float]
"""Gives the width of a text in pixels."""

WORD_SPACE_PX: Final = 4
_LEAST_WORD_PX: Final = 14
_MOST_DRIFT: Final = 1.5
_LEAST_FRAME_PX: Final = 4
_RULER_STEPS_US: Final = tuple(
    [n * MILLISECOND_US for n in (10, 20, 50, 100, 200, 500)]
    + [n * SECOND_US for n in (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1800, 3600)]
)


@dataclass(frozen=True)
class Blocks:
    """The spans of a row that are in sight, by position; merged ones are one of them.

    Attributes:
        lefts_px: Where they begin, not before the strip does.
        rights_px: Where they end, at least a pixel after they begin.
        numbers: Which mark of the row each is, or is the first of.
        words: What is written into each; empty where nothing fits.
    """

    lefts_px: list[float]
    rights_px: list[float]
    numbers: list[int]
    words: list[str]

    def between(self, left_px: float, right_px: float) -> range:
        """Return which of them reach into a range of pixels."""
        first = bisect_right(self.rights_px, left_px)
        return range(first, max(first, bisect_left(self.lefts_px, right_px)))


@dataclass(frozen=True)
class Sign:
    """A sign for a moment, or for several that stand too close together.

    Attributes:
        x_px: Where its middle is.
        at_px: Where the moment is.
        width_px: How wide it is.
        marks: What it stands for, by time.
        word: What is written beside it; empty where nothing fits.
    """

    x_px: float
    at_px: float
    width_px: float
    marks: tuple[StripMark, ...]
    word: str = ""


@dataclass(frozen=True)
class Drawn:
    """A row with what of it is in sight: blocks of spans, or signs of moments.

    Attributes:
        place: Where it lies.
        blocks: Its spans.
        signs: Its moments.
        covers_px: What remarks cover, from and to.
    """

    place: Place
    blocks: Blocks
    signs: tuple[Sign, ...] = ()
    covers_px: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Layout:
    """The strip as it is painted.

    Attributes:
        plan: Where the rows lie.
        scale: Where moments lie.
        drawn: The rows, in the order they are painted.
    """

    plan: Plan
    scale: Scale
    drawn: tuple[Drawn, ...]


_NOTHING: Final = Blocks([], [], [], [])


def laid_out(plan: Plan, scale: Scale, text_width: TextWidth) -> Layout:
    """Return what of a plan's rows is in sight."""
    drawn = [
        _signs_drawn(place, plan, scale, text_width)
        if place.look == "signs"
        else Drawn(place, blocks_of(place, scale, text_width))
        for place in plan.places
    ]
    if not plan.is_open:
        _clear_words_under_signs(drawn, text_width)
    return Layout(plan, scale, tuple(drawn))


def _clear_words_under_signs(drawn: Sequence[Drawn], text_width: TextWidth) -> None:
    """Take words away where a sign stands on them: in the closed strip both share the foot."""
    for row in drawn:
        beside = [sign for other in drawn if _share_height(row, other) for sign in other.signs]
        words = row.blocks.words
        for number, word in enumerate(words):
            if not word:
                continue
            left_px = row.blocks.lefts_px[number]
            room_px = text_width(word) + 2 * WORD_SPACE_PX
            if any(abs(s.x_px - left_px - room_px / 2) < room_px / 2 + s.width_px / 2
                   for s in beside):  # fmt: skip
                words[number] = ""


def _share_height(one: Drawn, other: Drawn) -> bool:
    return one.place.top_px == other.place.top_px


def blocks_of(place: Place, scale: Scale, text_width: TextWidth) -> Blocks:
    """Return the spans of a row that are in sight."""
    row = place.row
    seen = row.seen_in(scale.shown)
    if seen.start >= seen.stop:
        return _NOTHING
    right_px = scale.left_px + scale.width_px
    lefts = np.maximum(scale.xs_of(row.starts_us[seen]), scale.left_px)
    rights = np.minimum(scale.xs_of(row.ends_us[seen]), right_px)
    firsts = _first_of_each_pixel(lefts, rights)
    # A merged block ends where the last of those in it does.
    lasts = np.append(firsts[1:], len(lefts)) - 1
    lefts = lefts[firsts]
    rights = np.maximum(rights[lasts], lefts + 1)
    numbers = (firsts + seen.start).tolist()
    words = [""] * len(numbers)
    if place.has_words:
        for at in np.flatnonzero(rights - lefts >= _LEAST_WORD_PX).tolist():
            room_px = float(rights[at] - lefts[at]) - 2 * WORD_SPACE_PX
            words[at] = fitting(row.marks[numbers[at]].words, room_px, text_width)
    return Blocks(lefts.tolist(), rights.tolist(), numbers, words)


def _first_of_each_pixel(lefts: Floats, rights: Floats) -> Ints:
    """Return which spans begin a pixel; those that begin and end in the same one follow it."""
    columns = np.floor(lefts)
    hidden = np.zeros(len(lefts), dtype=bool)
    hidden[1:] = (columns[1:] == columns[:-1]) & (np.ceil(rights[1:]) - columns[1:] <= 1)
    return np.flatnonzero(~hidden)


def fitting(words: Sequence[str], room_px: float, text_width: TextWidth) -> str:
    """Return the first of some words that fits; empty where none does.

    Example:
        >>> fitting(("Capsulorhexis", "Tear"), 30.0, lambda text: 7.0 * len(text))
        'Tear'
    """
    return next((word for word in words if text_width(word) <= room_px), "")


def signs_of(
    marks: Sequence[StripMark], at_px: Sequence[float], sign_px: float
) -> list[tuple[float, float, list[StripMark]]]:
    """Return signs side by side: where each stands, where its moment is, and what it stands for.

    A sign that has no room moves right; where it would move too far, the one before it stands for
    its mark as well.
    """
    signs: list[tuple[float, float, list[StripMark]]] = []
    free_px = float("-inf")
    for mark, moment_px in zip(marks, at_px, strict=True):
        x_px = max(moment_px, free_px + sign_px / 2)
        if x_px - moment_px > _MOST_DRIFT * sign_px:
            signs[-1][2].append(mark)
            continue
        signs.append((x_px, moment_px, [mark]))
        free_px = x_px + sign_px / 2
    return signs


def _signs_drawn(place: Place, plan: Plan, scale: Scale, text_width: TextWidth) -> Drawn:
    row = place.row
    seen = row.seen_in(scale.shown)
    width_px = plan.sizes.sign_px
    at_px = scale.xs_of(row.starts_us[seen]).tolist()
    bare = signs_of(row.marks[seen], at_px, width_px)
    has_words = plan.is_open and row.lane == "events"
    signs = []
    for number, (x_px, moment_px, marks) in enumerate(bare):
        last = number + 1 == len(bare)
        next_px = scale.left_px + scale.width_px if last else bare[number + 1][0]
        room_px = next_px - x_px - width_px - 2 * WORD_SPACE_PX
        word = fitting(marks[0].words[-1:], room_px, text_width) if has_words else ""
        word = word if len(marks) == 1 else ""
        signs.append(Sign(x_px, moment_px, width_px, tuple(marks), word))
    return Drawn(place, _NOTHING, tuple(signs), _covers(place, scale))


def _covers(place: Place, scale: Scale) -> tuple[tuple[float, float], ...]:
    row = place.row
    there = (row.ends_us > row.starts_us) & (row.ends_us > scale.shown.start_us)
    there &= row.starts_us < scale.shown.end_us
    froms, tos = scale.xs_of(row.starts_us[there]), scale.xs_of(row.ends_us[there])
    return tuple(zip(froms.tolist(), tos.tolist(), strict=True))


def ruler(scale: Scale, text_width: TextWidth) -> tuple[tuple[float, str], ...]:
    """Return where times stand on the ruler, and which, as close as they are readable."""
    shown = scale.shown
    room_px = text_width(text_of(shown.end_us)) + 6 * WORD_SPACE_PX
    least_us = room_px * scale.us_per_px
    step_us = next((step for step in _RULER_STEPS_US if step >= least_us), _RULER_STEPS_US[-1])
    first = -(-shown.start_us // step_us)
    moments = range(first * step_us, shown.end_us, step_us)
    return tuple((scale.x_of(us), _ruler_text(us, step_us)) for us in moments)


def _ruler_text(us: int, step_us: int) -> str:
    text = text_of(us)
    return text if step_us < SECOND_US else text[:-4]


def frame_ticks(frames: FrameClock, scale: Scale) -> list[float]:
    """Return where frames start, if they are far enough apart to be told from each other."""
    shown = scale.shown
    n_frames = frames.count_in(shown.start_us, shown.end_us)
    if n_frames * _LEAST_FRAME_PX > scale.width_px:
        return []
    ticks: list[float] = scale.xs_of(frames.starts_in(shown.start_us, shown.end_us)).tolist()
    return ticks


def curve(numbers: Floats, end_us: int, scale: Scale) -> list[tuple[float, float]]:
    """Return a curve as points (x in pixels, height 0 to 1), one a pixel, the largest of each.

    Args:
        numbers: Evenly spaced over the recording; what is no number is shown as 0.
        end_us: The recording's end.
        scale: Where moments lie.
    """
    if not len(numbers) or end_us <= 0:
        return []
    top = float(np.nanmax(numbers, initial=0.0)) or 1.0
    columns = np.arange(int(scale.width_px) + 2)
    edges_us = scale.shown.start_us + columns * scale.us_per_px
    places = np.clip((edges_us / end_us * len(numbers)).astype(int), 0, len(numbers) - 1)
    highest = np.maximum.reduceat(np.nan_to_num(numbers), places)[:-1]
    xs = (scale.left_px + columns[:-1]).tolist()
    return list(zip(xs, (highest / top).tolist(), strict=True))
