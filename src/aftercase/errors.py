"""The faults of the world and of the user, each with what to do next.

Our own faults stay ``ValueError`` or ``AssertionError`` and surface as such.
Every ``slug`` has a section in ``docs/reference/errors.md``.
"""

from __future__ import annotations

from os import PathLike, fspath


class AftercaseError(Exception):
    """Something outside the program is not as it must be.

    Args:
        message: What happened, as one sentence.
        hint: What to do next, as one sentence; empty when there is nothing to do.
        path: The file or folder it happened to, if any.

    Example:
        >>> print(RecordingMissing("The film is not there.", hint="Plug it in.", path="a.mp4"))
        The film is not there.
          file: a.mp4
          what to do: Plug it in.
    """

    slug = "fault"

    def __init__(
        self, message: str, *, hint: str = "", path: str | PathLike[str] | None = None
    ) -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
        self.path = None if path is None else fspath(path)

    def __str__(self) -> str:
        lines = [self.message]
        if self.path is not None:
            lines.append(f"  file: {self.path}")
        if self.hint:
            lines.append(f"  what to do: {self.hint}")
        return "\n".join(lines)


class RecordingMissing(AftercaseError):
    """A film is not where it was."""

    slug = "recording-missing"


class RecordingRefused(AftercaseError):
    """A file is not of a kind that is opened."""

    slug = "recording-refused"


class RecordingUnreadable(AftercaseError):
    """A film is of a known kind but cannot be read."""

    slug = "recording-unreadable"


class RecordingChanged(AftercaseError):
    """A film is not the one the case was made from."""

    slug = "recording-changed"


class IntakeStopped(AftercaseError):
    """Not every film of a card could be copied; those that were are whole."""

    slug = "intake-stopped"


class TimeUnreadable(AftercaseError):
    """A text is not a time."""

    slug = "time-unreadable"


class TimeOutside(AftercaseError):
    """A time lies outside the recording or the case's window."""

    slug = "time-outside"


class DocumentMissing(AftercaseError):
    """A case, review or guide file is not there."""

    slug = "document-missing"


class DocumentBroken(AftercaseError):
    """A case, review or guide file breaks its rules."""

    slug = "document-broken"


class DocumentTooNew(AftercaseError):
    """A file was written by a newer program whose format this one cannot read."""

    slug = "document-too-new"


class DocumentChanged(AftercaseError):
    """A file changed on disk since it was read."""

    slug = "document-changed"


class ReviewClosed(AftercaseError):
    """A sealed or released review cannot be written again."""

    slug = "review-closed"


class EditRefused(AftercaseError):
    """An edit would break a rule of the review or of the case."""

    slug = "edit-refused"


class TableBroken(AftercaseError):
    """A table that was handed in cannot be taken in."""

    slug = "table-broken"


class NameUnknown(AftercaseError):
    """A step, instrument, guide, measure or person of that name does not exist."""

    slug = "name-unknown"


class ReadFailed(AftercaseError):
    """A file is there but cannot be read."""

    slug = "read-failed"


class WriteFailed(AftercaseError):
    """A file could not be written; what was there before is whole."""

    slug = "write-failed"


class AlreadyThere(AftercaseError):
    """A file or folder exists and is not written over."""

    slug = "already-there"


class WindowMissing(AftercaseError):
    """The window cannot be shown on this computer."""

    slug = "window-missing"


class WorkStopped(AftercaseError):
    """A task in a process of its own ended before its end."""

    slug = "work-stopped"
