"""The pages in the real window, by its own keys."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PyQt6.QtWidgets import QLineEdit, QPlainTextEdit, QPushButton

from aftercase.gui.pages.case_form import CaseForm
from aftercase.gui.pages.find_film_page import FindFilmPage
from aftercase.gui.pages.keys_page import KeysPage
from aftercase.gui.pages.new_case import NewCasePage
from aftercase.gui.pages.open_case_page import OpenCasePage
from aftercase.gui.pages.person_page import PersonPage
from aftercase.gui.pages.settings_page import SettingsPage
from aftercase.gui.pages.tour import TourBand, TourPage
from aftercase.gui.window import Window
from aftercase.session.people import Person

Press = Callable[..., None]
Until = Callable[..., None]


def page_of(window: Window) -> object:
    return window._sheet.page


@pytest.mark.parametrize(
    ("key", "kind"),
    [("Ctrl+N", NewCasePage), ("Ctrl+O", OpenCasePage), ("Ctrl+P", PersonPage),
     ("Ctrl+,", SettingsPage), ("F1", KeysPage), ("Shift+F1", TourPage)],
)  # fmt: skip
def test_a_page_opens_by_its_key_on_the_start_page_and_escape_leaves_it(
    window: Window, press: Press, key: str, kind: type
) -> None:
    press(window, key)
    assert isinstance(page_of(window), kind)
    press(window, "Escape")
    assert page_of(window) is None
    assert window.room == "start"


@pytest.mark.parametrize(("key", "kind"), [("Ctrl+E", CaseForm), ("Ctrl+F", FindFilmPage)])
def test_a_page_about_the_case_opens_by_its_key_beside_the_film(
    opened: Window, press: Press, key: str, kind: type
) -> None:
    press(opened, key)
    assert isinstance(page_of(opened), kind)
    press(opened, "Escape")
    assert opened.room == "review"


def test_the_tour_is_gone_through_by_the_keys_it_names(
    window: Window, press: Press, until: Until, type_text: Callable[[Window, str], None]
) -> None:
    press(window, "Shift+F1", "Space")
    until(lambda: window.desk is not None and window.player.is_exact, 60.0)
    [band] = window.findChildren(TourBand)
    window.player.set_rate(4.0)
    until(lambda: "Press Space" in band.words)
    press(window, "Space")
    until(lambda: "when the operation begins" in band.words)
    press(window, "Return")
    assert "again when the next step begins" in band.words
    until(lambda: window.desk is not None and window.desk.at_us > 6_000_000)
    press(window, "Return")
    assert "nothing is in the eye" in band.words
    press(window, "0")
    assert "takes the running step over" in band.words
    until(lambda: window.desk is not None and window.desk.at_us > 9_000_000)
    press(window, "T")
    assert "type what you see" in band.words
    press(window, "R")
    type_text(window, "+ calm hands")
    press(window, "Return")
    assert "is taken back" in band.words
    press(window, "Ctrl+Z")
    assert "goes back to the mark before" in band.words
    press(window, "PgUp")
    until(lambda: "That is all there is to learn" in band.words)


@pytest.mark.parametrize(
    ("key", "name", "kept"),
    [
        ("C", "A sentence of your own to close with", lambda desk: desk.review.closing.words),
        ("Ctrl+E", "Trainee", lambda desk: desk.case.trainee or ""),
    ],
)
def test_the_keys_of_undo_take_back_what_is_typed_on_a_page(
    opened: Window,
    press: Press,
    type_text: Callable[[Window, str], None],
    key: str,
    name: str,
    kept: Callable[[Any], str],
) -> None:
    press(opened, key)
    fields = (*opened.findChildren(QPlainTextEdit), *opened.findChildren(QLineEdit))
    [field] = [one for one in fields if one.accessibleName() == name and one.isVisible()]
    before = kept(opened.desk)
    field.setFocus()
    type_text(opened, "R42")
    assert kept(opened.desk) == f"{before}R42"
    press(opened, "Ctrl+Z")
    assert kept(opened.desk) == before
    shown = field.text() if isinstance(field, QLineEdit) else field.toPlainText()
    assert shown == before


def test_a_key_given_in_the_settings_answers_at_once(opened: Window, press: Press) -> None:
    press(opened, "Ctrl+,")
    page = page_of(opened)
    assert isinstance(page, SettingsPage)
    page.keys.table.show_action("next-step")
    page.keys.table.list.setFocus()
    press(opened, "Return", "F7", "Escape")
    assert opened.room == "review"
    assert page_of(opened) is None
    opened.take_film_focus()
    press(opened, "F7")
    assert opened.desk is not None
    assert len(opened.desk.review.steps) == 1


def test_the_covered_window_marks_nothing(opened: Window, press: Press) -> None:
    opened.person = Person("T01")
    opened._cover.cover()
    press(opened, "Return", "T", "0", "Ctrl+Z", "Ctrl+N", "F1", "Ctrl+1")
    assert opened._cover.is_down
    assert opened.desk is not None
    assert opened.desk.review.steps == ()
    assert opened.desk.review.pauses == ()
    assert page_of(opened) is None


def test_the_person_who_comes_back_has_a_review_of_their_own(
    opened: Window, press: Press, until: Until, type_text: Callable[[Window, str], None]
) -> None:
    opened._cover.cover()
    type_text(opened, "T01")
    press(opened, "Return")
    until(lambda: opened.desk is not None and opened.desk.review.reviewer == "T01")
    assert not opened._cover.is_down


def test_a_case_of_several_films_is_made_and_shown(
    window: Window,
    press: Press,
    until: Until,
    film_maker: Callable[..., Path],
) -> None:
    films = [film_maker(f"REC0001_{n:02d}.MP4", 100, first=100 * (n - 1)) for n in (1, 2)]
    press(window, "Ctrl+N")
    page = page_of(window)
    assert isinstance(page, NewCasePage)
    page.add_films(tuple(films))
    until(lambda: not window.busy.is_busy)
    [make] = [one for one in page.findChildren(QPushButton) if one.text() == "Make the case"]
    make.setFocus()
    press(window, "Space")
    until(lambda: window.desk is not None and window.player.is_exact)
    assert window.room == "review"
