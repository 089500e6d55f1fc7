"""The clock of the hour pad: where hours lie on the screen, and how one is entered. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from aftercase.model.orientation import DEGREES_AN_HOUR, View, angle_of, hour_at

HOURS: Final = tuple(range(1, 13))
_HALF: Final = 0.5
_ROUND: Final = 12.0


@dataclass(frozen=True)
class PadClock:
    """The clock whose hours are said, lying as the picture lies on the screen.

    Attributes:
        view: How the eye lies in the picture as shown; None where it is not known, and the hours
            are the picture's.
    """

    view: View | None = None

    @property
    def name(self) -> str:
        """Whose clock it is: ``eye`` or ``picture``."""
        return "picture" if self.view is None else "eye"

    def angle_of(self, hour: float) -> float:
        """Return where an hour lies on the screen, in degrees clockwise from straight up.

        Example:
            >>> PadClock(View(surgeon_hour=9)).angle_of(12), PadClock().angle_of(3)
            (270.0, 90.0)
        """
        if self.view is None:
            return hour * DEGREES_AN_HOUR % 360.0
        return angle_of(hour, self.view)

    def hour_at(self, angle_deg: float) -> float:
        """Return the hour, to the half, that lies in a direction on the screen; 0 < hour <= 12."""
        if self.view is None:
            return _to_the_half(angle_deg / DEGREES_AN_HOUR)
        return _to_the_half(hour_at(angle_deg, self.view))

    def picture_hour(self, hour: float) -> float:
        """Return what an hour is on the picture's clock, 12 at the top of the screen."""
        return _to_the_half(self.angle_of(hour) / DEGREES_AN_HOUR)

    @property
    def runs_clockwise(self) -> bool:
        """Claim that its hours run clockwise on the screen."""
        return (self.angle_of(1) - self.angle_of(12)) % 360.0 < 180.0


def _to_the_half(hour: float) -> float:
    return round(hour * 2) / 2 % _ROUND or _ROUND


def shorter_way(one: float, other: float) -> tuple[float, float]:
    """Return two hours so that from the first to the second, as hours run, is no more than six.

    Example:
        >>> shorter_way(5, 3), shorter_way(11, 1)
        ((3, 5), (11, 1))
    """
    return (one, other) if (other - one) % _ROUND <= _ROUND / 2 else (other, one)


HOUR_KEYS: Final = {
    **{str(digit): float(digit) for digit in range(1, 10)},
    "0": 10.0,
    "-": 11.0,
    "=": 12.0,
}
"""Keys in the order they lie on a keyboard's upper row."""

HALF_KEYS: Final = (".", ",", ":")
TO_KEY: Final = "T"
_AFTER_ONE: Final = {"0": 10.0, "1": 11.0, "2": 12.0}


@dataclass(frozen=True)
class HourEntry:
    """An hour, or a stretch from hour to hour, as far as it is entered.

    Attributes:
        hour: The hour, or where the stretch begins; None while nothing is entered.
        to_hour: Where the stretch ends.
        wants_end: Whether the next hour is the stretch's end.
        typed: What was typed of the present hour.
    """

    hour: float | None = None
    to_hour: float | None = None
    wants_end: bool = False
    typed: str = ""

    @property
    def is_whole(self) -> bool:
        """Claim that there is something to keep."""
        return self.hour is not None and (not self.wants_end or self.to_hour is not None)

    def pressed(self, sign: str) -> HourEntry | None:
        """Return the entry after a key; None for a key that means nothing here.

        Digits, “-” for 11 and “=” for 12; or 10, 11 and 12 typed in two digits. “.” makes it half
        past, and again takes that back; “T” begins the end of a stretch.

        Example:
            >>> HourEntry().pressed("7").pressed(".").hour
            7.5
            >>> HourEntry().pressed("1").pressed("2").hour
            12.0
        """
        if sign.upper() == TO_KEY and self.hour is not None:
            return replace(self, wants_end=True, to_hour=None, typed="")
        present = self.to_hour if self.wants_end else self.hour
        if sign in HALF_KEYS and present is not None:
            return self._with((present + (-_HALF if present % 1 else _HALF)) % _ROUND, "")
        if self.typed == "1" and sign in _AFTER_ONE:
            return self._with(_AFTER_ONE[sign], "")
        return self._with(HOUR_KEYS[sign], sign) if sign in HOUR_KEYS else None

    def taken_back(self) -> HourEntry:
        """Return the entry without what was entered last."""
        if self.wants_end and self.to_hour is None:
            return replace(self, wants_end=False)
        return replace(self, to_hour=None, typed="") if self.wants_end else HourEntry()

    def _with(self, hour: float, typed: str) -> HourEntry:
        field = "to_hour" if self.wants_end else "hour"
        return replace(self, typed=typed, **{field: hour or _ROUND})  # type: ignore[arg-type]
