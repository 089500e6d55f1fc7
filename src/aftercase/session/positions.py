"""Where each person was in each case, so that it opens there again."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeGuard

from aftercase import storage
from aftercase.errors import ReadFailed
from aftercase.session.filesaver import FileSaver
from aftercase.session.jsonfiles import bytes_of, object_in
from aftercase.session.places import Places

if TYPE_CHECKING:
    from aftercase.session.desk import Desk
    from aftercase.session.stage import Room


@dataclass(frozen=True)
class Place:
    """Where somebody was in a case.

    Attributes:
        at_us: Start of the frame that was shown.
        strip_us: Stretch of the clock that the strip showed, ``[start, end)``.
        selection: Ids of the selected records.
        room: The room; the review room where it was none of a case.
        rate: Speed of playing.
    """

    at_us: int
    strip_us: tuple[int, int]
    selection: tuple[str, ...] = ()
    room: Literal["review", "replay"] = "review"
    rate: float = 1.0


@dataclass(frozen=True)
class Spot:
    """What a case is opened at, whatever place was kept.

    Attributes:
        record_id: Id of a record of the reviewer's own review.
        at_us: Where it was; used where the record is gone.
    """

    record_id: str
    at_us: int


class PlaceKeeper:
    """Writes places down in the background; for use by one thread.

    Args:
        at: The program's folders.
    """

    def __init__(self, at: Places) -> None:
        self._at = at
        self._files = FileSaver()

    def keep(self, desk: Desk, room: Room, rate: float = 1.0) -> None:
        """Keep where the reviewer of the case on the desk is now; returns at once."""
        place = Place(
            desk.at_us,
            desk.strip_us,
            desk.selection,
            "replay" if room == "replay" else "review",
            rate,
        )
        path = _file(self._at, desk.case.id, desk.review.reviewer)
        self._files.put(path, bytes_of(asdict(place)))

    def close(self) -> None:
        """Write what is still waiting, and end the thread; a place that is lost is no fault."""
        self._files.close()


def kept_place(at: Places, desk: Desk) -> Place | None:
    """Return where the reviewer of the case on the desk was; None where nothing usable is kept.

    A moment outside the case as it is now is nothing usable; a stretch that is becomes the whole.
    """
    with suppress(ReadFailed):
        content = storage.read_bytes(_file(at, desk.case.id, desk.review.reviewer))
        return _place_in(object_in(content), desk.bounds_us)
    return None


def place_at(desk: Desk, spot: Spot, kept: Place | None) -> Place:
    """Return the place of a spot: its record selected, in the review room.

    Args:
        desk: The case on the desk.
        spot: What it is opened at.
        kept: Where the reviewer was before; its stretch is kept where the spot lies in it.
    """
    record = desk.record(spot.record_id)
    start_us, end_us = desk.bounds_us
    wanted_us = getattr(record, "at_us", spot.at_us)
    at_us = min(max(wanted_us, start_us), end_us - 1)
    stretch_us = kept.strip_us if kept is not None else desk.bounds_us
    is_in_it = stretch_us[0] <= at_us < stretch_us[1]
    return Place(
        at_us,
        stretch_us if is_in_it else desk.bounds_us,
        () if record is None else (spot.record_id,),
        rate=kept.rate if kept is not None else 1.0,
    )


def _place_in(found: dict[str, Any], bounds_us: tuple[int, int]) -> Place | None:
    start_us, end_us = bounds_us
    at_us, strip_us, rate = found.get("at_us"), found.get("strip_us"), found.get("rate")
    if not _is_moment(at_us) or not start_us <= at_us < end_us:
        return None
    selection = found.get("selection")
    chosen = selection if isinstance(selection, list) else []
    return Place(
        at_us,
        _stretch_in(strip_us, bounds_us),
        tuple(record_id for record_id in chosen if isinstance(record_id, str)),
        "replay" if found.get("room") == "replay" else "review",
        rate if isinstance(rate, float) and 0 < abs(rate) <= 4 else 1.0,
    )


def _stretch_in(found: Any, bounds_us: tuple[int, int]) -> tuple[int, int]:
    if not isinstance(found, list) or len(found) != 2 or not all(map(_is_moment, found)):
        return bounds_us
    start_us, end_us = found
    return (start_us, end_us) if bounds_us[0] <= start_us < end_us <= bounds_us[1] else bounds_us


def _is_moment(value: object) -> TypeGuard[int]:
    return isinstance(value, int) and not isinstance(value, bool)


def _file(at: Places, case_id: str, reviewer: str) -> Path:
    return at.state / "positions" / case_id / f"{reviewer}.json"
