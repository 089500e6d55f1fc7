"""Look at recordings: what they are, and the picture shown at a time."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from aftercase import storage
from aftercase.errors import AftercaseError
from aftercase.media.facts import RecordingFacts, facts_of_part
from aftercase.media.picture import FrameTimes
from aftercase.media.recording import open_recording
from aftercase.media.stills import jpeg_bytes, png_bytes
from aftercase.media.watch import UNWATCHED, Watch


@dataclass(frozen=True)
class PictureSaved:
    """The picture that was shown at a time.

    Attributes:
        times: Its part and its exact start and end on the recording's clock.
        saved: Where it was saved; None where it was only looked up.
        damaged: Whether the frame has its place but could not be decoded.
    """

    times: FrameTimes
    saved: Path | None
    damaged: bool


def describe_films(films: tuple[Path, ...], *, watch: Watch = UNWATCHED) -> list[RecordingFacts]:
    """Return what each part of a recording is, in order, on one clock.

    Raises:
        RecordingMissing, RecordingRefused, RecordingUnreadable: A film cannot be opened.
        WorkCancelled: As asked by `watch`.
    """
    with open_recording(films, watch=watch) as recording:
        return [facts_of_part(recording, part) for part in range(len(films))]


def picture_at(
    films: tuple[Path, ...], us: int, save: Path | None, *, watch: Watch = UNWATCHED
) -> PictureSaved:
    """Find the picture shown at a time of a recording's clock and save it as PNG or JPEG.

    Raises:
        TimeOutside: The recording shows nothing then.
        RecordingMissing, RecordingRefused, RecordingUnreadable: A film cannot be opened.
        AftercaseError: The name's ending is of no picture format.
        WriteFailed: The disk is full, read-only or gone.
    """
    forms = {".png": png_bytes, ".jpg": jpeg_bytes, ".jpeg": jpeg_bytes}
    if save is not None and save.suffix.lower() not in forms:
        raise AftercaseError(
            "A picture is saved as PNG or JPEG.", hint="Give a name ending in .png.", path=save
        )
    with open_recording(films, watch=watch) as recording:
        if save is None:
            return PictureSaved(recording.frame_at(us), None, damaged=False)
        picture = recording.picture_at(us)
    storage.write_atomic(save, forms[save.suffix.lower()](picture.pixels))
    return PictureSaved(picture.times, save, picture.damaged)
