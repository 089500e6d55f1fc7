"""Asked before a case that shares its film with others is shown: is it this patient's eye?"""

from __future__ import annotations

from PyQt6.QtWidgets import QVBoxLayout, QWidget

from aftercase.clock import text_of
from aftercase.gui.host import Host
from aftercase.gui.pages.building import button, label, panel, row
from aftercase.model.base import NOT_SAID
from aftercase.session.stage import Room


class RightCasePage(QWidget):
    """Code, eye and stretch of the film, and whether they are right; nothing is shown until then.

    Args:
        host: The window, with the case on its desk.
        room: Where the case is shown once this was said.
    """

    title = "Is it this case?"

    def __init__(self, host: Host, room: Room) -> None:
        super().__init__()
        desk = host.desk
        assert desk is not None, "a case is asked about"
        which = f"{desk.case.eye} eye" if desk.case.eye != NOT_SAID else "eye not said"
        start, end = map(text_of, desk.bounds_us)
        yes = button("Yes, show it", lambda: host.enter(room))
        column = QVBoxLayout(self)
        column.addWidget(
            panel(
                f"Case {desk.case.code}, {which}",
                label(f"From {start} to {end} of its film."),
                label(
                    "The film may hold other cases too. Make sure that this is the one you mean: "
                    "what is marked in the wrong one is about another patient.",
                    "soft",
                ),
                row(
                    yes,
                    button("Say otherwise", lambda: host.show_page("case"), "Change code or eye"),
                    button("No, another case", lambda: host.enter("start")),
                ),
            )
        )
        column.addStretch(1)
        self.setFocusProxy(yes)
