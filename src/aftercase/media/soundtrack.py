"""What the player asks of the film's sound."""

from __future__ import annotations

from typing import Protocol

from aftercase.media.parts import PartFacts
from aftercase.media.playclock import PlayClock


class Soundtrack(Protocol):
    """The film's sound, played beside the pictures."""

    def open(self, parts: tuple[PartFacts, ...]) -> None:
        """Get ready to play the sound of a recording."""

    def play(self, at_us: int, rate: float, clock: PlayClock) -> None:
        """Play from a moment at a speed, and tell the clock what is heard."""

    def rest(self) -> None:
        """Be silent."""

    def set_volume(self, volume: float) -> None:
        """Let the film be heard, 0 (not at all) to 1."""

    def close(self) -> None:
        """Let the device go."""


class Silence:
    """No sound at all."""

    def open(self, parts: tuple[PartFacts, ...]) -> None:
        """Do nothing."""

    def play(self, at_us: int, rate: float, clock: PlayClock) -> None:
        """Do nothing."""

    def rest(self) -> None:
        """Do nothing."""

    def set_volume(self, volume: float) -> None:
        """Do nothing."""

    def close(self) -> None:
        """Do nothing."""
