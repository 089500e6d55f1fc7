"""What is taken a picture of, as a table: a name, and how the window gets there."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from camera import Camera

from aftercase.gui.pages.table import PAGES
from aftercase.gui.review.asks import ASKS
from aftercase.model.picture import PicturePoint
from aftercase.session.people import Person

FILM_US = 70_000_000
ANSWERED_US = 38_000_000
EXAMPLE_PX = (768, 432)


@dataclass(frozen=True)
class Picture:
    """One picture.

    Attributes:
        name: What its file is called.
        arrange: Gets there from the review room with nothing open.
        leave: Undoes what going back to the review room does not.
    """

    name: str
    arrange: Callable[[Camera], None]
    leave: Callable[[Camera], None] = lambda camera: None


@dataclass(frozen=True)
class Sitting:
    """Somebody at the window.

    Attributes:
        person: Who.
        pictures: What they look at.
        begin: What they do first.
    """

    person: Person
    pictures: tuple[Picture, ...]
    begin: Callable[[Camera], None] = lambda camera: None


def _at_rest(camera: Camera) -> None:
    """Let the window stand in the review room, nothing open, on the same frame."""
    window = camera.window
    window._cover.lift()
    window.leave_page()
    window._bench.stop_asking()
    window._bench.line.put_away()
    if window.strip.is_open:
        window.strip.open_up()
    window.desk.select()
    window.enter("review")
    window.player.stop_loop()
    window.player.rest()
    window.player.go_to(FILM_US)
    camera.until(lambda: window.player.at_us >= FILM_US and window.player.is_exact)


def take_pictures(camera: Camera, sitting: Sitting, themes: tuple[str, ...]) -> None:
    """Take those of a sitting's pictures that are wanted."""
    names = [picture.name for picture in sitting.pictures]
    if not any(camera.wants(name, theme) for name in names for theme in themes):
        return
    window = camera.window
    if window.person != sitting.person:
        window.be(sitting.person)
    camera.wait_for_film()
    sitting.begin(camera)
    for theme in themes:
        window.change_settings(theme=theme)
        for picture in sitting.pictures:
            if camera.wants(picture.name, theme):
                _at_rest(camera)
                picture.arrange(camera)
                camera.shoot(picture.name)
                picture.leave(camera)
                _at_rest(camera)


# Ways to get there ------------------------------------------------------------------------


def _nowhere(camera: Camera) -> None:
    pass


def _strip_open(camera: Camera) -> None:
    camera.window.strip.open_up()


def _line(camera: Camera) -> None:
    camera.window.open_line("work-on")


def _ask(question: str, camera: Camera) -> None:
    camera.window.ask(question)


def _about(kind: str, camera: Camera) -> None:
    window = camera.window
    window.desk.select(getattr(window.desk.review, kind)[-1].id)
    window.ask("about-mark")


def _selected_remark(camera: Camera) -> None:
    window = camera.window
    window.desk.select(window.desk.review.remarks[1].id)


def _measuring(key: str, places: Any, camera: Camera) -> None:
    """Take a tool and set places, in pixels of the example's frames."""
    window = camera.window
    window.ask("measure")
    window._bench.asking._take_row(f"tool {key}")
    for x, y in places:
        share = {"x": x / EXAMPLE_PX[0], "y": y / EXAMPLE_PX[1]}
        window.film.pointed.emit(PicturePoint(**share, part=0, at_us=window.desk.at_us))


def _measured(camera: Camera) -> None:
    """Keep a ruler and a capsulorhexis, and show them among the tools."""
    window = camera.window
    _measuring("optic", _ring(75), camera)
    window._bench.asking._keep()
    _measuring("capsulorhexis", _ring(68), camera)
    window._bench.asking._keep()


def _take_measures_away(camera: Camera) -> None:
    window = camera.window
    for _ in range(2):
        window.desk.undo()


def _ring(radius_px: float) -> list[tuple[float, float]]:
    x, y = EXAMPLE_PX[0] / 2, EXAMPLE_PX[1] / 2
    turns = [2 * math.pi * n / 8 for n in range(8)]
    return [(x + radius_px * math.cos(turn), y + radius_px * math.sin(turn)) for turn in turns]


