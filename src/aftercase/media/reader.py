"""The reader of recordings that works in the asker's own process, in step with it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from aftercase.errors import AftercaseError
from aftercase.media.recording import Recording, open_recording
from aftercase.media.source import (
    Cancel,
    Cancelled,
    Failed,
    Finished,
    Opened,
    OpenRecording,
    PictureAt,
    PictureRequest,
    PicturesIn,
    Request,
    Response,
    Shown,
)
from aftercase.media.watch import Watch, WorkCancelled


def _ignore(done: int, total: int) -> None:
    """Take no notice of progress."""


class RecordingReader:
    """Answer the messages of `source`.

    Args:
        progress: Called with (bytes read, bytes in all) while a recording is opened, and with
            (0, 0) for each frame decoded on the way to a picture.
    """

    def __init__(self, progress: Callable[[int, int], None] = _ignore) -> None:
        self._progress = progress
        self._recording: Recording | None = None
        self._under_way: set[int] = set()
        self._cancelled: set[int] = set()

    def answers(self, request: Request) -> Iterator[Response]:
        """Yield the answers to a request; see `source.Source`."""
        if isinstance(request, Cancel):
            self._cancelled |= {request.request_id} & self._under_way
            return iter(())
        self._under_way.add(request.request_id)
        return self._answers(request)

    def close(self) -> None:
        """Close the recording."""
        if self._recording is not None:
            self._recording.close()
            self._recording = None

    def _answers(self, request: OpenRecording | PictureRequest) -> Iterator[Response]:
        request_id = request.request_id
        watch = Watch(self._progress, lambda: request_id in self._cancelled)
        try:
            if isinstance(request, OpenRecording):
                yield self._opened(request, watch)
            else:
                self._stop_if_cancelled(request_id)
                yield from self._pictures(request, watch)
        except WorkCancelled:
            yield Cancelled(request_id)
        except AftercaseError as error:
            yield Failed(request_id, error.slug, error.message, error.hint, error.path)
        finally:
            self._under_way.discard(request_id)
            self._cancelled.discard(request_id)

    def _pictures(self, request: PictureRequest, watch: Watch) -> Iterator[Response]:
        if isinstance(request, PicturesIn):
            yield from self._range(request, watch)
        elif isinstance(request, PictureAt):
            picture = self._open().picture_at(
                request.us,
                max_side_px=request.max_side_px,
                copy_will_do=request.copy_will_do,
                near_will_do=request.near_will_do,
                watch=watch,
            )
            yield Shown(request.request_id, picture)
        else:
            n_pictures = self._open().prepare(
                request.us,
                n_behind=request.n_behind,
                n_ahead=request.n_ahead,
                max_side_px=request.max_side_px,
                watch=watch,
            )
            yield Finished(request.request_id, n_pictures)

    def _opened(self, request: OpenRecording, watch: Watch) -> Opened:
        self.close()
        cache = None if request.cache is None else Path(request.cache)
        recording = open_recording(request.paths, stored=request.stored, cache=cache, watch=watch)
        self._recording = recording
        return Opened(
            request.request_id,
            recording.facts,
            recording.differences,
            recording.end_us,
            tuple(_packed_starts(recording, part) for part in range(len(recording.facts))),
        )

    def _range(self, request: PicturesIn, watch: Watch) -> Iterator[Response]:
        n_pictures = 0
        pictures = self._open().pictures_in(
            request.start_us,
            request.end_us,
            max_side_px=request.max_side_px,
            copy_will_do=request.copy_will_do,
            every=request.every,
            watch=watch,
        )
        for picture in pictures:
            yield Shown(request.request_id, picture)
            n_pictures += 1
            self._stop_if_cancelled(request.request_id)
        yield Finished(request.request_id, n_pictures)

    def _open(self) -> Recording:
        if self._recording is None:
            raise ValueError("a recording must be opened before pictures are asked for")
        return self._recording

    def _stop_if_cancelled(self, request_id: int) -> None:
        if request_id in self._cancelled:
            raise WorkCancelled


def _packed_starts(recording: Recording, part: int) -> bytes:
    return b"" if recording.is_missing(part) else recording.part_starts_us(part).tobytes()
