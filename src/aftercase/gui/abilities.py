"""What only the window can do, each a function of it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from aftercase.session.desk import Desk
from aftercase.session.stage import Ability
from aftercase.session.verbs import closing

if TYPE_CHECKING:
    from aftercase.gui.window import Window

_CLOSER: Final = 1.25
_CRITIQUE: Final = "critique"


def use(window: Window, ability: Ability) -> None:
    """Do one of the window's abilities."""
    _ABILITIES[ability](window)


def _full_screen(window: Window) -> None:
    if window.isFullScreen():
        window.showNormal()
    else:
        window.showFullScreen()


def _sound(window: Window) -> None:
    on = not window.settings.sound_on
    window.change_settings(sound_on=on)
    window.tell("The film is heard." if on else "The film is silent.")


def _strip(factor: float) -> Callable[[Window], None]:
    def zoom(window: Window) -> None:
        if window.desk is not None:
            window.strip.zoom_by(factor, window.desk.at_us)

    return zoom


def _report(window: Window) -> None:
    desk = window.desk
    if desk is None:
        return
    if desk.hand.saving.word != "saved":
        desk.tell("It is still being saved. Try once more when it says “saved”.", "refused")
        return

    # Late: they load pandas, and the window must show at once.
    from aftercase.metrics.subject import Settings as GapSettings
    from aftercase.session.tasks.critique import Written, write_critique

    def done(written: Written) -> None:
        page = next(file for file in written.files if file.suffix == ".html")
        window.tell(" ".join([f"The report is written: {page}", *written.notes]))

    window.in_background(
        "Writing the report",
        partial(write_critique, reviewer=desk.review.reviewer),
        desk.opened.folder.path,
        report_folder(desk),
        GapSettings(shortest_gap_us=desk.settings.gap_threshold_us),
        window.at,
        done=done,
    )


def report_folder(desk: Desk) -> Path:
    """Return where a report goes: into the case, but a draft's stays with its reviewer."""
    folder = desk.opened.folder
    if desk.is_draft:
        draft = folder.draft_file(desk.case.id, desk.review.reviewer, desk.review.revision)
        return draft.with_name(f"{_CRITIQUE}-{desk.review.reviewer}")
    return folder.path / _CRITIQUE


def _with_desk(verb: Callable[..., object]) -> Callable[[Window], None]:
    def run(window: Window) -> None:
        if window.desk is not None:
            verb(window.desk)

    return run


_ABILITIES: Final[dict[Ability, Callable[[Window], None]]] = {
    "full-screen": _full_screen,
    "closer": lambda window: window.film.zoom_by(_CLOSER),
    "farther": lambda window: window.film.zoom_by(1 / _CLOSER),
    "whole-picture": lambda window: window.film.reset_zoom(),
    "sound": _sound,
    "open-strip": lambda window: window.strip.open_up(),
    "strip-in": _strip(0.5),
    "strip-out": _strip(2.0),
    "strip-whole": lambda window: window.strip.show_whole(),
    "report": _report,
    "seal": _with_desk(closing.seal_review),
    "release": _with_desk(closing.release_review),
    "correct": _with_desk(closing.correct_review),
    "save-again": _with_desk(lambda desk: desk.hand.try_again()),
}
