"""Colours and sizes, light and dark; marks are told apart by shape and word before colour.

Source: mark colours are the palette of Okabe and Ito, chosen to be told apart by colour-blind
people (from memory); contrast by WCAG 2.2, success criterion 1.4.3, 4.5 to 1.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from PyQt6.QtGui import QColor, QFont, QPalette
from PyQt6.QtWidgets import QApplication

BLACK: Final = "#000000"
ORANGE: Final = "#E69F00"
SKY: Final = "#56B4E9"
GREEN: Final = "#009E73"
YELLOW: Final = "#F0E442"
BLUE: Final = "#0072B2"
VERMILION: Final = "#D55E00"
PURPLE: Final = "#CC79A7"

ThemeName = Literal["light", "dark"]


@dataclass(frozen=True)
class Theme:
    """The colours of one theme, as ``#rrggbb``.

    Attributes:
        name: ``light`` or ``dark``.
        window: Behind everything.
        panel: Behind lists and forms.
        raised: Behind buttons, fields, and the selected row's neighbours.
        text: Text on any of these.
        soft_text: Text of less weight, still 4.5 to 1.
        line: Edges between panels.
        accent: The running step, the selection.
        accent_text: Text on the accent.
        focus: The focus ring.
        warn: What was refused or not saved.
        surround: Around the film, in both themes.
        surround_text: Text there.
    """

    name: ThemeName
    window: str
    panel: str
    raised: str
    text: str
    soft_text: str
    line: str
    accent: str
    accent_text: str
    focus: str
    warn: str
    surround: str = "#101214"
    surround_text: str = "#E8EAED"


LIGHT: Final = Theme(
    "light", window="#E9ECEF", panel="#F8F9FA", raised="#FFFFFF", text="#16191D",
    soft_text="#4A525B", line="#B4BBC3", accent="#0063A0", accent_text="#FFFFFF",
    focus="#B34700", warn="#A33A00",
)  # fmt: skip
DARK: Final = Theme(
    "dark", window="#17191C", panel="#1F2226", raised="#2B2F35", text="#ECEFF2",
    soft_text="#B3BBC4", line="#474E57", accent="#56B4E9", accent_text="#0B0D0F",
    focus="#F0E442", warn="#FF9A5C",
)  # fmt: skip
THEMES: Final[dict[ThemeName, Theme]] = {"light": LIGHT, "dark": DARK}

MARK_COLOURS: Final[dict[str, tuple[str, str]]] = {
    "well-done": ("#00654A", "#35C79B"),
    "work-on": ("#A33A00", "#FF9A5C"),
    "teaching-point": ("#0063A0", "#56B4E9"),
    "safety": ("#8A2A5E", "#E6A3C8"),
    "question": ("#5C5300", "#F0E442"),
}
"""Remark kind to its colour on light and on dark panels: Okabe-Ito hues at readable lightness."""

BASE_POINT_SIZE: Final = 10.5
_TITLE: Final = 1.5
_SIGNS: Final = Path(__file__).parent / "signs"


def mark_colour(theme: Theme, kind: str) -> str:
    """Return a remark kind's colour on a theme's panels; the text's for an unknown kind."""
    light, dark = MARK_COLOURS.get(kind, (theme.text, theme.text))
    return light if theme.name == "light" else dark


