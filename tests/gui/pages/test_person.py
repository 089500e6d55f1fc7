"""Who reviews, and the cover that asks again."""

from __future__ import annotations

from typing import Any

import pytest
from PyQt6.QtCore import QEvent, QPointF, Qt
from PyQt6.QtGui import QAction, QKeyEvent, QMouseEvent
from PyQt6.QtWidgets import QApplication, QComboBox, QLabel, QLineEdit, QMainWindow, QWidget
from pytestqt.qtbot import QtBot

from aftercase.gui.pages.cover import Cover
from aftercase.gui.pages.person_page import PersonPage
from aftercase.session.people import (
    Person,
    has_passphrase,
    known_people,
    remember_person,
    set_passphrase,
)

NO_KEY = Qt.KeyboardModifier.NoModifier


def named(widget: QWidget, kind: type[Any], name: str) -> Any:
    [found] = [one for one in widget.findChildren(kind) if one.accessibleName() == name]
    return found


@pytest.fixture
def shown(qtbot: QtBot) -> Any:
    def show(widget: QWidget) -> Any:
        qtbot.addWidget(widget)
        widget.show()
        qtbot.waitExposed(widget)
        return widget

    return show


def warned(widget: QWidget) -> str:
    found = (one for one in widget.findChildren(QLabel) if one.property("role") == "warn")
    return " ".join(one.text() for one in found if one.isVisible())


def test_the_first_person_types_a_code_and_return(host: Any, qtbot: QtBot, shown: Any) -> None:
    page = shown(PersonPage(host))
    page.form.take_focus()
    line = named(page, QLineEdit, "Your code")
    assert page.focusWidget() is line
    qtbot.keyClicks(line, "T01")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert host.person == Person("T01", "teacher")
    assert host.did == ["be", "leave"]
    assert known_people(host.at) == (Person("T01", "teacher"),)


def test_a_code_that_is_none_is_refused_in_words(host: Any, qtbot: QtBot, shown: Any) -> None:
    page = shown(PersonPage(host))
    line = named(page, QLineEdit, "Your code")
    qtbot.keyClicks(line, "Dr. X")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert host.person is None
    assert "a code is up to 40 letters" in warned(page)


def test_people_who_were_here_are_chosen_with_their_role(
    host: Any, qtbot: QtBot, shown: Any
) -> None:
    remember_person(host.at, Person("R07", "trainee"))
    remember_person(host.at, Person("T01", "teacher"))
    host.person = Person("T01", "teacher")
    page = shown(PersonPage(host))
    who = named(page, QComboBox, "Who reviews")
    assert who.currentText() == "T01"
    qtbot.keyClick(who, Qt.Key.Key_Up)
    assert named(page, QComboBox, "Role").currentText() == "trainee"
    qtbot.keyClick(who, Qt.Key.Key_Return)
    assert host.person == Person("R07", "trainee")


def test_a_passphrase_is_asked_for_and_must_fit(host: Any, qtbot: QtBot, shown: Any) -> None:
    remember_person(host.at, Person("T01"))
    set_passphrase(host.at, Person("T01"), "blue lens")
    page = shown(PersonPage(host))
    line = named(page, QLineEdit, "Passphrase")
    assert line.isVisible()
    assert line.echoMode() == QLineEdit.EchoMode.Password
    qtbot.keyClicks(line, "red lens")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert host.person is None
    assert "not the passphrase of T01" in warned(page)
    line.clear()
    qtbot.keyClicks(line, "blue lens")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert host.person == Person("T01")


def test_a_passphrase_is_set_and_taken_away_and_called_courtesy(
    host: Any, qtbot: QtBot, shown: Any
) -> None:
    remember_person(host.at, Person("T01"))
    host.person = Person("T01")
    page = shown(PersonPage(host))
    assert any("not protection" in one.text() for one in page.findChildren(QLabel))
    line = named(page, QLineEdit, "New passphrase of T01")
    qtbot.keyClicks(line, "blue lens")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert has_passphrase(host.at, "T01")
    assert host.did == []  # setting it does not leave the page
    qtbot.mouseClick(named(page, QWidget, "Ask for no passphrase"), Qt.MouseButton.LeftButton)
    assert not has_passphrase(host.at, "T01")


class Clock:
    def __init__(self) -> None:
        self.now_s = 100.0

    def __call__(self) -> float:
        return self.now_s


