"""The sheet of keys, and giving actions other keys."""

from __future__ import annotations

from typing import Any

import pytest
from PyQt6.QtCore import QEvent, Qt
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from aftercase.gui.pages.key_words import pressed_key
from aftercase.gui.pages.keys_form import KeysForm
from aftercase.gui.pages.keys_page import KeysPage
from aftercase.session.actions.table import ACTIONS, clashes

SHIFT = Qt.KeyboardModifier.ShiftModifier
CTRL = Qt.KeyboardModifier.ControlModifier
PLAIN = Qt.KeyboardModifier.NoModifier
KEYPAD = Qt.KeyboardModifier.KeypadModifier


@pytest.fixture
def kept() -> list[dict[str, str]]:
    return []


@pytest.fixture
def form(qtbot: QtBot, host: Any, kept: list[dict[str, str]]) -> KeysForm:
    made = KeysForm({}, kept.append)
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    return made


def press(form: KeysForm, qtbot: QtBot, name: str) -> None:
    [button] = [one for one in form.findChildren(QPushButton) if one.accessibleName() == name]
    assert button.isVisible()
    qtbot.keyClick(button, Qt.Key.Key_Space)


def give(
    form: KeysForm, qtbot: QtBot, action: str, key: Qt.Key, held: Qt.KeyboardModifier = PLAIN
) -> None:
    """Go to an action's row, press Return, then the new key."""
    form.table.show_action(action)
    qtbot.keyClick(form.table.list, Qt.Key.Key_Return)
    qtbot.keyClick(form.table.list, key, held)


def test_the_sheet_has_every_action_of_the_table_with_its_keys(qtbot: QtBot, host: Any) -> None:
    page = KeysPage(host)
    qtbot.addWidget(page)
    assert len(page.table.words_shown()) == len(ACTIONS)
    assert ("Next step", "Return or Enter") in page.table.words_shown()


def test_the_sheet_is_searched_by_word_and_by_key(qtbot: QtBot, host: Any) -> None:
    page = KeysPage(host)
    qtbot.addWidget(page)
    qtbot.keyClicks(page.table.search, "taken over")
    assert page.table.words_shown() == [("Taken over, given back", "T"),
                                        ("About the running step", "A")]  # fmt: skip
    page.table.search.clear()
    qtbot.keyClicks(page.table.search, "ctrl+z")
    assert [words for words, _ in page.table.words_shown()] == ["Undo"]


def test_a_chosen_key_stands_on_the_sheet(qtbot: QtBot, host: Any) -> None:
    host.change_settings(keys={"next-step": "F7"})
    page = KeysPage(host)
    qtbot.addWidget(page)
    assert ("Next step", "F7") in page.table.words_shown()


def test_a_free_key_is_given_at_once(
    form: KeysForm, qtbot: QtBot, kept: list[dict[str, str]]
) -> None:
    give(form, qtbot, "next-step", Qt.Key.Key_F7)
    assert kept == [{"next-step": "F7"}]
    assert "“Next step”: F7." in form.words.text()


def test_escape_leaves_the_key_as_it_is(
    form: KeysForm, qtbot: QtBot, kept: list[dict[str, str]]
) -> None:
    give(form, qtbot, "next-step", Qt.Key.Key_Escape)
    assert kept == []
    assert "Return or Enter" in form.words.text()


def test_tab_is_never_given_away(form: KeysForm, qtbot: QtBot, kept: list[dict[str, str]]) -> None:
    give(form, qtbot, "next-step", Qt.Key.Key_Tab)
    assert kept == []
    assert "stays free" in form.words.text()


def test_holding_shift_alone_waits_for_the_key(
    form: KeysForm, qtbot: QtBot, kept: list[dict[str, str]]
) -> None:
    form.table.show_action("next-step")
    qtbot.keyClick(form.table.list, Qt.Key.Key_Return)
    qtbot.keyPress(form.table.list, Qt.Key.Key_Shift)
    assert kept == []
    qtbot.keyClick(form.table.list, Qt.Key.Key_F7, SHIFT)
    assert kept == [{"next-step": "Shift+F7"}]


def test_a_clash_is_said_in_words_before_anything_is_kept(
    form: KeysForm, qtbot: QtBot, kept: list[dict[str, str]]
) -> None:
    give(form, qtbot, "pause", Qt.Key.Key_T)
    assert kept == []
    assert "T already means “Taken over, given back” in the review." in form.words.text()
    press(form, qtbot, "Leave the key to whom it belongs")
    assert kept == []


def test_a_key_that_is_taken_over_leaves_the_other_without_it(
    form: KeysForm, qtbot: QtBot, kept: list[dict[str, str]]
) -> None:
    give(form, qtbot, "pause", Qt.Key.Key_T)
    [take] = [one for one in form.findChildren(QPushButton) if one.text().startswith("Take T")]
    qtbot.keyClick(take, Qt.Key.Key_Space)
    assert kept == [{"pause": "T", "takeover": ""}]
    assert clashes(kept[0]) == ()


def test_an_action_with_two_keys_keeps_the_one_that_is_left(
    form: KeysForm, qtbot: QtBot, kept: list[dict[str, str]]
) -> None:
    give(form, qtbot, "pause", Qt.Key.Key_Return)
    [take] = [one for one in form.findChildren(QPushButton) if one.text().startswith("Take")]
    qtbot.keyClick(take, Qt.Key.Key_Space)
    assert kept == [{"pause": "Return", "next-step": "Enter"}]


def test_a_key_in_another_room_is_no_clash(
    form: KeysForm, qtbot: QtBot, kept: list[dict[str, str]]
) -> None:
    give(form, qtbot, "understood", Qt.Key.Key_X)  # X marks “cannot be seen”, in the review only
    assert kept == [{"understood": "X"}]


def test_own_keys_come_back_one_by_one_or_all(
    form: KeysForm, qtbot: QtBot, kept: list[dict[str, str]]
) -> None:
    give(form, qtbot, "pause", Qt.Key.Key_F7)
    give(form, qtbot, "unseen", Qt.Key.Key_F8)
    press(form, qtbot, "Give it its own key again")
    assert kept[-1] == {"pause": "F7"}
    press(form, qtbot, "Let it have no key")
    assert kept[-1] == {"pause": "F7", "unseen": ""}
    press(form, qtbot, "Give all their own keys again")
    assert kept[-1] == {}


@pytest.mark.parametrize(
    ("key", "held", "text", "words"),
    [
        (Qt.Key.Key_P, SHIFT, "P", "Shift+P"),
        (Qt.Key.Key_Question, SHIFT, "?", "?"),
        (Qt.Key.Key_Plus, PLAIN, "+", "+"),
        (Qt.Key.Key_5, KEYPAD, "5", "5"),
        (Qt.Key.Key_Enter, KEYPAD, "\r", "Enter"),
        (Qt.Key.Key_Z, CTRL, "\x1a", "Ctrl+Z"),
        (Qt.Key.Key_Space, SHIFT, " ", "Shift+Space"),
        (Qt.Key.Key_PageDown, PLAIN, "", "PgDown"),
    ],
)
def test_a_pressed_key_is_named_as_the_table_names_it(
    key: Qt.Key, held: Qt.KeyboardModifier, text: str, words: str
) -> None:
    assert pressed_key(QKeyEvent(QEvent.Type.KeyPress, key, held, text)) == words


def test_the_words_of_a_clash_are_below_the_list(form: KeysForm, qtbot: QtBot) -> None:
    give(form, qtbot, "pause", Qt.Key.Key_T)
    assert isinstance(form.words, QLabel)
    assert form.words.property("role") == "warn"
