"""The window itself: what the film may show, and how large its words are."""

import threading

import pytest
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QLabel

from aftercase.edit.header import change_header
from aftercase.gui.app import made_window, put_away
from aftercase.gui.start.case_look import look_at
from aftercase.gui.theme import DARK, LIGHT, wear
from aftercase.model.case import Window as CaseStretch
from aftercase.session.recents import remember_case


def test_nothing_outside_the_case_is_shown_once_its_stretch_is_said(opened, until):
    desk, player = opened.desk, opened.player
    stretch = CaseStretch(start_us=10_000_000, end_us=20_000_000)
    desk.edit_header(lambda case: change_header(case, window=stretch), "say the case's stretch")
    until(lambda: player.is_exact and desk.at_us == 10_000_000)
    player.go_to(150_000_000)
    until(lambda: player.is_exact and desk.at_us == 19_960_000)  # the last frame, at 25 a second
    desk.hand.undo()
    desk.say("case")
    player.go_to(150_000_000)
    until(lambda: player.is_exact and desk.at_us == 150_000_000)


def test_a_case_that_shares_its_film_is_asked_about_before_it_is_shown(
    opened, film_case, until, press
):
    stretch = CaseStretch(start_us=10_000_000, end_us=20_000_000)
    opened.desk.edit_header(
        lambda case: change_header(case, window=stretch, eye="left"), "say which case it is"
    )
    until(lambda: opened.desk.hand.saving.word == "saved")
    opened.open_path(film_case)
    until(lambda: opened.desk is not None and opened.player.is_exact)
    said = "\n".join(
        label.text() for label in opened.centralWidget().currentWidget().findChildren(QLabel)
    )
    assert "Case C1, left eye" in said
    assert "From 0:00:10.000 to 0:00:20.000 of its film." in said
    assert not opened.film.isVisible()
    press(opened, "Return")
    assert opened.film.isVisible()
    assert opened.room == "review"
    opened.open_path(film_case)
    until(lambda: opened.desk is not None and opened.player.is_exact)
    press(opened, "Esc")
    assert opened.room == "start"


def test_a_title_is_half_as_large_again_as_other_words_at_any_text_size(qapp):
    title, words = QLabel("Settings"), QLabel("Theme")
    title.setProperty("role", "title")
    for theme, percent in ((LIGHT, 100), (DARK, 200)):
        wear(qapp, theme, percent)
        for label in (title, words):
            label.ensurePolished()
        larger = 1.5 * words.fontInfo().pointSizeF()
        assert title.fontInfo().pointSizeF() == pytest.approx(larger, abs=0.1)
    wear(qapp, LIGHT, 100)


def test_a_window_that_closes_while_cases_are_looked_at_tells_nothing_more(
    qapp, at, film_case, monkeypatch
):
    remember_case(at, film_case, "C1")
    began, may_go_on = threading.Event(), threading.Event()

    def slow(*args):
        began.set()
        may_go_on.wait(10)
        return look_at(*args)

    monkeypatch.setattr("aftercase.gui.start.start_page.look_at", slow)
    faults = []
    monkeypatch.setattr("sys.excepthook", lambda *fault: faults.append(fault))
    window = made_window(qapp, at)
    monkeypatch.setattr("sys.excepthook", lambda *fault: faults.append(fault))
    window.show()
    window.show_given(())
    assert began.wait(10)
    window.close()
    may_go_on.set()
    put_away(qapp, window)
    QTest.qWait(100)
    assert faults == []


def test_a_window_may_be_closed_twice(qapp, at, monkeypatch):
    faults = []
    window = made_window(qapp, at)
    monkeypatch.setattr("sys.excepthook", lambda *fault: faults.append(fault))
    window.show()
    window.close()
    window.close()
    put_away(qapp, window)
    assert faults == []
