"""What pages are built of: labels that wrap, named buttons, choices that never start by chance."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final, Literal

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QDragEnterEvent, QDropEvent, QWheelEvent
from PyQt6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLayout,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

_BESIDE_PX: Final = 8
Role = Literal["", "soft", "warn", "heading", "title"]


def label(text: str, role: Role = "") -> QLabel:
    """Return a label that wraps; an empty one is hidden until it says something."""
    made = QLabel(text)
    made.setWordWrap(True)
    made.setTextFormat(Qt.TextFormat.PlainText)
    if not text:
        made.hide()
    if role:
        made.setProperty("role", role)
    return made


def say(shown: QLabel, text: str, role: Role = "") -> None:
    """Let a label of a page say something, and hide it where that is nothing."""
    assert shown.parentWidget() is not None, "shown by itself it would be a window"
    shown.setText(text)
    shown.setVisible(bool(text))
    if shown.property("role") != role:
        shown.setProperty("role", role)
        style = shown.style()
        if style is not None:
            style.polish(shown)


def button(text: str, run: Callable[[], object], name: str = "") -> QPushButton:
    """Return a button; `name` says what it does where its text alone would not."""
    made = QPushButton(text)
    made.setAccessibleName(name or text)
    made.setAutoDefault(True)  # Return presses it where it has the focus
    made.clicked.connect(lambda: run())
    return made


def row(*widgets: QWidget) -> QHBoxLayout:
    """Return widgets beside each other: lines to type in share the room, else all stand left."""
    made = QHBoxLayout()
    made.setSpacing(_BESIDE_PX)
    lines = [widget for widget in widgets if isinstance(widget, QLineEdit)]
    for widget in widgets:
        made.addWidget(widget, 1 if widget in lines else 0)
    if not lines:
        made.addStretch(1)
    return made


def entry_row(words: QLabel, *buttons: QWidget) -> QHBoxLayout:
    """Return an entry of a list: its words take the room, what can be done with it stands right."""
    made = QHBoxLayout()
    made.addWidget(words, 1)
    for one in buttons:
        made.addWidget(one)
    return made


def panel(heading: str, *parts: QWidget | QLayout) -> QFrame:
    """Return parts below each other in a frame, with a heading where it is not empty."""
    frame = QFrame()
    frame.setFrameShape(QFrame.Shape.StyledPanel)
    frame.setProperty("role", "panel")
    column = QVBoxLayout(frame)
    if heading:
        column.addWidget(label(heading, "heading"))
        frame.setAccessibleName(heading)
    for part in parts:
        add(column, part)
    return frame


def add(column: QVBoxLayout, part: QWidget | QLayout) -> None:
    """Put a widget or a layout at the end of a column."""
    if isinstance(part, QWidget):
        column.addWidget(part)
    else:
        column.addLayout(part)


def field_form() -> QFormLayout:
    """Return a form whose fields stand right of their names, or below them where room is short."""
    form = QFormLayout()
    form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
    form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
    form.setLabelAlignment(Qt.AlignmentFlag.AlignLeft)
    form.setHorizontalSpacing(18)
    form.setVerticalSpacing(10)
    return form


def share_width(names: Iterable[QLabel]) -> None:
    """Let the fields of several forms begin at the same place."""
    labels = list(names)
    widest_px = max((name.sizeHint().width() for name in labels), default=0)
    for name in labels:
        name.setMinimumWidth(widest_px)


def tab_stops(whole: QWidget) -> list[QWidget]:
    """Return what Tab stops at inside a widget, in order, as far as it is not hidden."""
    found: list[QWidget] = []
    widget = whole.nextInFocusChain()
    while widget is not None and widget is not whole:
        takes_tab = bool(widget.focusPolicy().value & Qt.FocusPolicy.TabFocus.value)
        is_shown = whole.isAncestorOf(widget) and widget.isVisibleTo(whole)
        if takes_tab and is_shown and widget.isEnabled():
            found.append(widget)
        widget = widget.nextInFocusChain()
    return found


def emptied(layout: QLayout) -> None:
    """Take everything out of a layout; the widgets are gone soon after."""
    while (item := layout.takeAt(0)) is not None:
        if (widget := item.widget()) is not None:
            widget.hide()
            widget.deleteLater()
        elif (inner := item.layout()) is not None:
            emptied(inner)


def scrolled(widget: QWidget) -> QScrollArea:
    """Return a widget in an area that scrolls where there is not enough height."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setWidget(widget)
    port = area.viewport()
    for behind in (port, widget):
        if behind is not None:
            behind.setAutoFillBackground(False)
    return area


class Choice(QComboBox):
    """A list of words of which one holds; the wheel never changes it by chance.

    Args:
        name: What is chosen.
        words: Word and what it is called, in order.
        chosen: Called with a word when a person chose it.
    """

    def __init__(
        self, name: str, words: Iterable[tuple[str, str]], chosen: Callable[[str], object]
    ) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(18)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        for word, words_for_it in words:
            self.addItem(words_for_it, word)
        self.activated.connect(lambda place: chosen(str(self.itemData(place))))

    @property
    def word(self) -> str:
        """The word that holds."""
        return str(self.currentData())

    def show_word(self, word: str) -> None:
        """Show a word; one that is not on the list is put on it as it is."""
        if self.findData(word) < 0:
            self.addItem(f"{word} (not in the guide)", word)
        self.setCurrentIndex(self.findData(word))

    def wheelEvent(self, event: QWheelEvent | None) -> None:  # noqa: N802 - Qt's name
        """Let the page scroll instead."""
        if event is not None:
            event.ignore()


class DropPlace(QFrame):
    """A place where files and folders are dropped.

    Args:
        name: What is dropped there.
        dropped: Called with what was dropped.
    """

    def __init__(self, name: str, dropped: Callable[[tuple[Path, ...]], object]) -> None:
        super().__init__()
        self._dropped = dropped
        self.setAccessibleName(name)
        self.setAcceptDrops(True)

    def dragEnterEvent(self, event: QDragEnterEvent | None) -> None:  # noqa: N802 - Qt's name
        """Take what has files in it."""
        if event is not None and _files_of(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent | None) -> None:  # noqa: N802 - Qt's name
        """Hand the files on."""
        if event is not None and (files := _files_of(event)):
            event.acceptProposedAction()
            self._dropped(files)


def _files_of(event: QDropEvent) -> tuple[Path, ...]:
    data = event.mimeData()
    if data is None:
        return ()
    return tuple(Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile())