class HostWindow(QMainWindow):
    """A window that is the host, with a picture and a key of its own."""

    def __init__(self, host: Any) -> None:
        super().__init__()
        self._noted = host
        self.at = host.at
        self.pressed: list[str] = []
        picture = QLineEdit("the picture")
        self.setCentralWidget(picture)
        for key in ("T", "Ctrl+Z"):
            action = QAction(key, self)
            action.setShortcut(key)
            action.triggered.connect(lambda _, key=key: self.pressed.append(key))
            self.addAction(action)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.__dict__["_noted"], name)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def window(host: Any, shown: Any) -> HostWindow:
    host.person = Person("T01")
    remember_person(host.at, Person("T01"))
    return shown(HostWindow(host))


@pytest.fixture
def cover(window: HostWindow, clock: Clock) -> Cover:
    return Cover(window, 5, now=clock)


def send_key(widget: QWidget, key: Qt.Key, held: Qt.KeyboardModifier = NO_KEY) -> None:
    QApplication.sendEvent(widget, QKeyEvent(QEvent.Type.KeyPress, key, held, ""))


def test_five_idle_minutes_cover_the_picture_and_rest_the_film(
    cover: Cover, clock: Clock, window: HostWindow, host: Any
) -> None:
    clock.now_s += 5 * 60 - 0.1
    cover.look()
    assert not cover.is_down
    clock.now_s += 0.2
    cover.look()
    assert cover.is_down
    assert cover.isVisible()
    assert cover.geometry() == window.rect()
    assert host.did == ["rest"]


def test_a_key_or_a_pointer_anywhere_counts_as_somebody(
    cover: Cover, clock: Clock, window: HostWindow
) -> None:
    clock.now_s += 200
    send_key(window.centralWidget(), Qt.Key.Key_A)
    clock.now_s += 200
    move = QMouseEvent(
        QEvent.Type.MouseMove, QPointF(1, 1), QPointF(1, 1), Qt.MouseButton.NoButton,
        Qt.MouseButton.NoButton, NO_KEY,
    )  # fmt: skip
    QApplication.sendEvent(window, move)
    clock.now_s += 200
    cover.look()
    assert not cover.is_down


def test_no_minutes_never_cover(cover: Cover, clock: Clock) -> None:
    cover.idle_minutes = 0
    clock.now_s += 1e6
    cover.look()
    assert not cover.is_down


def test_the_windows_keys_rest_under_the_cover(
    cover: Cover, clock: Clock, window: HostWindow, qtbot: QtBot
) -> None:
    clock.now_s += 301
    cover.look()
    qtbot.waitUntil(lambda: cover.isAncestorOf(QApplication.focusWidget()))
    for _ in range(6):
        focused = QApplication.focusWidget()
        assert cover.isAncestorOf(focused)
        qtbot.keyClick(focused, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
        qtbot.keyClick(focused, Qt.Key.Key_Tab)
    assert window.pressed == []
    assert window.centralWidget().text() == "the picture"


def test_the_same_person_lifts_the_cover_and_everything_is_as_it_was(
    cover: Cover, clock: Clock, window: HostWindow, qtbot: QtBot, host: Any
) -> None:
    clock.now_s += 301
    cover.look()
    qtbot.keyClick(named(cover, QComboBox, "Who reviews"), Qt.Key.Key_Return)
    assert not cover.is_down
    assert not cover.isVisible()
    assert "be" not in host.did
    clock.now_s += 10
    cover.look()
    assert not cover.is_down


def test_another_person_takes_over(
    cover: Cover, clock: Clock, window: HostWindow, qtbot: QtBot, host: Any
) -> None:
    remember_person(host.at, Person("R07", "trainee"))
    clock.now_s += 301
    cover.look()
    who = named(cover, QComboBox, "Who reviews")
    qtbot.keyClick(who, Qt.Key.Key_Up)
    qtbot.keyClick(who, Qt.Key.Key_Return)
    assert host.person == Person("R07", "trainee")
    assert not cover.is_down


def test_escape_does_not_lift_the_cover(
    cover: Cover, clock: Clock, window: HostWindow, qtbot: QtBot
) -> None:
    clock.now_s += 301
    cover.look()
    qtbot.keyClick(named(cover, QComboBox, "Who reviews"), Qt.Key.Key_Escape)
    assert cover.is_down


def test_the_cover_follows_the_windows_size(
    cover: Cover, clock: Clock, window: HostWindow, qtbot: QtBot
) -> None:
    clock.now_s += 301
    cover.look()
    window.resize(900, 500)
    qtbot.waitUntil(lambda: cover.geometry() == window.rect())
