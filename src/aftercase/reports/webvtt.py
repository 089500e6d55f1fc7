"""Steps and remarks as WebVTT tracks, milliseconds by ceiling.

Source:
    W3C WebVTT: The Web Video Text Tracks Format (cue identifiers, timings, escapes).
"""

from __future__ import annotations

from collections.abc import Iterator

from aftercase.clock import us_to_ms
from aftercase.reports.content import CritiqueContent, Cue
from aftercase.reports.escape import folded, webvtt


def steps_vtt(content: CritiqueContent) -> bytes:
    """Return the steps as chapters, one cue for each span."""
    return _track(f"{content.title}: steps", content.step_cues)


def remarks_vtt(content: CritiqueContent) -> bytes:
    """Return the remarks as cues; a moment stands for the seconds its cue says."""
    return _track(f"{content.title}: remarks", content.remark_cues)


def stamp(ms: int) -> str:
    """Return a time stamp with hours, as every reader takes it.

    Args:
        ms: Whole milliseconds, 0 or more.

    Example:
        >>> stamp(3_723_005)
        '01:02:03.005'
    """
    seconds, ms = divmod(ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}.{ms:03d}"


def _track(title: str, cues: tuple[Cue, ...]) -> bytes:
    blocks = [f"WEBVTT\n\nNOTE {webvtt(folded(title))}", *map("\n".join, map(_cue, cues))]
    return ("\n\n".join(blocks) + "\n").encode()


def _cue(cue: Cue) -> Iterator[str]:
    # A mark may lie before the clock's zero; a stamp cannot. No cue may be empty.
    start_ms = max(0, us_to_ms(cue.start_us))
    end_ms = max(start_ms + 1, us_to_ms(cue.end_us))
    yield cue.id
    yield f"{stamp(start_ms)} --> {stamp(end_ms)}"
    yield webvtt(cue.text)
