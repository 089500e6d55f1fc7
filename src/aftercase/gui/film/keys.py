"""Which key does what on the film while it is drawn on or pointed at, from the tables."""

from __future__ import annotations

from typing import Final

from PyQt6.QtGui import QKeySequence

from aftercase.gui.film.drawing import CROSS_DEEDS, DRAWING_COLOURS, DRAWING_TOOLS


def _key(name: str) -> int:
    return int(QKeySequence(name)[0].key())


_DEEDS: Final = {_key(name): deed.word for deed in CROSS_DEEDS for name in deed.keys}
_TOOLS: Final = {_key(choice.key): choice.word for choice in DRAWING_TOOLS}
_COLOURS: Final = {_key(choice.key): choice.word for choice in DRAWING_COLOURS}


def deed_of_key(key: int) -> str | None:
    """Return what a key does with the crosshair; see `CROSS_DEEDS`."""
    return _DEEDS.get(key)


def tool_of_key(key: int) -> str | None:
    """Return the drawing tool that a key takes."""
    return _TOOLS.get(key)


def colour_of_key(key: int) -> str | None:
    """Return the colour that a key takes."""
    return _COLOURS.get(key)
