"""Where marks go when the parts of a recording are put in another order, or one is added.

Every mark moves by its frame. A span that lay over a joint may come apart; that is refused, with
its place, and never guessed.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final, TypeVar

from aftercase.clock import index_at, text_of
from aftercase.edit.records import Retiming, retimed_review
from aftercase.errors import EditRefused, TimeOutside
from aftercase.model.case import Case, Part
from aftercase.model.picture import PicturePoint
from aftercase.model.review import Review

_OVER_TIME: Final = ("technique", "seat", "turn_deg", "mirrored", "zoom", "machine")
Since = TypeVar("Since", bound=Any)


@dataclass(frozen=True)
class PartOrder:
    """Parts before and after.

    Attributes:
        before: The parts as they stood, in order.
        after: The parts as they are to stand, their times set anew; those of `before` among them.
        starts_us: For each part of `before` the starts of its frames on the old clock.
    """

    before: tuple[Part, ...]
    after: tuple[Part, ...]
    starts_us: tuple[Sequence[int], ...]


def placed(parts: Sequence[Part]) -> tuple[Part, ...]:
    """Return parts with the times they have when they play in this order.

    Example:
        >>> placed([])
        ()
    """
    result: list[Part] = []
    for part in parts:
        start_us = result[-1].end_us if result else 0
        end_us = start_us + part.end_us - part.start_us
        result.append(part.changed(start_us=start_us, end_us=end_us))
    return tuple(result)


def reordered_review(review: Review, order: PartOrder) -> Review:
    """Move every mark of a draft by its frame.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: A span would come apart.
        TimeOutside: A mark lies outside the recording.
    """
    retiming = Retiming(
        lambda us: moved_moment(us, order),
        lambda start_us, end_us: moved_span(start_us, end_us, order),
        lambda place: _moved_place(place, order),
        lambda start_us, end_us, at_us: moved_around(start_us, end_us, at_us, order),
    )
    return retimed_review(review, retiming)


def reordered_case(case: Case, order: PartOrder) -> Case:
    """Put the parts of a case in another order, and move what its header says by the frame.

    Where a part is added, nobody has looked for an identity on all of the film any more.

    Raises:
        EditRefused: A stretch would come apart, or a value that held from some moment on had
            none before it and would have to end.
        TimeOutside: A moment lies outside the recording.
    """
    spans = {
        name: window.changed(start_us=start_us, end_us=end_us)
        for name in ("window", "trim")
        if (window := getattr(case, name)) is not None
        for start_us, end_us in [moved_span(window.start_us, window.end_us, order)]
    }
    masks = []
    for mask in case.masks:
        start_us, end_us = moved_span(mask.start_us, mask.end_us, order)
        masks.append(mask.changed(start_us=start_us, end_us=end_us))
    is_longer = len(order.after) > len(order.before)
    return case.changed(
        parts=order.after,
        identity_checked_by=None if is_longer else case.identity_checked_by,
        masks=tuple(masks),
        machine_readings=tuple(
            reading
            if reading.at_us is None
            else reading.changed(at_us=moved_moment(reading.at_us, order))
            for reading in case.machine_readings
        ),
        limbus_centre=tuple(_moved_place(place, order) for place in case.limbus_centre),
        **spans,
        **{name: _moved_since(getattr(case, name), order) for name in _OVER_TIME},
    )


def moved_moment(us: int, order: PartOrder) -> int:
    """Return the new start of the frame shown at a moment; of the last frame at the end.

    Raises:
        TimeOutside: No frame is shown then.
    """
    place = _place_of(us, order)
    starts_us = order.starts_us[place]
    return starts_us[index_at(starts_us, us)] + _shift_us(place, order)


def moved_span(start_us: int, end_us: int, order: PartOrder) -> tuple[int, int]:
    """Return the new start and end of a span, which must be one stretch again.

    Raises:
        EditRefused: It would come apart.
        TimeOutside: It reaches out of the recording.
    """
    pieces = _moved_pieces(start_us, end_us, order)
    if any(one[1] != other[0] for one, other in pairwise(pieces)):
        raise EditRefused(
            f"The stretch from {text_of(start_us)} to {text_of(end_us)} lies over a joint and "
            "would come apart.",
            hint="Split it at the joint first.",
        )
    return pieces[0][0], pieces[-1][1]


def moved_around(start_us: int, end_us: int, at_us: int, order: PartOrder) -> tuple[int, int]:
    """Return the new start and end of what is still one stretch of a span around a moment.

    Raises:
        TimeOutside: It reaches out of the recording.
    """
    moment_us = moved_moment(at_us, order)
    pieces = _moved_pieces(start_us, end_us, order)
    kept = next(i for i, (first, last) in enumerate(pieces) if first <= moment_us < last)
    first = last = kept
    while first > 0 and pieces[first - 1][1] == pieces[first][0]:
        first -= 1
    while last + 1 < len(pieces) and pieces[last][1] == pieces[last + 1][0]:
        last += 1
    return pieces[first][0], pieces[last][1]


def _moved_pieces(start_us: int, end_us: int, order: PartOrder) -> list[tuple[int, int]]:
    """Return the new start and end of a span's piece in each part, by their new start."""
    first, last = _place_of(start_us, order), _place_of(end_us - 1, order)
    return sorted(
        (
            moved_moment(max(start_us, part.start_us), order),
            _moved_end(min(end_us, part.end_us), place, order),
        )
        for place, part in enumerate(order.before)
        if first <= place <= last
    )


