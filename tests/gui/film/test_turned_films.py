"""Films shown turned or mirrored, pointed at and drawn on, against the ffmpeg program.

Where things are on the picture as shown is measured on what the ffmpeg program makes of the same
file; hours are those of the table of an eye's sides on a picture.
"""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from tests.hours_at_the_sides import AT_THE_SIDES
from tests.turned_films import (
    ASLANT,
    CENTRE,
    DISPLAYS,
    OFF_CENTRE_PX,
    WHITE,
    angle_deg,
    at_the_sides,
    decoded_place,
    middle_of,
    shown_by_program,
    turned_film,
)

from aftercase.document.folder import new_review, write_review
from aftercase.gui.film.view import FilmView
from aftercase.media.overlay import DRAWING_COLOURS
from aftercase.media.picture import Picture
from aftercase.media.recording import open_recording
from aftercase.metrics.hours import hours_of
from aftercase.metrics.subject import Settings
from aftercase.model.base import NewId
from aftercase.model.case import Case, Mask, SinceDegrees, SinceFlag, SinceWord
from aftercase.model.picture import PicturePoint
from aftercase.model.review import Event, Remark, Review
from aftercase.session.header import save_header
from aftercase.session.opened import OpenedCase
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.critique import write_critique
from aftercase.session.verbs import marking

LEFT_SIDE = 1
NEAR_HOUR = 0.1
"""Three degrees: a click lands on whole pixels."""


def eye_lies(case: Case, eye: str, seat: str, flipped: bool) -> Case:
    return case.changed(
        eye=eye,
        seat=(SinceWord(from_us=0, value=seat),),
        turn_deg=(SinceDegrees(from_us=0, value=0.0),),
        mirrored=(SinceFlag(from_us=0, value=flipped),),
    )


def apart(hour: float | None, other: float) -> float:
    """Return how far two hours are apart on a clock."""
    assert hour is not None
    return abs((hour - other + 6) % 12 - 6)


class Shown:
    """A turned film's first picture in the film view, and as the ffmpeg program shows it."""

    def __init__(self, path: Path, seen: Any) -> None:
        self.path, self.by_program = path, shown_by_program(path)
        with open_recording([path]) as recording:
            self.picture: Picture = recording.picture_at(0)
        self._seen = seen
        self.view: FilmView | None = None

    def seen_at(self, colour: tuple[int, int, int]) -> tuple[float, float]:
        """Return where a mark is seen in the film view."""
        return middle_of(self._seen(self.view), colour)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory, seen: Any) -> Callable[[Any], Shown]:
    """Make each film once."""
    films: dict[Any, Shown] = {}

    def make(display: tuple[int, bool]) -> Shown:
        if display not in films:
            turn_deg, mirrored = display
            path = tmp_path_factory.mktemp("turned") / "film.mp4"
            films[display] = Shown(turned_film(path, turn_deg, mirrored=mirrored), seen)
        return films[display]

    return make


@pytest.fixture(params=DISPLAYS, ids=str)
def turned(request: pytest.FixtureRequest, made: Callable[[Any], Shown], film: FilmView) -> Shown:
    """Each of the eight."""
    one = made(request.param)
    one.view = film
    film.show_picture(one.picture)
    return one


@pytest.fixture
def point_at(turned: Shown, pointer: Any, told: Any) -> Callable[..., PicturePoint]:
    """Click a mark on the picture."""
    points = told(turned.view.pointed)

    def click(colour: tuple[int, int, int]) -> PicturePoint:
        turned.view.ask_for_point(True, "Where it was")
        pointer(turned.view, turned.seen_at(colour))
        return points[-1][0]

    return click


@pytest.fixture
def opened(turned: Shown, tmp_path: Path, at: Places, new_id: NewId) -> OpenedCase:
    """A case of the film."""
    wanted = Wanted("C1", "cataract-phaco", films=(turned.path,))
    return new_case(tmp_path / "case", wanted, at, new_id)


@pytest.fixture
def case(opened: OpenedCase) -> Case:
    """The case with the white mark as the limbus centre."""
    return opened.case.changed(limbus_centre=(PicturePoint(x=CENTRE[0], y=CENTRE[1], at_us=0),))


def event_at(place: PicturePoint) -> Event:
    return Event(id="e" * 26, kind="tear-started", at_us=0, place=place)


def test_the_view_shows_a_film_as_the_ffmpeg_program_does(turned):
    """Every mark lies in the same direction and as far, in shares of the largest distance."""
    here, there = (
        {colour: np.subtract(found(colour), found(WHITE)) for colour in OFF_CENTRE_PX}
        for found in (turned.seen_at, lambda colour: middle_of(turned.by_program, colour))
    )
    sizes = [max(np.linalg.norm(way) for way in ways.values()) for ways in (here, there)]
    for colour in OFF_CENTRE_PX:
        assert here[colour] / sizes[0] == pytest.approx(there[colour] / sizes[1], abs=0.02)


def test_what_is_clicked_is_kept_on_the_decoded_frame(point_at):
    for colour in OFF_CENTRE_PX:
        place = point_at(colour)
        assert (place.x, place.y) == pytest.approx(decoded_place(colour), abs=0.006)


