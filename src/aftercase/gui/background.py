"""What begins by itself when a case is put on the desk, beside the window."""

from __future__ import annotations

from functools import partial

from aftercase.edit.records import add_all
from aftercase.gui.host import Host
from aftercase.session.cases import cases_near
from aftercase.session.copying import copy_films_of
from aftercase.session.desk import Desk
from aftercase.session.goals import FoundGoals, carried_over, open_goals


def begin_background(host: Host, desk: Desk) -> None:
    """Make the small copies, and look for goals of the trainee that are still open."""
    folder = desk.opened.folder.path
    if host.settings.scrub_copies and desk.frames.has_film:
        host.in_background("Small copies for browsing", copy_films_of, folder, host.at)
    trainee = desk.case.trainee
    if trainee is not None and desk.is_draft:
        host.in_background(
            "Goals of earlier cases",
            partial(open_goals, trainee),
            cases_near(folder, host.at),
            host.at,
            done=lambda found: _take_goals(host, desk, found),
        )


def _take_goals(host: Host, desk: Desk, found: FoundGoals) -> None:
    """Lay earlier goals into the review they are rated in, and say so."""
    if desk is not host.desk or not found.goals:
        return
    goals = carried_over(desk.review, found.goals, desk.guide, desk.new_id)
    if desk.bring_in(lambda review: add_all(review, "goals", goals)):
        host.tell("Goals from earlier cases stand above the remarks; rate them in the closing (C).")
