"""What of the strip's rows is in sight, as blocks and signs in pixels; no widget is needed for it.

What falls into one pixel is merged, and words are given to what they fit into.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from aftercase.clock import MILLISECOND_US, SECOND_US, text_of
from aftercase.gui.strip.content import StripMark
from aftercase.gui.strip.places import Place, Plan
from aftercase.gui.strip.stretch import Floats, Ints, Pixels, Scale
from aftercase.media.frameclock import FrameClock

TextWidth = Callable[[str], float]
"""Gives the width of a text in pixels."""

WORD_SPACE_PX: Final = 4
OUT_OF_SIGHT_PX: Final = 20
"""Edges that are not shown lie so far beside the strip at most."""

_HATCHING_PX: Final = 24
"""So much of the hatching stays beside its word, or it could not be told what it is."""

_LEAST_WORD_PX: Final = 24
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
        lefts_px: Where they begin; of those that began before the strip, out of its sight.
        rights_px: Where they end, at least a pixel after they begin; likewise.
        numbers: Which mark of the row each is, or is the first of.
        words: What is written into those into which something fits, by position.
    """

    lefts_px: Ints
    rights_px: Ints
    numbers: Ints
    words: dict[int, str]

    def place_of(self, number: int) -> int | None:
        """Return the position of a mark; None where it is not in sight, or merged into another."""
        place = int(np.searchsorted(self.numbers, number))
        is_there = place < len(self.numbers) and self.numbers[place] == number
        return place if is_there else None


class Sign(NamedTuple):
    """A sign for a moment, or for several that stand too close together.

    Attributes:
        x_px: Where its middle is: at the moment, or as far beside it as it needs room.
        width_px: How wide it is.
        marks: What it stands for, by time.
        word: What is written beside it; empty where nothing fits.
    """

    x_px: float
    width_px: int
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


_NO_INTS: Final = np.empty(0, dtype=np.int64)
_NOTHING: Final = Blocks(_NO_INTS, _NO_INTS, _NO_INTS, {})


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
        for place, word in tuple(row.blocks.words.items()):
            left_px = float(row.blocks.lefts_px[place])
            room_px = text_width(word) + 2 * WORD_SPACE_PX
            if any(
                left_px < sign.x_px + sign.width_px / 2
                and sign.x_px - sign.width_px / 2 < left_px + room_px
                for sign in beside
            ):
                del row.blocks.words[place]


def _share_height(one: Drawn, other: Drawn) -> bool:
    return one.place.top_px == other.place.top_px


def blocks_of(place: Place, scale: Scale, text_width: TextWidth) -> Blocks:
    """Return the spans of a row that are in sight."""
    row = place.row
    seen = row.seen_in(scale.shown)
    if seen.start >= seen.stop:
        return _NOTHING
    lefts = scale.xs_of(row.starts_us[seen]).clip(min=scale.left_px - OUT_OF_SIGHT_PX)
    rights = scale.xs_of(row.ends_us[seen]).clip(max=scale.right_px + OUT_OF_SIGHT_PX)
    lefts, rights = np.floor(lefts), np.floor(rights)
    firsts = _first_of_each_pixel(lefts, rights)
    # A merged block ends where the last of those in it does.
    lasts = np.append(firsts[1:], len(lefts)) - 1
    lefts = lefts[firsts]
    rights = np.maximum(rights[lasts], lefts + 1)
    numbers = firsts + seen.start
    words: dict[int, str] = {}
    if place.has_words:
        kept_px = 0 if place.look == "block" else _HATCHING_PX
        rooms = np.minimum(rights, scale.right_px) - np.maximum(lefts, scale.left_px)
        for at in np.flatnonzero(rooms >= _LEAST_WORD_PX).tolist():
            room_px = float(rooms[at]) - 2 * WORD_SPACE_PX - kept_px
            if word := fitting(row.marks[numbers[at]].words, room_px, text_width):
                words[at] = word
    return Blocks(lefts.astype(np.int64), rights.astype(np.int64), numbers, words)


def _first_of_each_pixel(lefts: Floats, rights: Floats) -> Ints:
    """Return which spans begin a pixel; those that lie in the same one follow it."""
    is_hidden = np.zeros(len(lefts), dtype=bool)
    is_hidden[1:] = (lefts[1:] == lefts[:-1]) & (rights[1:] - lefts[1:] < 1)
    return np.flatnonzero(~is_hidden)


