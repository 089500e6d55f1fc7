"""Clock hours of events: the eye's own, and the picture's; never mixed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from aftercase.model.base import NOT_SAID
from aftercase.model.case import Case, frame_shape, view_at
from aftercase.model.orientation import DEGREES_AN_HOUR, angle_between, hour_at, hour_text
from aftercase.model.picture import PicturePoint, shown_size, square_pixels
from aftercase.model.review import Event, StatedHour

EYE: Final = "eye"
PICTURE: Final = "picture"

_CLOCK_WORDS: Final = {EYE: "eye", PICTURE: "picture", NOT_SAID: "clock not said"}


@dataclass(frozen=True)
class Hours:
    """An event's hour on each clock, 0 < hour <= 12; None where it is not known.

    Attributes:
        eye: On the eye's clock, 12 superior.
        picture: On the picture's, 12 at the top of what is shown.
        unsaid: As stated by a person who did not say on which clock.
    """

    eye: float | None = None
    picture: float | None = None
    unsaid: float | None = None

    @property
    def shown(self) -> tuple[float, str] | tuple[None, None]:
        """The hour to show and its clock: the eye's, else the picture's, else of no said clock."""
        for hour, clock in ((self.eye, EYE), (self.picture, PICTURE), (self.unsaid, NOT_SAID)):
            if hour is not None:
                return hour, clock
        return None, None

    def on(self, clock: str | None) -> float | None:
        """Return the hour on a clock."""
        return {EYE: self.eye, PICTURE: self.picture, NOT_SAID: self.unsaid}.get(clock or "")


def hours_of(case: Case, event: Event) -> Hours:
    """Return an event's hours: from what was pointed at; a stated hour wins for its clock."""
    return _hours(case, event.place, event.hour)


def end_hours_of(case: Case, event: Event) -> Hours:
    """Return the hours at which an event's stretch from hour to hour ends."""
    return _hours(case, event.to_place, event.to_hour)


def hours_at(case: Case, angle_deg: float, at_us: int) -> Hours:
    """Return the hours of a direction on the picture, clockwise from straight up, at a moment."""
    view = view_at(case, at_us)
    return Hours(
        _as_pointed(hour_at(angle_deg, view)) if view is not None else None,
        _as_pointed(angle_deg / DEGREES_AN_HOUR),
    )


def picture_angle_deg(case: Case, place: PicturePoint) -> float | None:
    """Return the direction from the limbus centre to a place, on the picture as shown.

    Returns:
        Degrees clockwise from straight up, or None where no centre was pointed at by then, a
        frame's size is not known, or the place is the centre itself.
    """
    known = [point for point in case.limbus_centre if point.at_us <= place.at_us]
    if not known:
        return None
    centre = max(known, key=lambda point: point.at_us)
    shape, centre_shape = frame_shape(case, place.part), frame_shape(case, centre.part)
    if shape is None or centre_shape is None or shown_size(shape) != shown_size(centre_shape):
        return None
    there, here = square_pixels(place, shape), square_pixels(centre, centre_shape)
    return None if there == here else angle_between(here, there)


def counts_as_decoded(case: Case, event: Event) -> bool:
    """Claim that an event's hour is derived of a film of which it is not kept how it is shown."""
    places = [place for place in (event.place, event.to_place) if place is not None]
    return any(
        case.parts[place.part].shown_turn_deg is None
        for place in places
        if picture_angle_deg(case, place) is not None
    )


def text_of_hours(start: Hours, end: Hours) -> str | None:
    """Return an hour as text with its clock, and with its end where it has one on the same clock.

    Example:
        >>> text_of_hours(Hours(eye=3.0), Hours(eye=5.5)), text_of_hours(Hours(unsaid=4.0), Hours())
        ('3 to 5:30 (eye)', '4 (clock not said)')
    """
    hour, clock = start.shown
    if hour is None:
        return None
    last = end.on(clock)
    stretch = hour_text(hour) if last is None else f"{hour_text(hour)} to {hour_text(last)}"
    return f"{stretch} ({_CLOCK_WORDS[clock or NOT_SAID]})"


def _hours(case: Case, place: PicturePoint | None, stated: StatedHour | None) -> Hours:
    angle_deg = picture_angle_deg(case, place) if place is not None else None
    eye = picture = unsaid = None
    if place is not None and angle_deg is not None:
        pointed = hours_at(case, angle_deg, place.at_us)
        eye, picture = pointed.eye, pointed.picture
    if stated is not None:
        if stated.clock == EYE:
            eye = stated.hour
        elif stated.clock == PICTURE:
            picture = stated.hour
        else:
            unsaid = stated.hour
    return Hours(eye, picture, unsaid)


def _as_pointed(hour: float) -> float:
    """Return an hour to the hundredth, a third of a degree: finer than anybody points."""
    return round(hour, 2) or 12.0
