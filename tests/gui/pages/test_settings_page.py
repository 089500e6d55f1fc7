"""The settings page: type, and the choice holds at once and for next time."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import (
    QAbstractButton,
    QCheckBox,
    QComboBox,
    QFileDialog,
    QLabel,
    QLineEdit,
    QPushButton,
    QTreeWidget,
)
from pytestqt.qtbot import QtBot

from aftercase.gui.pages.settings_page import NUMBERS, SettingsPage, read_number
from aftercase.session.settings import Settings, cases_folder_of, read_settings


@pytest.fixture
def page(qtbot: QtBot, host: Any) -> SettingsPage:
    made = SettingsPage(host)
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    return made


def named(page: SettingsPage, kind: type[Any], name: str) -> Any:
    [found] = [one for one in page.findChildren(kind) if one.accessibleName() == name]
    return found


def type_number(page: SettingsPage, qtbot: QtBot, name: str, text: str) -> None:
    line = named(page, QLineEdit, NUMBERS[name].label)
    line.selectAll()
    qtbot.keyClicks(line, text)
    qtbot.keyClick(line, Qt.Key.Key_Return)


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("lead_us", "3.5", 3_500_000),
        ("gap_threshold_us", "2", 2_000_000),
        ("text_size_percent", "150", 150),
        ("last_rate", "0,5", 0.5),
        ("scrub_copies_limit_bytes", "7", 7_000_000_000),
        ("idle_minutes", "0", 0),
    ],
)
def test_a_number_that_is_typed_is_kept(
    page: SettingsPage, qtbot: QtBot, host: Any, name: str, text: str, value: float
) -> None:
    type_number(page, qtbot, name, text)
    assert getattr(host.settings, name) == value
    assert getattr(read_settings(host.at), name) == value


@pytest.mark.parametrize(
    ("name", "text"),
    [("lead_us", "-1"), ("lead_us", "soon"), ("text_size_percent", "300"),
     ("idle_minutes", "2.5"), ("last_rate", "0"), ("gap_threshold_us", "nan")],
)  # fmt: skip
def test_what_is_no_such_number_is_said_and_not_kept(
    page: SettingsPage, qtbot: QtBot, host: Any, name: str, text: str
) -> None:
    type_number(page, qtbot, name, text)
    assert host.settings == Settings()
    warned = [one for one in page.findChildren(QLabel) if one.property("role") == "warn"]
    assert any("It stays as it was." in one.text() for one in warned if one.isVisible())


def test_every_number_setting_reads_back_what_it_shows() -> None:
    for name, setting in NUMBERS.items():
        value = getattr(Settings(), name)
        assert read_number(setting, f"{value / setting.unit:g}") == value


@pytest.mark.parametrize("name", ["pause_on_type", "sound_on", "scrub_copies"])
def test_a_tick_is_set_by_space(page: SettingsPage, qtbot: QtBot, host: Any, name: str) -> None:
    words = {
        "pause_on_type": "The film rests while a remark is typed",
        "sound_on": "Films are heard",
        "scrub_copies": "Make small copies of films for browsing quickly",
    }
    before = getattr(host.settings, name)
    qtbot.keyClick(named(page, QCheckBox, words[name]), Qt.Key.Key_Space)
    assert getattr(host.settings, name) is not before


def test_theme_and_guide_are_chosen_by_the_arrows(
    page: SettingsPage, qtbot: QtBot, host: Any
) -> None:
    qtbot.keyClick(named(page, QComboBox, "Theme"), Qt.Key.Key_End)
    assert host.settings.theme == "dark"
    guide = named(page, QComboBox, "Guide of new cases")
    assert guide.currentText() == "Cataract by phacoemulsification"
    qtbot.keyClick(guide, Qt.Key.Key_End)
    assert host.settings.default_guide == "practice"


def test_the_cases_folder_is_chosen_and_the_usual_one_comes_back(
    page: SettingsPage, qtbot: QtBot, host: Any, tmp_path: Path
) -> None:
    usual = cases_folder_of(host.settings, host.at)
    qtbot.keyClick(named(page, QPushButton, "Choose where new cases are made"), Qt.Key.Key_Space)
    dialog = page.findChild(QFileDialog)
    dialog.filesSelected.emit([str(tmp_path)])
    dialog.reject()
    assert cases_folder_of(host.settings, host.at) == tmp_path
    assert any(one.text() == str(tmp_path) for one in page.findChildren(QLabel))
    qtbot.keyClick(named(page, QPushButton, "Make them where it is usual"), Qt.Key.Key_Space)
    assert cases_folder_of(host.settings, host.at) == usual


def test_keys_given_on_the_page_are_kept(page: SettingsPage, qtbot: QtBot, host: Any) -> None:
    page.keys.table.show_action("next-step")
    qtbot.keyClick(page.keys.table.list, Qt.Key.Key_Return)
    qtbot.keyClick(page.keys.table.list, Qt.Key.Key_F7)
    assert read_settings(host.at).keys == {"next-step": "F7"}


def test_every_control_has_a_name_and_takes_the_keyboard(page: SettingsPage) -> None:
    for kind in (QLineEdit, QComboBox, QAbstractButton, QTreeWidget):
        for control in page.findChildren(kind):
            if control.isVisible() and not isinstance(control.parent(), QLineEdit):
                assert control.accessibleName(), control
                assert control.focusPolicy() & Qt.FocusPolicy.TabFocus, control.accessibleName()
