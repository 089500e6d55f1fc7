"""Making a case: films dropped, put in order by keys, looked at joint by joint, made."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QCheckBox, QComboBox, QLabel, QLineEdit, QListWidget, QPushButton
from pytestqt.qtbot import QtBot

from aftercase.gui.pages.case_part import free_code
from aftercase.gui.pages.new_case import NewCasePage
from aftercase.session.opened import open_case
from aftercase.session.settings import cases_folder_of

LONG_MS = 30_000


@pytest.fixture
def page(qtbot: QtBot, host: Any) -> NewCasePage:
    made = NewCasePage(host)
    qtbot.addWidget(made)
    made.resize(1072, 800)
    made.show()
    qtbot.waitExposed(made)
    yield made
    made.stop()


@pytest.fixture
def parts(film_maker: Callable[..., Path]) -> list[Path]:
    """Three parts of one recording: frames 0 to 49, 50 to 99, 100 to 149."""
    return [
        film_maker(f"REC0001_{number + 1:02d}.MP4", 50, first=50 * number) for number in range(3)
    ]


def add(page: NewCasePage, host: Any, qtbot: QtBot, *places: Path) -> None:
    page.add_films(tuple(places))
    qtbot.waitUntil(lambda: not host.busy.is_busy, timeout=LONG_MS)


def names(page: NewCasePage) -> list[str]:
    return [file.name for file, _ in page.order.films]


def press(page: NewCasePage, qtbot: QtBot, name: str) -> None:
    [button] = [one for one in page.findChildren(QPushButton) if one.accessibleName() == name]
    qtbot.keyClick(button, Qt.Key.Key_Space)


def shown_words(page: NewCasePage) -> str:
    return "\n".join(one.text() for one in page.findChildren(QLabel) if one.isVisible())


def test_without_a_film_nothing_can_be_made(page: NewCasePage) -> None:
    [make] = [one for one in page.findChildren(QPushButton) if "Make" in one.text()]
    assert not make.isEnabled()


def test_films_dropped_in_any_order_stand_in_the_order_they_were_filmed(
    page: NewCasePage, host: Any, qtbot: QtBot, parts: list[Path]
) -> None:
    add(page, host, qtbot, parts[2], parts[0], parts[1])
    assert names(page) == ["REC0001_01.MP4", "REC0001_02.MP4", "REC0001_03.MP4"]


def test_keys_move_a_film_and_leave_one_out(
    page: NewCasePage, host: Any, qtbot: QtBot, parts: list[Path]
) -> None:
    add(page, host, qtbot, *parts)
    films = page.findChild(QListWidget)
    films.setCurrentRow(2)
    qtbot.keyClick(films, Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert names(page) == ["REC0001_01.MP4", "REC0001_03.MP4", "REC0001_02.MP4"]
    assert films.currentRow() == 1
    qtbot.keyClick(films, Qt.Key.Key_Down, Qt.KeyboardModifier.AltModifier)
    assert names(page) == ["REC0001_01.MP4", "REC0001_02.MP4", "REC0001_03.MP4"]
    qtbot.keyClick(films, Qt.Key.Key_Delete)
    assert names(page) == ["REC0001_01.MP4", "REC0001_02.MP4"]
    press(page, qtbot, "Play it earlier")
    assert names(page) == ["REC0001_02.MP4", "REC0001_01.MP4"]


def test_a_joint_says_in_words_what_fits_and_shows_both_pictures(
    page: NewCasePage, host: Any, qtbot: QtBot, parts: list[Path]
) -> None:
    add(page, host, qtbot, parts[0], parts[1])
    said = "names: fits (2 comes after 1)"
    qtbot.waitUntil(lambda: said in shown_words(page), timeout=LONG_MS)
    pictures = {
        one.accessibleName(): one
        for one in page.findChildren(QLabel)
        if one.accessibleName().startswith(("last of", "first of")) and one.isVisible()
    }
    assert set(pictures) == {"last of 1, “REC0001_01.MP4”", "first of 2, “REC0001_02.MP4”"}
    # Frame 49 is 00110001 and frame 50 is 00110010: bits 0 and 1 of the burnt-in number differ.
    for name, bits in (
        ("last of 1, “REC0001_01.MP4”", "100"),
        ("first of 2, “REC0001_02.MP4”", "010"),
    ):
        shown = pictures[name].pixmap().toImage()
        block_px = shown.width() / 8
        lights = [
            shown.pixelColor(int((bit + 0.5) * block_px), int(block_px / 2)).lightness() > 127
            for bit in range(3)
        ]
        assert "".join(str(int(light)) for light in lights) == bits


def test_a_joint_that_does_not_fit_is_said_at_once_after_a_move(
    page: NewCasePage, host: Any, qtbot: QtBot, parts: list[Path]
) -> None:
    add(page, host, qtbot, parts[0], parts[1])
    assert "does not fit" not in shown_words(page)
    page.move_film(1)
    said = "names: does not fit (1 does not come after 2)"
    qtbot.waitUntil(lambda: said in shown_words(page))


def test_a_bad_file_is_named_and_left_out_only_by_choice(
    page: NewCasePage, host: Any, qtbot: QtBot, parts: list[Path], tmp_path: Path
) -> None:
    bad = tmp_path / "REC0001_09.MP4"
    bad.write_bytes(parts[0].read_bytes()[:400])
    add(page, host, qtbot, parts[0], bad)
    assert f"These cannot be opened:\n{bad}" in shown_words(page)
    [make] = [one for one in page.findChildren(QPushButton) if one.text() == "Make the case"]
    assert not make.isEnabled()
    [choice] = [one for one in page.findChildren(QCheckBox) if one.text() == "Leave these out"]
    qtbot.keyClick(choice, Qt.Key.Key_Space)
    assert make.isEnabled()


def test_the_same_film_twice_is_taken_once_and_said(
    page: NewCasePage, host: Any, qtbot: QtBot, parts: list[Path], tmp_path: Path
) -> None:
    add(page, host, qtbot, parts[0])
    twin = tmp_path / "copy" / "OTHER.MP4"
    twin.parent.mkdir()
    twin.write_bytes(parts[0].read_bytes())
    add(page, host, qtbot, twin)
    assert names(page) == ["REC0001_01.MP4"]
    assert "“OTHER.MP4” is left out" in shown_words(page)


def test_a_folder_without_films_is_refused_in_words(
    page: NewCasePage, host: Any, qtbot: QtBot, tmp_path: Path
) -> None:
    (tmp_path / "empty").mkdir()
    add(page, host, qtbot, tmp_path / "empty")
    assert host.told == [("There is no film in this folder. Give the card's folder.", "refused")]


def test_the_case_is_made_in_the_order_shown_with_what_was_said(
    page: NewCasePage, host: Any, qtbot: QtBot, parts: list[Path]
) -> None:
    add(page, host, qtbot, parts[0], parts[1])
    page.move_film(1)
    technique = next(
        one for one in page.findChildren(QComboBox) if one.accessibleName() == "Technique"
    )
    technique.setFocus()
    qtbot.keyClick(technique, Qt.Key.Key_Down)
    starts = next(
        one
        for one in page.findChildren(QLineEdit)
        if one.accessibleName() == "This case on its film, start"
    )
    qtbot.keyClicks(starts, "1.0")
    press(page, qtbot, "Make the case")
    qtbot.waitUntil(lambda: bool(host.opened), timeout=LONG_MS)
    assert "leave" in host.did
    case = open_case(host.opened[0], host.at).case
    assert case.code == "case-1"
    assert [part.path for part in case.parts] == ["REC0001_02.MP4", "REC0001_01.MP4"]
    assert case.window is not None
    assert (case.window.start_us, case.window.end_us) == (1_000_000, 4_000_000)
    assert [entry.value for entry in case.technique] == ["divide-and-conquer"]


def test_a_code_that_is_taken_or_none_is_refused_before_anything_is_read(
    page: NewCasePage, host: Any, qtbot: QtBot, parts: list[Path]
) -> None:
    add(page, host, qtbot, parts[0])
    code = next(
        one for one in page.findChildren(QLineEdit) if one.accessibleName() == "Code of the case"
    )
    code.setText("no code!")
    press(page, qtbot, "Make the case")
    assert "a code is up to 40 letters" in shown_words(page)
    (cases_folder_of(host.settings, host.at) / "case-5").mkdir(parents=True)
    code.setText("case-5")
    press(page, qtbot, "Make the case")
    assert "There is a case “case-5” already." in shown_words(page)
    assert not host.busy.is_busy


def test_the_proposed_code_is_the_first_that_is_free(tmp_path: Path) -> None:
    assert free_code(tmp_path) == "case-1"
    (tmp_path / "case-1").mkdir()
    (tmp_path / "case-3").mkdir()
    assert free_code(tmp_path) == "case-2"


def test_what_comes_back_after_the_page_was_left_is_told_and_opens_nothing(
    page: NewCasePage, host: Any, qtbot: QtBot, parts: list[Path]
) -> None:
    add(page, host, qtbot, parts[0])
    press(page, qtbot, "Make the case")
    page.stop()
    qtbot.waitUntil(lambda: not host.busy.is_busy, timeout=LONG_MS)
    assert host.opened == []
    assert host.told[-1][0].startswith("The case is made: ")
