"""Sound at another speed with its pitch kept."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING, Final

import numpy as np

from aftercase.media.soundout import CHANNELS, RATE_HZ
from aftercase.media.soundstream import Samples

if TYPE_CHECKING:
    from av.audio.frame import AudioFrame
    from av.filter import Graph

SLOWEST: Final = 0.25
FASTEST: Final = 4.0

_SLOWEST_STAGE: Final = 0.5
_FASTEST_STAGE: Final = 2.0

_SLOWED_LEADS_S: Final = 0.010
"""How much of the film's time slowed sound comes out too early, on average over speech-like and
noisy sound: measured, 5 to 17 ms. It is begun that much earlier."""


def stages(rate: float) -> list[float]:
    """Return the speeds of the filters in a row that make one speed; each within 0.5 to 2.

    Example:
        >>> stages(3.0), stages(0.25)
        ([2.0, 1.5], [0.5, 0.5])
    """
    made: list[float] = []
    while rate > _FASTEST_STAGE:
        made.append(_FASTEST_STAGE)
        rate /= _FASTEST_STAGE
    while rate < _SLOWEST_STAGE:
        made.append(_SLOWEST_STAGE)
        rate /= _SLOWEST_STAGE
    return [*made, rate]


def lead_frames(rate: float) -> int:
    """Return how many moments of sound before the wanted one the sound is to be begun."""
    return round(_SLOWED_LEADS_S * RATE_HZ) if rate < 1 else 0


def at_speed(pieces: Iterator[Samples], rate: float) -> Iterator[Samples]:
    """Yield sound at another speed; at 1 the very same.

    Args:
        pieces: The sound, one after the other.
        rate: `SLOWEST` to `FASTEST`.
    """
    if rate == 1:
        yield from pieces
        return
    graph = _graph(rate)
    for piece in pieces:
        graph.push(_frame(piece))
        yield from _made(graph)
    graph.push(None)
    yield from _made(graph)


def _graph(rate: float) -> Graph:
    from av.filter import Graph  # late: `aftercase --help` must stay instant

    graph = Graph()
    begin = graph.add_abuffer(
        sample_rate=RATE_HZ, format="s16", layout="stereo", time_base=Fraction(1, RATE_HZ)
    )
    filters = [graph.add("atempo", f"{stage:.6f}") for stage in stages(rate)]
    graph.link_nodes(begin, *filters, graph.add("abuffersink"))
    graph.configure()
    return graph


def _frame(samples: Samples) -> AudioFrame:
    from av.audio.frame import AudioFrame  # late, as above

    frame = AudioFrame.from_ndarray(samples.reshape(1, -1), format="s16", layout="stereo")
    frame.sample_rate = RATE_HZ
    return frame


def _made(graph: Graph) -> Iterator[Samples]:
    import av  # late, as above

    while True:
        try:
            frame = graph.pull()
        except (av.BlockingIOError, av.EOFError):
            return
        yield frame.to_ndarray().astype(np.int16, copy=False).reshape(-1, CHANNELS)
