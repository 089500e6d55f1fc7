"""What a case looks like on the start page: a small still from inside it, once a person looked.

Before somebody has checked that no patient's identity is in the film, nothing of it is shown.
"""

from __future__ import annotations

import hashlib
from contextlib import suppress
from pathlib import Path
from typing import Final

from aftercase import storage
from aftercase.document.codec import encoded
from aftercase.errors import ReadFailed, RecordingMissing, WriteFailed
from aftercase.media.overlay import hidden_in
from aftercase.media.picture import Picture
from aftercase.media.recording import Recording
from aftercase.media.stills import jpeg_bytes
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.case import Case, Window, window_of
from aftercase.session.caches import cache_folder
from aftercase.session.films import open_films
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places

SIDE_PX: Final = 320

_PREFIX: Final = "start-"
_SHARES: Final = ((1, 2), (1, 3), (2, 3), (1, 4), (3, 4))
"""How far into the case a picture is looked for, where the one before is not there or damaged."""


def still_for_start(opened: OpenedCase, at: Places) -> bytes | None:
    """Return a case's still as a JPEG file, if it was made and still holds; nothing is decoded.

    None until somebody has checked the film for a patient's identity, and again when masks or the
    case's stretch of the film have changed since.
    """
    if opened.case.identity_checked_by is None:
        return None
    with suppress(ReadFailed):
        return storage.read_bytes(_file(opened, at))
    return None


def make_still_for_start(path: Path, at: Places, *, watch: Watch = UNWATCHED) -> bytes | None:
    """Make a case's still unless there is one, keep it in the case's cache, and return it.

    Args:
        path: The case folder.
        at: The program's folders.
        watch: Told of bytes read where the film's frame table is made; may stop the work.

    Returns:
        A JPEG file; None where the identity check has not been done, or no picture can be had.

    Raises:
        DocumentMissing, DocumentBroken, DocumentTooNew: The case cannot be read.
        RecordingChanged, RecordingRefused, RecordingUnreadable: Its film cannot be used.
        WorkCancelled: As asked by `watch`.
    """
    opened = open_case(path, at)
    known = still_for_start(opened, at)
    if known is not None or opened.case.identity_checked_by is None or not opened.case.parts:
        return known
    with open_films(opened, at, watch=watch) as recording:
        picture = _picture_inside(recording, shown_stretch(opened.case))
    if picture is None:
        return None
    times = picture.times
    hidden = hidden_in(opened.case.masks, times.start_us, times.end_us)
    still = jpeg_bytes(picture.pixels, hidden)
    with suppress(WriteFailed):  # it is made again the next time
        _keep(still, _file(opened, at))
    return still


def shown_stretch(case: Case) -> Window:
    """Return the stretch of the clock of which anything is shown: the window, less what is trimmed.

    Example:
        A case without window or trim is shown whole.
    """
    window = window_of(case)
    if case.trim is None:
        return window
    start_us = max(window.start_us, case.trim.start_us)
    return Window(start_us=start_us, end_us=max(start_us, min(window.end_us, case.trim.end_us)))


def _picture_inside(recording: Recording, stretch: Window) -> Picture | None:
    length_us = stretch.end_us - stretch.start_us
    for share, of in _SHARES:
        with suppress(RecordingMissing):  # a part that is not at hand
            picture = recording.picture_at(
                stretch.start_us + length_us * share // of, max_side_px=SIDE_PX
            )
            times = picture.times
            is_inside = stretch.start_us <= times.start_us and times.end_us <= stretch.end_us
            if is_inside and not picture.damaged:
                return picture
    return None


def _keep(still: bytes, path: Path) -> None:
    storage.write_atomic(path, still)
    storage.remove_files([old for old in path.parent.glob(f"{_PREFIX}*.jpg") if old != path])


def _file(opened: OpenedCase, at: Places) -> Path:
    """Return where a still is kept; its name changes with whatever decides what is on it."""
    case = opened.case
    shown = [encoded(record) for record in (shown_stretch(case), *case.masks)]
    films = [part.quick_hash.encode() for part in case.parts]
    name = hashlib.sha256(b"\n".join([*films, *shown])).hexdigest()[:16]
    return cache_folder(opened.folder.path, case.id, at) / f"{_PREFIX}{name}.jpg"
