"""What the player does when, as a table."""

from __future__ import annotations

from typing import Final, Literal

State = Literal["empty", "opening", "resting", "playing", "failed"]
Happening = Literal["open", "opened", "refused", "play", "rest", "end", "empty"]

NEXT_STATE: Final[dict[tuple[State, Happening], State]] = {
    ("empty", "open"): "opening",
    ("resting", "open"): "opening",
    ("playing", "open"): "opening",
    ("failed", "open"): "opening",
    ("opening", "open"): "opening",
    ("opening", "opened"): "resting",
    ("opening", "refused"): "failed",
    ("resting", "play"): "playing",
    ("playing", "play"): "playing",
    ("playing", "rest"): "resting",
    ("playing", "end"): "resting",
    ("empty", "empty"): "empty",
    ("opening", "empty"): "empty",
    ("resting", "empty"): "empty",
    ("playing", "empty"): "empty",
    ("failed", "empty"): "empty",
}
"""What the player does next; what is not here changes nothing."""
