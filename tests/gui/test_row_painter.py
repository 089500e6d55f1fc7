"""What painted rows share: as tall as their words, and a ring around the one with the keys."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import pytest
from PyQt6.QtCore import QRect
from PyQt6.QtGui import QFont, QFontMetrics, QPainter
from PyQt6.QtWidgets import QApplication, QListWidget, QListWidgetItem

from aftercase.gui.review.remark_rows import RemarkPainter
from aftercase.gui.review.sign_list import SignList
from aftercase.gui.review.step_rows import StepPainter
from aftercase.gui.row_painter import ROW, WRAPPED, RowPainter, font_of, in_bold, room_for
from aftercase.gui.theme import LIGHT, wear

HOST: Any = SimpleNamespace(theme=LIGHT)
LONG = "the flap is held far from where it tears " * 4


@dataclass(frozen=True)
class Laid:
    text: QRect
    height: int


class TextPainter(RowPainter[str, Laid]):
    """Rows that are nothing but a text."""

    def laid(self, row: str, width_px: int, font_words: str) -> Laid:
        text = room_for(QFontMetrics(font_of(font_words)), 0, 0, width_px, row)
        return Laid(text, text.height() + 4)

    def paint_row(self, painter: QPainter, row: str, laid: Laid, font: QFont) -> None:
        painter.setFont(font)
        painter.drawText(laid.text, WRAPPED, row)


@pytest.fixture
def rows(qapp: QApplication) -> Iterator[QListWidget]:
    """A short row, and one of several lines."""
    wear(qapp, LIGHT, 100)
    made = QListWidget()
    made.setItemDelegate(TextPainter(HOST, made))
    for text in ("calm", LONG):
        item = QListWidgetItem()
        item.setData(ROW, text)
        made.addItem(item)
    made.resize(240, 300)
    made.show()
    made.activateWindow()
    made.setFocus()
    qapp.processEvents()
    yield made
    made.close()
    made.deleteLater()


def ringed(rows: QListWidget) -> list[bool]:
    """Say of each row whether its upper edge, a pixel inside, is in the focus colour."""
    port = rows.viewport()
    image = port.grab().toImage()
    boxes = (rows.visualItemRect(rows.item(place)) for place in range(rows.count()))
    return [
        image.pixelColor(box.center().x(), box.top() + 1).name().upper() == LIGHT.focus
        for box in boxes
    ]


def test_no_text_takes_no_height() -> None:
    metrics = QFontMetrics(QFont())
    assert room_for(metrics, 3, 7, 50, "") == QRect(3, 7, 50, 0)


def test_a_text_takes_as_many_lines_as_it_wraps_to(rows: QListWidget) -> None:
    line_px = QFontMetrics(rows.font()).height()
    short, long = (rows.visualItemRect(rows.item(place)).height() for place in range(2))
    assert line_px + 4 <= short < 2 * line_px
    assert long > 4 * line_px


def test_a_narrower_list_has_taller_rows(rows: QListWidget, qapp: QApplication) -> None:
    before_px = rows.visualItemRect(rows.item(1)).height()
    rows.resize(120, 300)
    rows.doItemsLayout()
    assert rows.visualItemRect(rows.item(1)).height() > before_px


@pytest.mark.parametrize("place", [0, 1])
def test_only_the_row_with_the_keys_has_a_ring(
    rows: QListWidget, qapp: QApplication, place: int
) -> None:
    rows.setCurrentRow(place)
    qapp.processEvents()
    assert ringed(rows) == [number == place for number in range(2)]
    rows.clearFocus()
    qapp.processEvents()
    assert ringed(rows) == [False, False]


def test_bold_is_a_font_of_its_own() -> None:
    plain = QFont()
    assert in_bold(plain, True).bold()
    assert not plain.bold()


def test_every_list_of_painted_rows_has_the_same_base(qapp: QApplication) -> None:
    listed = QListWidget()
    signs = SignList(HOST, "signs")
    painters = (StepPainter(HOST, listed), RemarkPainter(HOST, listed), signs.itemDelegate())
    assert all(isinstance(one, RowPainter) for one in painters)
    assert all(type(one).paint is RowPainter.paint for one in painters)
    for widget in (listed, signs):
        widget.deleteLater()
