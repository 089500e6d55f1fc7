"""The one time type: integer microseconds on the recording's clock.

Spans are half-open, ``[start_us, end_us)``. Stream ticks become microseconds by *ceiling*, so
that "the frame shown at t" gives back the frame that t was taken from; texts print milliseconds
by ceiling for the same reason.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from aftercase.errors import TimeOutside, TimeUnreadable

SECOND_US: Final = 1_000_000
MILLISECOND_US: Final = 1_000
_MOST_SHOWN: Final = 40

# Digits are bounded: every time that is read fits into the 64 bits of a file's times.
_NUMBER = re.compile(r"-?\d{1,12}(?:[.,]\d{0,30})?|-?[.,]\d{1,30}", re.ASCII)
_CLOCK = re.compile(r"(?:(\d{1,8}):)?([0-5]?\d):([0-5]?\d(?:[.,]\d{0,30})?)", re.ASCII)
_FRAME_CODE = re.compile(r"(\d{1,2}):([0-5]\d):([0-5]\d)([:;])(\d{1,3})", re.ASCII)


def ticks_to_us(ticks: int, time_base: Fraction) -> int:
    """Return stream ticks as microseconds, by ceiling.

    Args:
        ticks: Ticks of the stream, may be negative.
        time_base: Seconds per tick, greater than 0.

    Returns:
        The smallest whole microsecond that is not before the tick.

    Example:
        >>> ticks_to_us(1, Fraction(1001, 30000))
        33367
    """
    numerator = ticks * time_base.numerator * SECOND_US
    return -(-numerator // time_base.denominator)


def us_to_ms(us: int) -> int:
    """Return microseconds as milliseconds, by ceiling.

    Example:
        >>> us_to_ms(33367)
        34
    """
    return -(-us // MILLISECOND_US)


def text_of(us: int) -> str:
    """Return a moment as ``h:mm:ss.fff``, milliseconds by ceiling.

    Example:
        >>> text_of(3_723_004_001)
        '1:02:03.005'
        >>> text_of(-40_000)
        '-0:00:00.040'
    """
    ms = us_to_ms(us)
    sign, ms = ("-", -ms) if ms < 0 else ("", ms)
    seconds, ms = divmod(ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{sign}{hours}:{minutes:02d}:{seconds:02d}.{ms:03d}"


def seconds_text(us: int) -> str:
    """Return a moment in seconds with three decimals, milliseconds by ceiling.

    Example:
        >>> seconds_text(33_367)
        '0.034'
    """
    ms = us_to_ms(us)
    sign, ms = ("-", -ms) if ms < 0 else ("", ms)
    return f"{sign}{ms // 1000}.{ms % 1000:03d}"


def seconds_to_us(seconds: Fraction | int) -> int:
    """Return exact seconds as microseconds, by ceiling.

    Example:
        >>> seconds_to_us(Fraction(1, 3))
        333334
    """
    return ticks_to_us(1, Fraction(seconds)) if seconds else 0


def us_from_text(text: str) -> int:
    """Read a moment given as seconds or as ``[h:]mm:ss[.fff]``; point or comma is the decimal sign.

    Returns:
        Microseconds; a finer text is taken by ceiling.

    Raises:
        TimeUnreadable: The text is neither.

    Example:
        >>> us_from_text("83.5"), us_from_text("1:23.5"), us_from_text("0:01:23,5")
        (83500000, 83500000, 83500000)
    """
    given = text.strip()
    if _NUMBER.fullmatch(given):
        return seconds_to_us(Fraction(given.replace(",", ".")))
    match = _CLOCK.fullmatch(given.removeprefix("-"))
    if match is None:
        raise TimeUnreadable(
            f"“{_shortened(text)}” is not a time.",
            hint="Give seconds (83.5) or hours, minutes and seconds (0:01:23.500).",
        )
    hours, minutes, seconds = match.groups()
    total = int(hours or 0) * 3600 + int(minutes) * 60 + Fraction(seconds.replace(",", "."))
    return seconds_to_us(-total if given.startswith("-") else total)


def _shortened(text: str) -> str:
    return text if len(text) <= _MOST_SHOWN else f"{text[:_MOST_SHOWN]}…"


def frame_number_from_code(code: str, rate: Fraction) -> int:
    """Return the frame number of a time code ``hh:mm:ss:ff``, or ``hh:mm:ss;ff`` for drop-frame.

    Args:
        code: The time code; a semicolon before the frames says drop-frame.
        rate: Frames per second; drop-frame is only defined for 30000/1001 and 60000/1001.

    Returns:
        Frames since 00:00:00:00.

    Raises:
        TimeUnreadable: Not a time code, a frame the rate does not have, or a dropped code.

    Source:
        SMPTE ST 12-1 (from memory): codes ;00 and ;01 (at 59.94 ;00 to ;03) do not exist at the
        start of each minute whose number is not a multiple of ten.

    Example:
        >>> frame_number_from_code("00:01:00;02", Fraction(30000, 1001))
        1800
    """
    match = _FRAME_CODE.fullmatch(code.strip())
    if match is None:
        raise TimeUnreadable(f"“{_shortened(code)}” is not a time code.", hint="Give hh:mm:ss:ff.")
    hours, minutes, seconds, frames = (int(match.group(group)) for group in (1, 2, 3, 5))
    nominal = round(rate)
    if frames >= nominal:
        raise TimeUnreadable(f"“{code}” has frame {frames}; there are {nominal} in a second.")
    number = ((hours * 60 + minutes) * 60 + seconds) * nominal + frames
    if match.group(4) == ":":
        return number
    if rate not in (Fraction(30000, 1001), Fraction(60000, 1001)):
        raise TimeUnreadable(
            f"“{code}” is a drop-frame code; this rate has none.",
            hint="Write the last colon instead of the semicolon.",
        )
    dropped = nominal // 15
    if seconds == 0 and frames < dropped and minutes % 10:
        raise TimeUnreadable(f"“{code}” is one of the codes that drop-frame leaves out.")
    whole_minutes = hours * 60 + minutes
    return number - dropped * (whole_minutes - whole_minutes // 10)


def code_of_frame_number(number: int, rate: Fraction, *, drop: bool = False) -> str:
    """Return the time code of a frame number, the inverse of `frame_number_from_code`.

    Example:
        >>> code_of_frame_number(1800, Fraction(30000, 1001), drop=True)
        '00:01:00;02'
    """
    nominal = round(rate)
    if drop:
        dropped = nominal // 15
        per_minute = nominal * 60 - dropped
        per_ten = per_minute * 10 + dropped
        tens, rest = divmod(number, per_ten)
        extra = max(0, (rest - dropped) // per_minute)
        number += dropped * (9 * tens + extra)
    seconds, frames = divmod(number, nominal)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}{';' if drop else ':'}{frames:02d}"


def index_at(starts_us: Sequence[int], us: int) -> int:
    """Return the position of the frame shown at a moment.

    Args:
        starts_us: Frame starts, strictly increasing.
        us: The moment.

    Returns:
        Position in `starts_us`, 0-based; the last frame for any later moment.

    Raises:
        TimeOutside: There are no frames, or the moment is before the first one.

    Example:
        >>> index_at([0, 40000, 80000], 79999)
        1
    """
    position = bisect_right(starts_us, us) - 1
    if position < 0:
        raise TimeOutside(f"No frame is shown at {text_of(us)}.")
    return position


def retimed(us: int, old_starts_us: Sequence[int], new_starts_us: Sequence[int]) -> int:
    """Move a mark to new frame times: old time, its frame, that frame's new start.

    Microseconds are never added to a mark: a third of the marks would land one frame early.

    Args:
        us: The mark.
        old_starts_us: Frame starts the mark was made on, strictly increasing.
        new_starts_us: New starts of the same frames, same length.

    Raises:
        TimeOutside: No frame is shown at the mark.

    Example:
        >>> retimed(33367, [0, 33367, 66734], [10000, 43367, 76734])
        43367
    """
    if len(old_starts_us) != len(new_starts_us):
        raise ValueError("old and new frame starts must have the same length")
    return new_starts_us[index_at(old_starts_us, us)]
