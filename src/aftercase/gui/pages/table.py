"""Which page opens for which word."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PyQt6.QtWidgets import QWidget

from aftercase.gui.host import Host
from aftercase.gui.pages.case_form import CaseForm
from aftercase.gui.pages.closing_page import ClosingPage
from aftercase.gui.pages.find_film_page import FindFilmPage
from aftercase.gui.pages.keys_page import KeysPage
from aftercase.gui.pages.new_case import NewCasePage
from aftercase.gui.pages.open_case_page import OpenCasePage
from aftercase.gui.pages.person_page import PersonPage
from aftercase.gui.pages.settings_page import SettingsPage
from aftercase.gui.pages.tour import TourPage
from aftercase.session.stage import Page

PAGES: Final[dict[Page, Callable[[Host], QWidget]]] = {
    "closing": ClosingPage,
    "case": CaseForm,
    "settings": SettingsPage,
    "keys": KeysPage,
    "tour": TourPage,
    "new-case": NewCasePage,
    "open-case": OpenCasePage,
    "find-film": FindFilmPage,
    "person": PersonPage,
}
"""Every page; those about a case are only asked for while one is on the desk."""
