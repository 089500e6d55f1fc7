"""One remark's fields, each saved as it is typed and undone as one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QFocusEvent, QKeyEvent, QResizeEvent, QTextCursor
from PyQt6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from aftercase.gui.host import Host
from aftercase.gui.pages.building import Choice, button, scrolled
from aftercase.gui.shortcuts import leave_undo
from aftercase.model.review import Remark
from aftercase.session.desk import Desk
from aftercase.session.guidelist import seconds_of
from aftercase.session.verbs.marking import say_of_mark
from aftercase.session.verbs.remarks import KIND_NAMES, KIND_SIGNS

_SIGN_OF: Final = {kind: sign for sign, kind in KIND_SIGNS.items()}
_FIELDS: Final = (("text", "Remark"), ("reason", "Why it matters"), ("next_time", "Next time"))
_ITEM: Final = "Form item it is evidence for"
_MOST_LINES: Final = 5


class RemarkEditor(QWidget):
    """Text, reason, next time, kind, star, form item and what it covers of one remark.

    No control keeps the keys after a click, except the fields that are typed in.

    Args:
        desk: The case on the desk.
    """

    left = pyqtSignal()
    """Escape was pressed in a field."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._remark_id: str | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        self._kind = Choice(
            "Kind of the chosen remark",
            [(kind, f"{_SIGN_OF[kind]} {name}") for kind, name in KIND_NAMES.items()],
            lambda kind: self._choose("change the kind", kind=kind),
        )
        column.addWidget(self._kind)
        self._fields: dict[str, _Field] = {}
        for name, label in _FIELDS:
            field = _Field(label, self._finish)
            field.textChanged.connect(lambda one=name: self._typed(one))
            self._fields[name] = field
            _add_named(column, label, field)
        self._star = QCheckBox("Starred for the closing")
        self._star.clicked.connect(lambda on: self._choose("star a remark", starred=on))
        column.addWidget(self._star)
        self._add_span(column)
        self._item = QLineEdit()
        self._item.setAccessibleName(_ITEM)
        self._item.setPlaceholderText("none")
        self._item.editingFinished.connect(self._item_typed)
        _add_named(column, _ITEM, self._item)
        column.addStretch(1)
        for control in (self._kind, self._star, self._here, self._moment):
            control.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setFocusProxy(self._fields["text"])

    def show_remark(self, remark: Remark | None) -> None:
        """Show a remark's fields, or none; what was begun for another one is kept there."""
        if self._remark_id is not None and (remark is None or remark.id != self._remark_id):
            self._finish_with(self._remark_id)
        self._remark_id = None  # what is put into the fields below was not typed
        if remark is None:
            return
        for name, field in self._fields.items():
            field.show_text(getattr(remark, name))
            field.setReadOnly(not self._desk.is_draft)
        self._kind.show_word(remark.kind)
        if not self._item.isModified():
            self._item.setText(remark.form_item or "")
        self._star.setChecked(remark.starred)
        start = seconds_of(remark.at_us)
        until = "" if remark.end_us is None else f" to {seconds_of(remark.end_us)}"
        self._covers.setText(f"{'At' if remark.end_us is None else 'From'} {start}{until}")
        self._moment.setVisible(remark.end_us is not None)
        for widget in (self._kind, self._star, self._here, self._moment, self._item):
            widget.setEnabled(self._desk.is_draft)
        self._remark_id = remark.id

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Leave on Escape."""
        if event is not None and event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def _add_span(self, column: QVBoxLayout) -> None:
        self._covers = QLabel()
        self._covers.setWordWrap(True)
        self._here = button("Ends here", self._end_here, "It covers the film up to the shown frame")
        self._here.setToolTip("It covers the film from its moment to the shown frame")
        self._moment = button("One moment", self._end_nowhere, "It is about one moment")
        row = QHBoxLayout()
        row.addWidget(self._here)
        row.addWidget(self._moment)
        row.addStretch(1)
        column.addWidget(self._covers)
        column.addLayout(row)

    def _end_here(self) -> None:
        self._choose("a remark that ends here", end_us=self._desk.moment.edge_us)

    def _end_nowhere(self) -> None:
        self._choose("a remark on one moment", end_us=None)

    def _finish_with(self, remark_id: str) -> None:
        """Keep the item that was typed for a remark before the fields are another's."""
        self._remark_id = None  # what is shown of it from here on is of no use
        if self._item.isModified():
            self._item.setModified(False)
            self._say_item(remark_id)
        self._finish()

    def _item_typed(self) -> None:
        """Keep the item that was typed; what cannot be an item's word stands to be mended."""
        if self._remark_id is None or not self._item.isModified():
            return
        self._item.setModified(False)
        if not self._say_item(self._remark_id):
            self._item.setModified(True)

    def _say_item(self, remark_id: str) -> bool:
        """Point at the item that is typed; claim that the review says so now."""
        word = "-".join(self._item.text().lower().split()) or None
        say_of_mark(self._desk, remark_id, "point at a form item", form_item=word)
        self._finish()
        remark = self._desk.record(remark_id)
        return isinstance(remark, Remark) and remark.form_item == word

    def _typed(self, name: str) -> None:
        self._say(f"write {name.replace('_', ' ')}", **{name: self._fields[name].toPlainText()})

    def _choose(self, label: str, **fields: object) -> None:
        """Say something at once: an edit of its own, also where the same was said before."""
        self._finish()
        self._say(label, **fields)

    def _say(self, label: str, **fields: object) -> None:
        if self._remark_id is not None:
            say_of_mark(self._desk, self._remark_id, label, **fields)

    def _finish(self) -> None:
        """Let what is typed after this be another edit."""
        self._desk.hand.end_merging()


