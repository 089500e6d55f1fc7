"""Where the program keeps its own files on this computer; ``AFTERCASE_HOME`` moves them all."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

import platformdirs


@dataclass(frozen=True)
class Places:
    """The program's own folders.

    Attributes:
        settings: Settings.
        state: Recent files, positions, and where films lie on this computer.
        data: Own guides and forms, drafts, the library.
        cache: Derived files of cases whose folder cannot hold them.
    """

    settings: Path
    state: Path
    data: Path
    cache: Path

    @property
    def own_guides(self) -> Path:
        """The program's own guides."""
        return self.data / "guides"

    @property
    def drafts(self) -> Path:
        """Drafts of reviews, one folder per case."""
        return self.data / "drafts"

    @property
    def locator(self) -> Path:
        """Where films lie on this computer."""
        return self.state / "films.json"


def places() -> Places:
    """Return the program's folders for this user."""
    home = os.environ.get("AFTERCASE_HOME")
    if home:
        root = Path(home)
        return Places(root / "settings", root / "state", root / "data", root / "cache")
    name = "aftercase"
    return Places(
        platformdirs.user_config_path(name, appauthor=False),
        platformdirs.user_state_path(name, appauthor=False),
        platformdirs.user_data_path(name, appauthor=False),
        platformdirs.user_cache_path(name, appauthor=False),
    )
