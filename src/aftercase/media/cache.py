"""Finished pictures kept for a while, bounded by their bytes."""

from __future__ import annotations

from collections import OrderedDict
from typing import Final

from aftercase.media.picture import Picture

CACHE_BYTES: Final = 192 * 1024 * 1024

Key = tuple[int, int, int | None]
"""Part, row, longest side asked for."""


class PictureCache:
    """The pictures used last; the longest unused go first.

    Args:
        limit_bytes: Bytes of pixels kept at most; a picture larger than that is not kept.
    """

    def __init__(self, limit_bytes: int = CACHE_BYTES) -> None:
        self._limit_bytes = limit_bytes
        self._held_bytes = 0
        self._pictures: OrderedDict[Key, Picture] = OrderedDict()

    def n_fitting(self, size_bytes: int) -> int:
        """Return how many pictures of a size are kept at most."""
        return self._limit_bytes // max(1, size_bytes)

    def get(self, key: Key) -> Picture | None:
        """Return a picture if it is kept, and count it as used."""
        picture = self._pictures.get(key)
        if picture is not None:
            self._pictures.move_to_end(key)
        return picture

    def put(self, key: Key, picture: Picture) -> None:
        """Keep a picture, letting go of others as needed."""
        size_bytes = len(picture.pixels.rgb)
        if key in self._pictures or size_bytes > self._limit_bytes:
            return
        self._pictures[key] = picture
        self._held_bytes += size_bytes
        while self._held_bytes > self._limit_bytes:
            _, oldest = self._pictures.popitem(last=False)
            self._held_bytes -= len(oldest.pixels.rgb)