def _add_named(column: QVBoxLayout, name: str, field: QWidget) -> None:
    words = QLabel(name)
    words.setProperty("role", "soft")
    words.setBuddy(field)
    column.addWidget(words)
    column.addWidget(field)


class _Field(QPlainTextEdit):
    """A text that grows with what is typed, up to a few lines; Tab leaves it."""

    def __init__(self, name: str, finished: Callable[[], None]) -> None:
        super().__init__()
        self._finished = finished
        self.setAccessibleName(name)
        self.setTabChangesFocus(True)
        self.setUndoRedoEnabled(False)
        leave_undo(self)
        self.textChanged.connect(self._fit)
        self._fit()

    def show_text(self, text: str) -> None:
        """Show a text; the same one leaves the cursor where it is, else it goes to the end."""
        if self.toPlainText() == text:
            return
        self.setPlainText(text)
        if self.hasFocus():
            self.moveCursor(QTextCursor.MoveOperation.End)

    def focusOutEvent(self, event: QFocusEvent | None) -> None:  # noqa: N802 - Qt's name
        """Finish the edit."""
        super().focusOutEvent(event)
        self._finished()

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802 - Qt's name
        """Fit the height to the lines at this width."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        document = self.document()
        assert document is not None
        n_lines = min(max(round(document.size().height()), 1), _MOST_LINES)
        frame = 2 * (self.frameWidth() + round(document.documentMargin()))
        self.setFixedHeight(n_lines * self.fontMetrics().lineSpacing() + frame + 2)


class RemarkAsk(QWidget):
    """The fields of one remark, asked for by a key.

    Args:
        host: The window.
        desk: The case on the desk.
        remark: The remark.
    """

    answered = pyqtSignal()
    beside = True

    def __init__(self, host: Host, desk: Desk, remark: Remark) -> None:
        super().__init__()
        self._desk, self._id = desk, remark.id
        head = QLabel(f"The remark at {seconds_of(remark.at_us)}")
        head.setWordWrap(True)
        head.setProperty("role", "heading")
        self._editor = RemarkEditor(desk)
        self._editor.left.connect(self.answered)
        done = button("Done (Esc)", self.answered.emit)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(head)
        column.addWidget(scrolled(self._editor), 1)
        column.addWidget(done)
        self.setFocusProxy(self._editor)
        self._stop = desk.listen("review", self._show)
        self._show()

    def stop(self) -> None:
        """Listen no more."""
        self._stop()

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Leave on Escape."""
        if event is not None and event.key() == Qt.Key.Key_Escape:
            self.answered.emit()

    def _show(self) -> None:
        remark = self._desk.record(self._id)
        if remark is None:
            self.answered.emit()
        else:
            self._editor.show_remark(remark)
