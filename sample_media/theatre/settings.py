"""What can be chosen about a rendered session."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

import numpy as np

FAULTS: Final = (
    "tear-outward",
    "eye-rolled",
    "off-centre",
    "zoom-change",
    "defocus",
    "black-frames",
    "stop-and-think",
)
NOMINAL_LENGTH_S: Final = 156.0
SHORTEST_LENGTH_S: Final = 20.0


@dataclass(frozen=True)
class Settings:
    """One session to render; the same settings always give the same truth.

    Attributes:
        seed: Every other seed is another session: timing, drift, angles, colours.
        eye: ``right`` or ``left``.
        seat: ``temporal`` or ``superior``.
        mirror: Whether the camera flips left and right.
        turn_deg: How far the surgeon's side lies clockwise of the picture's bottom.
        width_px: Picture width, even.
        height_px: Picture height, even.
        rate: Frames per second.
        length_s: Length of the film; the whole session is scaled to it.
        faults: Which of `FAULTS` happen.
    """

    seed: int = 1
    eye: str = "right"
    seat: str = "temporal"
    mirror: bool = False
    turn_deg: float = 0.0
    width_px: int = 768
    height_px: int = 432
    rate: Fraction = Fraction(25)
    length_s: float = NOMINAL_LENGTH_S
    faults: tuple[str, ...] = FAULTS

    def __post_init__(self) -> None:
        if self.eye not in ("right", "left") or self.seat not in ("temporal", "superior"):
            raise ValueError("eye is right or left, seat is temporal or superior")
        if self.width_px % 2 or self.height_px % 2:
            raise ValueError("width and height must be even")
        if self.length_s < SHORTEST_LENGTH_S:
            raise ValueError(f"a session needs at least {SHORTEST_LENGTH_S:g} s")
        unknown = set(self.faults) - set(FAULTS)
        if unknown:
            raise ValueError(f"unknown faults {sorted(unknown)}; known are {list(FAULTS)}")

    @property
    def n_frames(self) -> int:
        return round(self.length_s * self.rate)

    @property
    def pace(self) -> float:
        """How much longer than nominal the session is."""
        return self.length_s / NOMINAL_LENGTH_S

    def frames(self, seconds: float) -> int:
        """Return seconds of the film as whole frames."""
        return round(seconds * self.rate)

    def start_us(self, frame: int) -> int:
        """Return the start of a frame in microseconds, by ceiling."""
        ticks = frame * 1_000_000 * self.rate.denominator
        return -(-ticks // self.rate.numerator)

    def chance(self, stream: str) -> np.random.Generator:
        """Return the random numbers of one part of the session, apart from all other parts."""
        return np.random.default_rng([self.seed, *stream.encode()])
