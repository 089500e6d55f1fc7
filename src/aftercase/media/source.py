"""What may be asked of a reader of recordings and what it answers: plain messages only.

Every message is a frozen record of numbers, texts and bytes, so that a reader can live in a
process of its own. Requests carry an id of the asker's choosing; answers repeat it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

from aftercase.errors import AftercaseError
from aftercase.media.parts import Difference, PartFacts
from aftercase.media.picture import Picture


@dataclass(frozen=True, slots=True)
class OpenRecording:
    """Open files as one recording, instead of the one open before; see `open_recording`.

    `cache` is the folder of frame tables and scrub copies; None for none.
    """

    request_id: int
    paths: tuple[str, ...]
    stored: tuple[PartFacts, ...] = ()
    cache: str | None = None


@dataclass(frozen=True, slots=True)
class PictureAt:
    """Send the picture shown at a moment, shrunk to `max_side_px` if that is given.

    With `copy_will_do` it is the scrub copy's where there is one. With `near_will_do` it is
    whatever comes soonest: the frame itself where it is at hand, the scrub copy's if that will
    do, the nearest key picture. The picture says which it is.
    """

    request_id: int
    us: int
    max_side_px: int | None = None
    copy_will_do: bool = False
    near_will_do: bool = False


@dataclass(frozen=True, slots=True)
class PicturesIn:
    """Send the pictures shown at some moment of `[start_us, end_us)`, in order; as `PictureAt`.

    Of `every` frames one is sent, the first of them.
    """

    request_id: int
    start_us: int
    end_us: int
    max_side_px: int | None = None
    copy_will_do: bool = False
    every: int = 1


@dataclass(frozen=True, slots=True)
class Prepare:
    """Decode the frames around a moment ahead of need; answered by how many are there then."""

    request_id: int
    us: int
    n_behind: int
    n_ahead: int
    max_side_px: int | None = None


@dataclass(frozen=True, slots=True)
class Cancel:
    """Stop answering a request; it is stopped between two frames, be they asked for or not."""

    request_id: int


PictureRequest = PictureAt | PicturesIn | Prepare

Request = OpenRecording | PictureRequest | Cancel


@dataclass(frozen=True, slots=True)
class Opened:
    """The recording is open; last answer to `OpenRecording`.

    `starts` are the starts of each part's frames in microseconds, 64 bits each in the computer's
    byte order; empty for a part whose file is missing.
    """

    request_id: int
    parts: tuple[PartFacts, ...]
    differences: tuple[Difference, ...]
    end_us: int
    starts: tuple[bytes, ...] = ()


@dataclass(frozen=True, slots=True)
class Shown:
    """A picture; the only answer to `PictureAt`, one of several to `PicturesIn`."""

    request_id: int
    picture: Picture


@dataclass(frozen=True, slots=True)
class Finished:
    """All pictures of `PicturesIn` were sent, or those of `Prepare` are at hand."""

    request_id: int
    n_pictures: int


@dataclass(frozen=True, slots=True)
class Cancelled:
    """The request was stopped as asked; nothing more is answered to it."""

    request_id: int


@dataclass(frozen=True, slots=True)
class Failed:
    """The request cannot be met; the fields are those of `AftercaseError`."""

    request_id: int
    slug: str
    message: str
    hint: str
    path: str | None


Response = Opened | Shown | Finished | Cancelled | Failed


def fault_of(failed: Failed) -> AftercaseError:
    """Return what a `Failed` tells, as the error it was made from."""
    kinds = {kind.slug: kind for kind in AftercaseError.__subclasses__()}
    kind = kinds.get(failed.slug, AftercaseError)
    return kind(failed.message, hint=failed.hint, path=failed.path)


class Source(Protocol):
    """A reader of recordings."""

    def answers(self, request: Request) -> Iterator[Response]:
        """Yield the answers to a request, made one at a time as they are taken.

        A `Cancel` yields nothing itself: the request it names ends with `Cancelled`.
        """

    def close(self) -> None:
        """Close the recording."""
