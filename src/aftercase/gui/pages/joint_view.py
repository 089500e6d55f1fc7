"""The joints of films: the last picture of one beside the first of the next, and what was found."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QPixmap
from PyQt6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from aftercase.gui.pages.building import emptied, label, panel
from aftercase.gui.pages.film_order import FilmOrder, findings_at, joint_lines
from aftercase.media.joints import Joint
from aftercase.session.tasks.dropped import FilmEnds

_PICTURE_PX: Final = (208, 117)


class JointsView(QWidget):
    """Every joint of an order."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Joints of the films")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)

    def show_order(self, order: FilmOrder, ends: Mapping[Path, FilmEnds]) -> None:
        """Show the joints of an order, with the pictures that are there so far."""
        emptied(self._column)
        for joint in order.joints.joints:
            self._column.addWidget(_joint(order, joint, ends))


def _joint(order: FilmOrder, joint: Joint, ends: Mapping[Path, FilmEnds]) -> QFrame:
    pictures = QHBoxLayout()
    for place, end in ((joint.before, "last"), (joint.after, "first")):
        file = order.films[place][0]
        jpeg = getattr(ends[file.path], end) if file.path in ends else None
        pictures.addWidget(_picture(jpeg, f"{end} of {place + 1}", file.name))
    said = QVBoxLayout()
    for words, is_against in joint_lines(joint):
        said.addWidget(label(words, "warn" if is_against else ""))
    for sentence in findings_at(order.joints, joint):
        said.addWidget(label(f"Look: {sentence}", "warn"))
    said.addStretch(1)
    pictures.addLayout(said, 1)
    return panel(f"Joint of {joint.before + 1} and {joint.after + 1}", pictures)


def _picture(jpeg: bytes | None, words: str, name: str) -> QWidget:
    """Return a picture with what it is; None while it is fetched, empty for a damaged one."""
    shown = QLabel()
    shown.setFixedSize(*_PICTURE_PX)
    shown.setAlignment(Qt.AlignmentFlag.AlignCenter)
    shown.setFrameShape(QFrame.Shape.StyledPanel)
    shown.setAccessibleName(f"{words}, “{name}”")
    shown.setToolTip(name)
    pixmap = QPixmap()
    if jpeg and pixmap.loadFromData(jpeg):
        ratio = shown.devicePixelRatioF()
        size = shown.size() * ratio
        scaled = pixmap.scaled(
            size, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
        )
        scaled.setDevicePixelRatio(ratio)
        shown.setPixmap(scaled)
    else:
        shown.setText("…" if jpeg is None else "damaged")
    below = QLabel(words)
    below.setProperty("role", "soft")
    place = QWidget()
    column = QVBoxLayout(place)
    column.setContentsMargins(0, 0, 0, 0)
    column.addWidget(shown)
    column.addWidget(below)
    column.addStretch(1)
    return place
