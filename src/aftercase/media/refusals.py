"""What is said of a file that is not opened: its bytes are looked at once more for the reason."""

from __future__ import annotations

import os
from typing import BinaryIO

from aftercase.errors import RecordingRefused, RecordingUnreadable
from aftercase.media.diagnosis import (
    Diagnosis,
    ReadAt,
    coding_tag,
    diagnosis,
    protection,
    unknown_coding,
)
from aftercase.media.kinds import begins_like_a_film

_HEAD_BYTES = 256


def refuse_protected(path: str) -> None:
    """Refuse a film that opens but is encrypted; about 64 KiB of it are read.

    Raises:
        RecordingUnreadable: It is.
    """
    try:
        with open(path, "rb") as file:
            said = protection(_reading(file), os.path.getsize(path))
    except OSError as error:
        raise unreadable(path) from error
    if said is not None:
        raise _error(said, path)


def why_not_opened(path: str) -> RecordingRefused | RecordingUnreadable:
    """Return the error for a file that the decoding library cannot open."""
    try:
        with open(path, "rb") as file:
            read_at = _reading(file)
            said = diagnosis(read_at, os.path.getsize(path))
            head = read_at(0, _HEAD_BYTES)
    except OSError:
        return unreadable(path)
    if said is not None:
        return _error(said, path)
    return unreadable(path) if begins_like_a_film(head) else refused(path)


def why_not_shown(path: str, *, coding_unknown: bool) -> RecordingUnreadable:
    """Return the error for a film without a stream of pictures that can be decoded."""
    if not coding_unknown:
        return RecordingUnreadable(
            "The file holds no moving picture.",
            hint="Give the file that the recorder's picture is in.",
            path=path,
        )
    try:
        with open(path, "rb") as file:
            tag = coding_tag(_reading(file), os.path.getsize(path))
    except OSError:
        tag = ""
    said = unknown_coding(tag)
    return RecordingUnreadable(said.message, hint=said.hint, path=path)


def refused(path: str) -> RecordingRefused:
    """Return the error for a file that is of no kind that is opened."""
    return RecordingRefused(
        "The file is not a film of a kind that is opened.",
        hint="Give the recorder's own film file; lists, playlists and picture series are refused.",
        path=path,
    )


def unreadable(path: str) -> RecordingUnreadable:
    """Return the error for a broken film of which no more is known."""
    return RecordingUnreadable(
        "The film cannot be read; perhaps the recorder did not finish it.",
        hint="Copy it again from the recorder, or use the recorder's own repair.",
        path=path,
    )


def _error(said: Diagnosis, path: str) -> RecordingRefused | RecordingUnreadable:
    kind = RecordingRefused if said.refused else RecordingUnreadable
    return kind(said.message, hint=said.hint, path=path)


def _reading(file: BinaryIO) -> ReadAt:
    def read_at(start: int, length: int) -> bytes:
        file.seek(start)
        return file.read(length)

    return read_at