def test_the_picture_hour_is_that_of_the_picture_as_shown(turned, point_at, case):
    for colour in OFF_CENTRE_PX:
        hours = hours_of(case, event_at(point_at(colour)))
        assert apart(hours.picture, angle_deg(turned.by_program, colour) / 30) < NEAR_HOUR
        assert hours.eye is None


def test_the_eye_s_hour_is_that_of_the_table_at_every_side_in_every_row(turned, point_at, case):
    events = [event_at(point_at(colour)) for colour in at_the_sides(turned.by_program)]
    for (eye, seat, flipped), hours in AT_THE_SIDES.items():
        lying = eye_lies(case, eye, seat, flipped)
        for event, hour in zip(events, hours, strict=True):
            assert apart(hours_of(lying, event).eye, hour) < NEAR_HOUR


def still_of(opened: OpenedCase, at: Places, new_id: NewId, **remark: Any) -> np.ndarray:
    """Write a review with one remark, export its critique, and return the still in it."""
    remarks = (Remark(id=new_id(), at_us=0, text="Look", **remark),)
    review = Review(id=new_id(), case=opened.case.id, reviewer="T01", remarks=remarks)
    write_review(opened.folder, new_review(opened.folder, review), review)
    out = opened.folder.path / "out"
    write_critique(opened.folder.path, out, Settings(), at, reviewer="T01")
    [path] = out.glob("stills/*")
    return np.array(Image.open(BytesIO(path.read_bytes())).convert("RGB")).astype(int)


def test_a_ring_drawn_round_a_mark_is_round_it_in_the_exported_still(
    turned, opened, at, new_id, pointer, told
):
    drawn = told(turned.view.drawn)
    turned.view.set_drawing("ring", "orange")
    x, y = turned.seen_at(ASLANT)
    pointer(turned.view, (x - 60, y - 40), (x, y), (x + 60, y + 40))
    [(drawing,)] = drawn
    still = still_of(opened, at, new_id, drawings=(drawing,))
    assert still.shape == turned.by_program.shape
    assert np.median(np.abs(still - turned.by_program)) <= 3
    rows, columns = np.nonzero(np.abs(still - DRAWING_COLOURS["orange"]).max(axis=2) < 60)
    ring = (columns.min() + columns.max() + 1) / 2, (rows.min() + rows.max() + 1) / 2
    assert ring == pytest.approx(middle_of(turned.by_program, ASLANT), abs=2)
    assert np.ptp(columns) / np.ptp(rows) == pytest.approx(60 / 40, rel=0.1)


def test_a_mask_over_a_mark_hides_it_alone_in_the_view_and_in_the_still(
    turned, opened, at, new_id, seen
):
    x, y = decoded_place(ASLANT)
    box = {"left": x - 0.04, "top": y - 0.05, "right": x + 0.04, "bottom": y + 0.05}
    mask = Mask(id="m" * 26, start_us=0, end_us=200_000, **box)
    masked = opened.case.changed(masks=(mask,))
    save_header(opened.folder, opened.stored_case, masked, opened.guide)
    turned.view.show_over((), (mask,))
    still, view = still_of(opened, at, new_id), seen(turned.view)
    for shown in (still, view):
        assert (np.abs(shown - ASLANT).max(axis=2) > 50).all()
        for colour in {WHITE, *OFF_CENTRE_PX} - {ASLANT}:
            middle_of(shown, colour)
    across, down = middle_of(turned.by_program, ASLANT)
    assert still[round(down), round(across)].max() < 20


@pytest.mark.parametrize("display", [(90, False), (180, True)], ids=str)
def test_an_hour_said_on_the_pad_is_the_one_of_a_place_pointed_at_there(
    made, display, window, tmp_path, at, new_id, until, press, pointer, seen
):
    """At the left of the pad and of the picture, in the real window, for every row."""
    one = made(display)
    wanted = Wanted("C1", "cataract-phaco", films=(one.path,))
    window.open_path(new_case(tmp_path / "case", wanted, at, new_id).folder.path)
    until(lambda: window.desk is not None and window.player.is_exact)
    one.view, desk = window.film, window.desk
    centre = (PicturePoint(x=CENTRE[0], y=CENTRE[1], at_us=0),)
    left = at_the_sides(one.by_program)[LEFT_SIDE]
    for (eye, seat, flipped), hours in AT_THE_SIDES.items():
        lying = eye_lies(desk.case, eye, seat, flipped).changed(limbus_centre=centre)
        desk.edit_header(lambda _, lying=lying: lying, "say how the eye lies")
        answers = []
        for point in (
            lambda: pointer(window.film, one.seen_at(left)),
            lambda: pointer(
                pad := window._bench.asking.pad, (0.5 * pad.width() - 50, 0.5 * pad.height())
            ),
        ):
            assert marking.mark_event(desk, "tear-started")
            press(window, "P")
            point()
            answers += desk.selected()
        pointed, said = answers
        assert (said.hour.clock, said.hour.hour) == ("eye", hours[LEFT_SIDE])
        assert apart(hours_of(desk.case, pointed).eye, said.hour.hour) < NEAR_HOUR