def block_line(
    lefts: Ints, rights: Ints, tones: Pixels, edge: np.uint32, width: int
) -> Pixels:  # fmt: skip
    """Return blocks side by side as one line of pixels, nothing between them.

    Args:
        lefts: Where they begin, in order, none before 0.
        rights: Where they end, in order, none after `width`; none before the next begins.
        tones: The colour of each.
        edge: The colour of their first pixel, and of the one after their last.
        width: How many pixels there are.

    Example:
        >>> tones, edge = np.array([7], np.uint32), np.uint32(9)
        >>> block_line(np.array([1]), np.array([4]), tones, edge, 6).tolist()
        [0, 9, 7, 7, 9, 0]
    """
    line = np.zeros(width + 1, dtype=np.uint32)
    lengths = rights - lefts
    before = np.cumsum(lengths) - lengths
    line[np.repeat(lefts - before, lengths) + np.arange(lengths.sum())] = np.repeat(tones, lengths)
    line[lefts] = line[rights] = edge
    return line[:width]


def fitting(words: Sequence[str], room_px: float, text_width: TextWidth) -> str:
    """Return the first of some words that fits; empty where none does.

    Example:
        >>> fitting(("Capsulorhexis", "Tear"), 30.0, lambda text: 7.0 * len(text))
        'Tear'
    """
    return next((word for word in words if text_width(word) <= room_px), "")


def signs_of(
    marks: Sequence[StripMark], at_px: Sequence[float], width_px: int
) -> list[Sign]:  # fmt: skip
    """Return signs side by side.

    A sign that has no room moves right; where it would move too far, the one before it stands for
    its mark as well.

    Args:
        marks: The moments, in order.
        at_px: Where they are.
        width_px: How wide a sign is.
    """
    signs: list[Sign] = []
    most_px = _MOST_DRIFT * width_px
    for mark, moment_px in zip(marks, at_px, strict=True):
        x_px = max(moment_px, signs[-1].x_px + width_px) if signs else moment_px
        if x_px - moment_px > most_px:
            signs[-1] = signs[-1]._replace(marks=(*signs[-1].marks, mark))
        else:
            signs.append(Sign(x_px, width_px, (mark,)))
    return signs


def _signs_drawn(place: Place, plan: Plan, scale: Scale, text_width: TextWidth) -> Drawn:
    row = place.row
    seen = row.seen_in(scale.shown)
    at_px = scale.xs_of(row.starts_us[seen]).tolist()
    signs = signs_of(row.marks[seen], at_px, plan.sizes.sign_px)
    if plan.is_open and row.lane == "events":
        signs = _worded(signs, scale.right_px, text_width)
    return Drawn(place, _NOTHING, tuple(signs), _covers(place, scale))


def _worded(signs: list[Sign], right_px: float, text_width: TextWidth) -> list[Sign]:
    """Return signs with words beside those that have room before the next."""
    if not signs:
        return signs
    ends_px = [sign.x_px - sign.width_px / 2 for sign in signs[1:]] + [right_px]
    worded = []
    for sign, end_px in zip(signs, ends_px, strict=True):
        room_px = end_px - sign.x_px - sign.width_px / 2 - 2 * WORD_SPACE_PX
        words = sign.marks[0].words[-1:] if len(sign.marks) == 1 else ()
        worded.append(sign._replace(word=fitting(words, room_px, text_width)))
    return worded


def _covers(place: Place, scale: Scale) -> tuple[tuple[float, float], ...]:
    shown = scale.shown
    return tuple(
        (scale.x_of(mark.start_us), scale.x_of(mark.end_us))
        for mark in place.row.covers
        if mark.start_us < shown.end_us and mark.end_us > shown.start_us
    )


def ruler(
    scale: Scale, text_width: TextWidth, taken_px: Sequence[tuple[float, float]] = ()
) -> tuple[tuple[float, str], ...]:
    """Return where times stand on the ruler, and which, as close as they are readable.

    Args:
        scale: Where moments lie.
        text_width: How wide a text is.
        taken_px: What else stands on the ruler, from and to; there is no text there.
    """
    shown = scale.shown
    widest_px = text_width(text_of(shown.end_us)) + 2 * WORD_SPACE_PX
    least_us = (widest_px + 4 * WORD_SPACE_PX) * scale.us_per_px
    step_us = next((step for step in _RULER_STEPS_US if step >= least_us), _RULER_STEPS_US[-1])
    first = -(-shown.start_us // step_us)
    times = []
    for us in range(first * step_us, shown.end_us, step_us):
        x_px = scale.x_of(us)
        end_px = x_px + widest_px
        is_free = end_px <= scale.right_px and not any(
            x_px < right_px and left_px < end_px for left_px, right_px in taken_px
        )
        times.append((x_px, _ruler_text(us, step_us) if is_free else ""))
    return tuple(times)


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