def _page(page: str, camera: Camera) -> None:
    camera.window.show_page(page)


def _start(camera: Camera) -> None:
    window = camera.window
    window.enter("start")
    camera.until(lambda: not window._start.is_looking and not window.busy.is_busy)


def _replies(camera: Camera) -> None:
    _start(camera)
    _press(camera.window._start, "Read all in full")


def _covered(camera: Camera) -> None:
    camera.window._cover.cover()


def _third_moment(camera: Camera) -> None:
    window = camera.window
    window.enter("replay")
    for _ in range(3):
        window.replay("next")
    camera.until(lambda: window.player.at_us > ANSWERED_US)
    window.player.rest()


def _replay(deed: str, camera: Camera) -> None:
    _third_moment(camera)
    camera.window.replay(deed)


def _all_moments(camera: Camera) -> None:
    camera.window.replay("before")


def _others(camera: Camera) -> None:
    _replay("others", camera)
    camera.until(lambda: not camera.window.busy.is_busy)


def _beside(camera: Camera) -> None:
    _replay("beside", camera)
    sides = camera.window._sheet.page.sides
    camera.until(lambda: all(side.has_film and side.player.is_exact for side in sides))


def _begin_to_correct(camera: Camera) -> None:
    """Begin a correction, and open the case anew: a draft takes earlier goals when it opens."""
    window = camera.window
    camera.until(lambda: window.desk.hand.saving.word == "saved")
    window.use("correct")
    camera.until(lambda: window.desk.hand.saving.word == "saved")
    window.open_path(window.desk.opened.folder.path)
    camera.wait_for_film()
    camera.until(lambda: not window.busy.is_busy)


def _press(place: Any, text: str) -> None:
    from PyQt6.QtWidgets import QPushButton

    for button in place.findChildren(QPushButton):
        if button.text() == text:
            button.click()


_TEACHERS = (
    Picture("review", _nowhere),
    Picture("review-strip-open", _strip_open),
    Picture("review-line", _line),
    Picture("review-selected", _selected_remark),
    *(Picture(f"ask-{question}", partial(_ask, question))
      for question in ASKS if question != "about-mark"),
    *(Picture(f"ask-about-{kind}", partial(_about, kind))
      for kind in ("steps", "events", "remarks", "instruments")),
    Picture("measure-ruler", partial(_measuring, "limbus", _ring(146))),
    Picture("measure-rhexis", partial(_measuring, "capsulorhexis", _ring(68))),
    Picture("measure-tip", partial(_measuring, "tip-path", [(380, 200)])),
    Picture("measure-kept", _measured, _take_measures_away),
    *(Picture(f"page-{page}", partial(_page, page)) for page in PAGES),
    Picture("start", _start),
    Picture("page-replies", _replies),
    Picture("covered", _covered),
)  # fmt: skip
_RESIDENTS = (
    Picture("replay", _third_moment),
    Picture("replay-answering", partial(_replay, "answer")),
    Picture("replay-before-the-case", partial(_replay, "before"), _all_moments),
    Picture("replay-others", _others),
    Picture("page-both-sides", partial(_replay, "both")),
    Picture("page-beside", _beside),
    Picture("resident-start", _start),
)
_ONES_OWN = (
    Picture("resident-released", partial(_page, "closing")),
    Picture("resident-review", _nowhere),
)
_HANDING_IN = (Picture("resident-handing-in", partial(_page, "closing")),)
_RELEASED = (
    Picture("released", _nowhere),
    Picture("page-closing-released", partial(_page, "closing")),
)
TEACHER, RESIDENT = Person("T01", "teacher"), Person("R07", "trainee")
SITTINGS = (
    Sitting(TEACHER, _RELEASED),
    Sitting(TEACHER, _TEACHERS, _begin_to_correct),
    Sitting(RESIDENT, _ONES_OWN),
    Sitting(RESIDENT, _HANDING_IN, _begin_to_correct),
    Sitting(RESIDENT, _RESIDENTS),
)
"""In this order: a correction begins with what was released."""
