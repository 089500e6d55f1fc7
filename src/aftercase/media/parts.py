"""What a case stores about each part of a recording."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class PartFacts:
    """One file of a recording, as it was when it was taken in.

    Args:
        path: Where the file is.
        size_bytes: Its size.
        duration_us: Length of its picture.
        quick_hash: See `fingerprint.quick_hash`; empty when not worked out.
        sha256: SHA-256 of the whole file in hexadecimal; None until it was read whole.
        stream: Index of the picture stream in the container.
        first_pts: Stamp of the first shown frame, in ticks; 0 when the file has no stamps.
        time_base_num: Seconds per tick, numerator.
        time_base_den: Seconds per tick, denominator.
        start_us: Where the part starts on the recording's clock.
        end_us: Where its last frame ends, exclusive.
        width_px: Width of the decoded picture.
        height_px: Height of the decoded picture.
        pixel_aspect: Width of a pixel over its height.
        shown_turn_deg: Counter-clockwise turn to show it, as its first picture says; None where no
            picture was looked at.
        shown_mirrored: To be mirrored left and right before that, likewise.
    """

    path: str
    size_bytes: int
    duration_us: int
    quick_hash: str
    sha256: str | None
    stream: int
    first_pts: int
    time_base_num: int
    time_base_den: int
    start_us: int
    end_us: int
    width_px: int
    height_px: int
    pixel_aspect: Fraction = Fraction(1)
    shown_turn_deg: int | None = None
    shown_mirrored: bool = False

    @property
    def time_base(self) -> Fraction:
        """Return the seconds per tick."""
        return Fraction(self.time_base_num, self.time_base_den)


@dataclass(frozen=True, slots=True)
class Difference:
    """A stored fact that the file no longer agrees with; the stored one is used."""

    part: int
    fact: str
    stored: str
    found: str

    def __str__(self) -> str:
        return f"part {self.part + 1}: {self.fact} was {self.stored}, the file now has {self.found}"


def fitting_side_px(facts: PartFacts, room_px: tuple[int, int], *, turned: bool) -> int | None:
    """Return the longer side at which a part's picture just fits, a whole even number.

    Args:
        facts: The part.
        room_px: Width and height of where it is shown.
        turned: Whether it is shown turned by a quarter.

    Returns:
        None where it fits as it is, or where its size is not known.
    """
    if not facts.width_px or not facts.height_px:
        return None
    width, height = Fraction(facts.width_px) * facts.pixel_aspect, Fraction(facts.height_px)
    wide, high = (height, width) if turned else (width, height)
    share = min(Fraction(max(room_px[0], 1)) / wide, Fraction(max(room_px[1], 1)) / high)
    longer_px = max(facts.width_px, facts.height_px)
    return None if share >= 1 else max(2, -(-int(longer_px * share) // 2) * 2)