def contrast(first: str, second: str) -> float:
    """Return the contrast of two colours, 1 to 21.

    Source:
        WCAG 2.2, relative luminance and contrast ratio.

    Example:
        >>> round(contrast("#000000", "#FFFFFF"), 1)
        21.0
    """
    lighter, darker = sorted((_luminance(first), _luminance(second)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def chosen_theme(word: str, app: QApplication) -> Theme:
    """Return the theme for a setting: ``light``, ``dark``, else the desktop's."""
    if word in ("light", "dark"):
        return THEMES["dark" if word == "dark" else "light"]
    window = app.palette().color(QPalette.ColorRole.Window)
    return DARK if window.lightness() < 128 else LIGHT


def wear(app: QApplication, theme: Theme, text_size_percent: int) -> None:
    """Give the whole program a theme and a text size."""
    points = BASE_POINT_SIZE * text_size_percent / 100
    font = QFont(app.font())
    font.setPointSizeF(points)
    app.setFont(font)
    app.setPalette(_palette(theme))
    app.setStyleSheet(style_sheet(theme, points))


def _palette(theme: Theme) -> QPalette:
    role = QPalette.ColorRole
    colours = {
        role.Window: theme.window,
        role.WindowText: theme.text,
        role.Base: theme.raised,
        role.AlternateBase: theme.panel,
        role.Text: theme.text,
        role.PlaceholderText: theme.soft_text,
        role.Button: theme.raised,
        role.ButtonText: theme.text,
        role.Highlight: theme.accent,
        role.HighlightedText: theme.accent_text,
        role.ToolTipBase: theme.raised,
        role.ToolTipText: theme.text,
        role.Link: theme.accent,
    }
    palette = QPalette()
    for which, colour in colours.items():
        palette.setColor(which, QColor(colour))
    for which in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, which, QColor(theme.soft_text))
    return palette


def style_sheet(theme: Theme, points: float) -> str:
    """Return the style sheet of a theme: flat panels, clear edges, a visible focus ring.

    Args:
        theme: The colours.
        points: Size of the text that titles are measured by; a style sheet knows no shares of it.
    """
    return f"""
QWidget {{ color: {theme.text}; }}
QMainWindow, QDialog, QMenuBar, QStatusBar {{ background: {theme.window}; }}
QMenuBar::item {{ padding: 3px 8px; background: transparent; }}
QMenuBar::item:selected, QMenu::item:selected {{
    background: {theme.accent}; color: {theme.accent_text}; }}
QMenu {{ background: {theme.raised}; border: 1px solid {theme.line}; }}
QMenu::item {{ padding: 4px 22px 4px 14px; }}
QMenu::item:disabled {{ color: {theme.soft_text}; }}
QMenu::separator {{ height: 1px; background: {theme.line}; margin: 4px 8px; }}
*[role="panel"] {{ background: {theme.panel}; }}
*[role="soft"] {{ color: {theme.soft_text}; }}
*[role="warn"] {{ color: {theme.warn}; }}
*[role="title"] {{ font-size: {_TITLE * points:.1f}pt; font-weight: 600; }}
*[role="heading"] {{ font-weight: 600; }}
QLineEdit, QPlainTextEdit, QTextEdit, QComboBox, QSpinBox, QDoubleSpinBox, QDateEdit {{
    background: {theme.raised}; border: 1px solid {theme.line}; border-radius: 3px;
    padding: 3px 5px; selection-background-color: {theme.accent};
    selection-color: {theme.accent_text}; }}
QComboBox::drop-down {{ border: none; width: 1.4em; }}
QComboBox::down-arrow {{ image: url("{_sign("open", theme)}"); width: 0.7em; height: 0.7em; }}
QComboBox QAbstractItemView {{ background: {theme.raised}; color: {theme.text};
    selection-background-color: {theme.accent}; selection-color: {theme.accent_text}; }}
QListView, QTreeView, QTableView, QListWidget, QTreeWidget, QTableWidget {{
    background: {theme.panel}; alternate-background-color: {theme.panel};
    border: 1px solid {theme.line}; outline: none; }}
QListView::item:selected, QTreeView::item:selected, QTableView::item:selected {{
    background: {theme.accent}; color: {theme.accent_text}; }}
QHeaderView::section {{ background: {theme.window}; border: none;
    border-bottom: 1px solid {theme.line}; padding: 3px 6px; }}
QPushButton, QToolButton {{ background: {theme.raised}; border: 1px solid {theme.line};
    border-radius: 3px; padding: 4px 10px; }}
QPushButton:default {{ border: 2px solid {theme.accent}; }}
QPushButton:pressed, QPushButton:checked, QToolButton:checked {{
    background: {theme.accent}; color: {theme.accent_text}; }}
QPushButton:disabled, QToolButton:disabled {{
    color: {theme.soft_text}; background: {theme.window}; }}
QLineEdit:disabled, QComboBox:disabled {{
    color: {theme.soft_text}; background: {theme.window}; }}
QLineEdit:focus, QPlainTextEdit:focus, QTextEdit:focus, QComboBox:focus, QSpinBox:focus,
QDoubleSpinBox:focus, QPushButton:focus, QToolButton:focus, QListView:focus, QTreeView:focus,
QTableView:focus, QListWidget:focus, QTreeWidget:focus, QTableWidget:focus, QScrollArea:focus {{
    border: 2px solid {theme.focus}; }}
QSlider {{ border: 2px solid transparent; border-radius: 3px; }}
QSlider:focus {{ border-color: {theme.focus}; }}
QCheckBox:focus, QRadioButton:focus {{ border: 2px solid {theme.focus}; border-radius: 3px; }}
QCheckBox, QRadioButton {{ spacing: 6px; padding: 2px; }}
{_tick_rules(theme)}
{_bar_rules(theme)}
QToolTip {{ background: {theme.raised}; color: {theme.text}; border: 1px solid {theme.line}; }}
"""


def _tick_rules(theme: Theme) -> str:
    """Return the rules of ticks; the style's own box has an edge darker than a dark panel."""
    return f"""
QCheckBox::indicator, QAbstractItemView::indicator {{ width: 0.85em; height: 0.85em;
    border: 1px solid {theme.soft_text}; border-radius: 2px; background: {theme.raised}; }}
QCheckBox::indicator:checked, QAbstractItemView::indicator:checked {{
    background: {theme.accent}; border-color: {theme.text};
    image: url("{_sign("tick", theme)}"); }}
"""


def _sign(name: str, theme: Theme) -> str:
    """Return where a sign that a style sheet names is drawn; its colour is the theme's."""
    return (_SIGNS / f"{name}-{theme.name}.svg").as_posix()


def _bar_rules(theme: Theme) -> str:
    """Return the rules of what scrolls, tells progress, and parts panels."""
    return f"""
QScrollArea {{ border: 2px solid transparent; background: transparent; }}
QScrollBar:vertical {{ background: {theme.panel}; width: 10px; }}
QScrollBar:horizontal {{ background: {theme.panel}; height: 10px; }}
QScrollBar::handle {{ background: {theme.line}; border-radius: 4px; min-height: 24px;
    min-width: 24px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QProgressBar {{ background: {theme.raised}; border: 1px solid {theme.line}; border-radius: 3px;
    text-align: center; }}
QProgressBar::chunk {{ background: {theme.accent}; }}
QSplitter::handle {{ background: {theme.line}; }}
QSplitter::handle:horizontal {{ width: 2px; }}
QSplitter::handle:vertical {{ height: 2px; }}
"""