def _moved_end(end_us: int, place: int, order: PartOrder) -> int:
    """Return the new place of a span's end that lies in a part, or at its end."""
    starts_us = order.starts_us[place]
    if end_us == order.before[place].end_us:
        return end_us + _shift_us(place, order)
    row = bisect_right(starts_us, end_us) - 1
    return starts_us[row] + _shift_us(place, order)


def _place_of(us: int, order: PartOrder) -> int:
    """Return the old position of the part shown at a moment; the last one's at the end."""
    end_us = order.before[-1].end_us if order.before else 0
    if not 0 <= us <= end_us:
        raise TimeOutside(f"No frame is shown at {text_of(us)}.")
    places = (place for place, part in enumerate(order.before) if us < part.end_us)
    return next(places, len(order.before) - 1)


def _shift_us(place: int, order: PartOrder) -> int:
    before = order.before[place]
    after = next(part for part in order.after if part.id == before.id)
    return after.start_us - before.start_us


def _moved_place(point: PicturePoint, order: PartOrder) -> PicturePoint:
    part_id = order.before[_place_of(point.at_us, order)].id
    part = next(place for place, part in enumerate(order.after) if part.id == part_id)
    return point.changed(part=part, at_us=moved_moment(point.at_us, order))


def _moved_since(entries: tuple[Since, ...], order: PartOrder) -> tuple[Since, ...]:
    """Return values that hold from a moment on so that every frame keeps the value it had."""
    held: list[Since] = []
    olds = {part.id: part for part in order.before}
    for after in order.after:
        old = olds.get(after.id)
        if old is None:  # an added part goes on with what holds before it
            continue
        earlier = [entry for entry in entries if entry.from_us <= old.start_us]
        if earlier:
            held.append(max(earlier, key=_from_us).changed(from_us=after.start_us))
        elif held:
            raise EditRefused(
                f"A value that holds from {text_of(held[-1].from_us)} on would have to end.",
                hint="Say in the header what holds from the start.",
            )
        held += [
            entry.changed(from_us=moved_moment(entry.from_us, order))
            for entry in sorted(entries, key=_from_us)
            if old.start_us < entry.from_us < old.end_us
        ]
    pairs = zip([None, *held], held, strict=False)
    return tuple(entry for before, entry in pairs if before is None or before.value != entry.value)


def _from_us(entry: Any) -> int:
    us: int = entry.from_us
    return us
