"""Dialogues that choose files and folders; the window goes on while they are open."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PyQt6.QtWidgets import QFileDialog, QWidget

from aftercase.media.ordering import FILM_ENDINGS

_FILMS: Final = "Films"


def choose_films(parent: QWidget, chosen: Callable[[tuple[Path, ...]], object]) -> None:
    """Let the person choose film files."""
    dialog = QFileDialog(parent, "Films of a case")
    dialog.setFileMode(QFileDialog.FileMode.ExistingFiles)
    endings = " ".join(f"*{suffix} *{suffix.upper()}" for suffix in sorted(FILM_ENDINGS))
    dialog.setNameFilters([f"{_FILMS} ({endings})", "All files (*)"])
    _open(dialog, chosen)


def choose_folder(
    parent: QWidget, title: str, chosen: Callable[[tuple[Path, ...]], object]
) -> None:
    """Let the person choose a folder."""
    dialog = QFileDialog(parent, title)
    dialog.setFileMode(QFileDialog.FileMode.Directory)
    dialog.setOption(QFileDialog.Option.ShowDirsOnly)
    _open(dialog, chosen)


def _open(dialog: QFileDialog, chosen: Callable[[tuple[Path, ...]], object]) -> None:
    dialog.filesSelected.connect(lambda names: chosen(tuple(Path(name) for name in names)))
    dialog.finished.connect(lambda _: dialog.deleteLater())
    dialog.open()
