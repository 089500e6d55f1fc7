"""Films dropped on the window: looked at, shown at their ends, made into a case.

These tasks run in a process of their own: what they are given and what they come to is plain.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from aftercase.media.joints import joints_of
from aftercase.media.picture import Picture
from aftercase.media.recording import Recording, open_recording
from aftercase.media.seen import see_film
from aftercase.media.stills import jpeg_bytes
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.base import id_source
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.demo import make_demo
from aftercase.session.tasks.parts import Gathered, PartsSeen, gather_films, look_over

_SHOWN_SIDE_PX: Final = 480


@dataclass(frozen=True)
class FilmEnds:
    """The two pictures a person compares at joints, as JPEG files; empty for a damaged one."""

    first: bytes
    last: bytes


def look_at_dropped(places: Sequence[Path], at: Places, *, watch: Watch = UNWATCHED) -> PartsSeen:
    """Look at files and folders that were dropped together, and put their films in order.

    Nobody means an order by the order in which files are dropped. Both ends of each film are
    looked at, also of a single one: another may follow.

    Raises:
        RecordingMissing: A place is not there, or a folder holds no film.
        WorkCancelled: As asked by `watch`.
    """
    gathered = Gathered(gather_films(places).files, by_hand=False)
    seen = look_over(gathered, cache=at.cache, watch=watch)
    if len(seen.films) != 1:
        return seen
    (file,) = seen.files
    film = see_film(file.path, file.name, cache=at.cache, watch=watch)
    return PartsSeen(
        seen.files, (film,), seen.by, joints_of([film]), seen.left_out, seen.unreadable
    )


def pictures_at_ends(
    films: Sequence[Path], at: Places, *, watch: Watch = UNWATCHED
) -> tuple[FilmEnds, ...]:
    """Return the first and last picture of each film, small.

    Raises:
        RecordingMissing, RecordingRefused, RecordingUnreadable: A film cannot be opened.
        WorkCancelled: As asked by `watch`.
    """
    ends = []
    quiet = Watch(cancelled=watch.cancelled)
    for place, film in enumerate(films):
        watch.step(place, len(films))
        with open_recording([film], cache=at.cache, watch=quiet) as recording:
            first, last = recording.first_frame().start_us, recording.last_frame().start_us
            ends.append(FilmEnds(_shown(recording, first), _shown(recording, last)))
    return tuple(ends)


def make_case(path: Path, wanted: Wanted, at: Places, *, watch: Watch = UNWATCHED) -> Path:
    """Make a case, with ids of its own, and return its folder; see `create.new_case`."""
    return new_case(path, wanted, at, id_source(), watch=watch).folder.path


def make_example(folder: Path, at: Places, *, watch: Watch = UNWATCHED) -> Path:
    """Make the example, with ids of its own, and return its case's folder; see `demo.make_demo`."""
    return make_demo(folder, at, id_source(), watch=watch).case


def _shown(recording: Recording, us: int) -> bytes:
    picture: Picture = recording.picture_at(us, max_side_px=_SHOWN_SIDE_PX)
    return b"" if picture.damaged else jpeg_bytes(picture.pixels)
