"""What is asked of a film, and what must hold of the answers whatever the film is like."""

from __future__ import annotations

from pathlib import Path
from random import Random

import numpy as np

from aftercase.errors import AftercaseError
from aftercase.media.picture import Picture
from aftercase.media.recording import Recording, open_recording
from aftercase.media.source import (
    Failed,
    Opened,
    OpenRecording,
    PictureAt,
    PicturesIn,
    Shown,
    Source,
)

N_RANDOM = 10


def looked_at(path: Path, seed: int) -> str:
    """Open a film, list its frames, ask for ten chance pictures, then for all; say what came.

    Returns:
        `fine`, `damage shown` where grey pictures stand for some, or `told` with the error's slug.

    Raises:
        AssertionError: An answer breaks what is promised.
    """
    try:
        recording = open_recording([path])
    except AftercaseError as error:
        assert_tells(error, path)
        return f"told: {error.slug}"
    with recording:
        n_damaged = _all_asked(recording, Random(seed))
    return "damage shown" if n_damaged else "fine"


def answered(source: Source, path: Path, seed: int) -> str:
    """Ask a reader for the same by messages; say what came, as `looked_at` does.

    Pictures that cost the reader its life count as damage.
    """
    opened = next(source.answers(OpenRecording(0, (str(path),))))
    if isinstance(opened, Failed):
        return f"told: {opened.slug}"
    assert isinstance(opened, Opened)
    chance = Random(seed)
    asked = [0, opened.end_us - 1, *(chance.randrange(opened.end_us) for _ in range(N_RANDOM))]
    requests = [PictureAt(1, us) for us in asked] + [PicturesIn(1, 0, opened.end_us)]
    answers = [answer for request in requests for answer in source.answers(request)]
    is_hurt = any(
        isinstance(answer, Failed) or (isinstance(answer, Shown) and answer.picture.damaged)
        for answer in answers
    )
    return "damage shown" if is_hurt else "fine"


def _all_asked(recording: Recording, chance: Random) -> int:
    starts_us = recording.starts_us()
    assert starts_us[0] == recording.start_us == 0
    assert (np.diff(starts_us) > 0).all()
    assert starts_us[-1] < recording.end_us
    asked = [0, recording.end_us - 1]
    asked += [chance.randrange(recording.end_us) for _ in range(N_RANDOM)]
    for us in asked:
        assert_right(recording, us, recording.picture_at(us))
    n_damaged = 0
    for start_us, picture in zip(
        starts_us.tolist(), recording.pictures_in(0, recording.end_us), strict=True
    ):
        assert_right(recording, start_us, picture)
        n_damaged += picture.damaged
    return n_damaged


def assert_tells(error: AftercaseError, path: Path) -> None:
    """Assert that a fault says what happened, to which file and what to do."""
    assert error.message
    assert error.hint
    assert error.path == str(path)


def assert_right(recording: Recording, us: int, picture: Picture) -> None:
    """Assert that a picture is the frame's of a moment and whole."""
    assert picture.times == recording.frame_at(us)
    assert picture.times.start_us <= us < picture.times.end_us
    pixels = picture.pixels
    assert pixels.width_px > 0
    assert pixels.height_px > 0
    assert pixels.pixel_aspect > 0
    assert pixels.stride_bytes >= 3 * pixels.width_px
    assert len(pixels.rgb) == pixels.stride_bytes * pixels.height_px
