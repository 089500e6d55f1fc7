"""What a picture that is not quite the frame asked for says of itself."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from aftercase.media.picture import Picture

_SAID: Final[tuple[tuple[Callable[[Picture], bool], str], ...]] = (
    (lambda picture: picture.damaged, "this frame cannot be decoded"),
    (lambda picture: picture.doubtful, "damaged here: may be wrong in part"),
    (lambda picture: picture.nearby, "near"),
    (lambda picture: picture.from_copy, "small copy"),
)
ON_ITS_WAY: Final = "on its way"


def plate_words(picture: Picture, *, is_late: bool = False) -> str:
    """Return the words of the plate; empty for the very frame, whole.

    Args:
        picture: The shown picture.
        is_late: Whether another picture was asked for and is long in coming.
    """
    words = [text for holds, text in _SAID if holds(picture)]
    if is_late and not words:
        words = [ON_ITS_WAY]
    return ", ".join(words)
