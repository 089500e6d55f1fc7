"""The pictures of one part, each made once and kept for a while."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Final

from aftercase.media.cache import PictureCache
from aftercase.media.openpart import OpenPart
from aftercase.media.picture import FrameTimes, Picture
from aftercase.media.pixels import fitted
from aftercase.media.watch import UNWATCHED, Watch

if TYPE_CHECKING:
    from av.video.frame import VideoFrame

_BYTES_PER_PIXEL: Final = 3


class PartPictures:
    """Pictures of an open part by row; not for use by two threads.

    Args:
        number: Of the part, from 0.
        part: The part.
        cache: Where exact pictures are kept; may be shared by parts.
    """

    def __init__(self, number: int, part: OpenPart, cache: PictureCache) -> None:
        self._number = number
        self._part = part
        self._cache = cache
        self._key_picture: tuple[int, int | None, Picture] | None = None

    def times(self, row: int) -> FrameTimes:
        """Return when a frame is shown."""
        times = self._part.times
        return FrameTimes(self._number, times.start_us(row), times.stop_us(row))

    def n_fitting(self, max_side_px: int | None) -> int:
        """Return how many pictures of a size are kept at most."""
        stream = self._part.stream
        width_px, height_px = fitted(stream.width_px, stream.height_px, max_side_px)
        return self._cache.n_fitting(_BYTES_PER_PIXEL * width_px * height_px)

    def is_kept(self, row: int, max_side_px: int | None) -> bool:
        """Claim that a picture is there without decoding."""
        return self._cache.get((self._number, row, max_side_px)) is not None

    def exact(
        self, row: int, max_side_px: int | None, *, n_behind: int = 0, watch: Watch = UNWATCHED
    ) -> Picture:
        """Return the picture of a frame.

        Args:
            row: The frame.
            max_side_px: Shrink to this longer side; None for full size.
            n_behind: Of the frames before it that are decoded on the way so many are kept too,
                as far as there is room.
            watch: Told (0, 0) for each frame decoded on the way; may stop the work.

        Raises:
            WorkCancelled: As asked by `watch`; asked again, it goes on from there.
        """
        kept = self._cache.get((self._number, row, max_side_px))
        if kept is not None:
            return kept
        n_behind = max(0, min(n_behind, self.n_fitting(max_side_px) - 1))

        def passing(found: int, frame: VideoFrame) -> None:
            watch.step(0, 0)
            if row - found <= n_behind:
                self._keep(found, frame, max_side_px)

        return self._keep(row, self._part.decoder.frame(row, passing, n_behind), max_side_px)

    def copied(self, row: int, max_side_px: int | None) -> Picture | None:
        """Return a frame from the scrub copy; None where the copy does not have it."""
        copy = self._part.copy
        copied = None if copy is None else copy.picture(row, max_side_px)
        if copied is None:
            return None
        if copied.pixels is None:
            return replace(self._made(row, None, max_side_px), from_copy=True)
        return Picture(self.times(row), copied.pixels, doubtful=copied.doubtful, from_copy=True)

    def quick(
        self, row: int, max_side_px: int | None, *, copy_will_do: bool, watch: Watch = UNWATCHED
    ) -> Picture:
        """Return a picture of about the right place soon, wherever that is.

        That is the exact one if it is at hand, else the scrub copy's if that will do, else the
        nearest key's, else the exact one after all.
        """
        is_at_hand = self.is_kept(row, max_side_px) or self._part.decoder.is_soon_at(row)
        if is_at_hand:
            return self.exact(row, max_side_px, watch=watch)
        copied = self.copied(row, max_side_px) if copy_will_do else None
        return copied or self._nearby(row, max_side_px) or self.exact(row, max_side_px, watch=watch)

    def _nearby(self, row: int, max_side_px: int | None) -> Picture | None:
        """Return the picture of the key nearest to a frame; None where it cannot be had alone.

        The last one is kept: a hand that drags asks for the same one again and again.
        """
        key_row = self._part.decoder.nearest_key_row(row)
        if self._key_picture is not None and self._key_picture[:2] == (key_row, max_side_px):
            picture = self._key_picture[2]
        else:
            found = self._part.decoder.key_frame(row)
            if found is None:
                return None
            key_row = found[0]
            picture = self._made(*found, max_side_px)
            self._key_picture = (key_row, max_side_px, picture)
        return picture if key_row == row else replace(picture, nearby=True)

    def _keep(self, row: int, frame: VideoFrame | None, max_side_px: int | None) -> Picture:
        picture = self._made(row, frame, max_side_px)
        self._cache.put((self._number, row, max_side_px), picture)
        return picture

    def _made(self, row: int, frame: VideoFrame | None, max_side_px: int | None) -> Picture:
        part, times = self._part, self.times(row)
        stream, aspect = part.stream, part.stream.pixel_aspect
        if frame is None:
            size = fitted(stream.width_px, stream.height_px, max_side_px)
            first = partial(part.decoder.frame, 0)
            return Picture(times, part.maker.stand_in(*size, aspect, first), damaged=True)
        pixels = part.maker.pixels(frame, aspect, max_side_px)
        return Picture(times, pixels, doubtful=part.decoder.is_doubtful(row))
