"""Where a clock hour of the eye lies on the picture.

Inside the session everything is laid out as the seated surgeon sees it: surgeon's side at the
bottom, unmirrored, millimetres, x to the right, y downwards, angles clockwise from straight up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_SURGEON_HOUR = {
    ("right", "temporal"): 9.0,
    ("left", "temporal"): 3.0,
    ("right", "superior"): 12.0,
    ("left", "superior"): 12.0,
}


def direction(angle_deg: float) -> NDArray[np.float64]:
    """Return the unit vector of an angle clockwise from straight up."""
    angle = np.radians(angle_deg)
    return np.array([np.sin(angle), -np.cos(angle)])


def polar(angle_deg: float, radius: float) -> NDArray[np.float64]:
    """Return the point at an angle clockwise from straight up and a distance."""
    return radius * direction(angle_deg)


def angle_of(vector: NDArray[np.float64]) -> float:
    """Return a vector's angle clockwise from straight up, 0 <= angle < 360."""
    return float(np.degrees(np.arctan2(vector[0], -vector[1])) % 360.0)


@dataclass(frozen=True)
class View:
    """How the eye lies in the picture."""

    eye: str
    seat: str
    mirror: bool = False
    turn_deg: float = 0.0

    @property
    def surgeon_hour(self) -> float:
        """Clock hour of the eye at the surgeon's side."""
        return _SURGEON_HOUR[self.eye, self.seat]

    @property
    def matrix(self) -> NDArray[np.float64]:
        """The surgeon's layout to the picture, 2 x 2: flipped if mirrored, then turned."""
        turn = np.radians(self.turn_deg)
        rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        return rotation @ np.diag([-1.0 if self.mirror else 1.0, 1.0])

    def surgeon_angle(self, hour: float) -> float:
        """Return an hour's angle in the surgeon's layout."""
        return (180.0 + 30.0 * (hour - self.surgeon_hour)) % 360.0

    def hour(self, surgeon_angle_deg: float) -> float:
        """Return the eye's hour at an angle of the surgeon's layout, 0 < hour <= 12."""
        hour = round((self.surgeon_hour + (surgeon_angle_deg - 180.0) / 30.0) % 12.0, 3)
        return hour or 12.0

    def picture_angle(self, hour: float) -> float:
        """Return an hour's angle on the picture."""
        return angle_of(self.matrix @ direction(self.surgeon_angle(hour)))

    @property
    def nasal_hour(self) -> float:
        """Clock hour of the eye on the nose's side."""
        return 3.0 if self.eye == "right" else 9.0
