"""Takes pictures of the program's window."""

from __future__ import annotations

import time
from collections.abc import Callable
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

REST_S = 0.4
"""How long the window is left alone before a picture is taken."""


class Camera:
    """Takes pictures of a window.

    Args:
        application: The application.
        window: The window.
        folder: Where the pictures go.
        size: What the window's size is called.
        wanted: Patterns of the pictures that are wanted, such as ``ask-*`` or ``*-dark``.
    """

    def __init__(
        self, application: Any, window: Any, folder: Path, size: str, wanted: tuple[str, ...]
    ) -> None:
        self.application, self.window = application, window
        self._folder, self._size, self._wanted = folder, size, wanted

    def until(self, holds: Callable[[], object], within_s: float = 20.0) -> None:
        """Let the program go on until something holds, but not for ever."""
        give_up_s = time.monotonic() + within_s
        while not holds() and time.monotonic() < give_up_s:
            self.application.processEvents()
            time.sleep(0.002)

    def wants(self, name: str, theme: str) -> bool:
        """Claim that a picture is wanted."""
        return is_wanted(self._stem(name, theme), self._wanted)

    def shoot(self, name: str) -> None:
        """Take a picture of the window as it is after a short rest."""
        self.until(lambda: False, REST_S)
        stem = self._stem(name, self.window.theme.name)
        self.window.grab().save(str(self._folder / f"{stem}.png"))

    def wait_for_film(self) -> None:
        """Wait until the case's film shows its exact picture."""
        window = self.window
        self.until(lambda: window.desk is not None and window.player.is_exact)

    def _stem(self, name: str, theme: str) -> str:
        return f"{name}-{self._size}-{theme}"


def is_wanted(stem: str, wanted: tuple[str, ...]) -> bool:
    """Claim that one of the patterns matches a picture's name, or that there is no pattern."""
    return not wanted or any(fnmatch(stem, pattern) for pattern in wanted)
