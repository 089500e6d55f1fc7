"""Values that change over the film, one number or point per frame."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

Track = NDArray[np.float64]


def eased(n_frames: int, keys: Sequence[tuple[float, ArrayLike]], first: int = 0) -> Track:
    """Return values that rest at their keys and move smoothly between them.

    Args:
        n_frames: Length of the track.
        keys: (frame, value), frames not decreasing; a value is a number or a point.
        first: Frame of the track's first value.

    Returns:
        Shape (n_frames,) for numbers, (n_frames, 2) for points.
    """
    at = np.array([frame for frame, _ in keys], dtype=float)
    if (np.diff(at) < 0).any():
        raise ValueError(f"keys go back in time: {at.tolist()}")
    values = np.array([value for _, value in keys], dtype=float)
    frames = np.arange(first, first + n_frames, dtype=float)
    left = np.clip(np.searchsorted(at, frames, side="right") - 1, 0, max(0, len(at) - 2))
    right = np.minimum(left + 1, len(at) - 1)
    share = np.clip((frames - at[left]) / np.maximum(at[right] - at[left], 1e-9), 0.0, 1.0)
    share = share * share * (3.0 - 2.0 * share)
    share = share.reshape(-1, *[1] * (values.ndim - 1))
    return values[left] + share * (values[right] - values[left])


def wander(
    chance: np.random.Generator,
    n_frames: int,
    rate: float,
    periods_s: tuple[float, float],
    size: float,
) -> Track:
    """Return a slow, aimless movement around 0, shape (n_frames, 2), about `size` wide."""
    seconds = np.arange(n_frames)[:, None] / rate
    moved = np.zeros((n_frames, 2))
    for _ in range(5):
        period = np.exp(chance.uniform(*np.log(periods_s)))
        phase = chance.uniform(0, 2 * np.pi, 2)
        moved += chance.normal(0, 1, 2) * np.sin(2 * np.pi * seconds / period + phase)
    return moved * size / np.sqrt(5)


def tremor(chance: np.random.Generator, n_frames: int, rate: float, size: float) -> Track:
    """Return a fine shaking of a hand, shape (n_frames, 2), `size` as standard deviation."""
    seconds = np.arange(n_frames)[:, None] / rate
    moved = np.zeros((n_frames, 2))
    for hertz in (1.3, 2.9, 5.7, 8.3):
        wobble = hertz * chance.uniform(0.85, 1.15, 2)
        moved += np.sin(2 * np.pi * (wobble * seconds + chance.uniform(0, 1, 2))) / hertz**0.5
    return moved * size


def softened(track: Track, width: int) -> Track:
    """Return a track averaged over `width` frames around each, ends held."""
    if width < 2:
        return track
    kernel = np.hanning(width + 2)[1:-1]
    kernel /= kernel.sum()
    padded = np.pad(
        track, [(width // 2, width - 1 - width // 2)] + [(0, 0)] * (track.ndim - 1), "edge"
    )
    columns = padded.reshape(len(padded), -1).T
    smooth = [np.convolve(column, kernel, mode="valid") for column in columns]
    return np.array(smooth).T.reshape(track.shape)


def bump(n_frames: int, start: float, end: float, ramp: float) -> Track:
    """Return 1 between two frames and 0 outside, with smooth ramps inside the span."""
    ramp = min(ramp, (end - start) / 2)
    keys = [(start, 0.0), (start + ramp, 1.0), (end - ramp, 1.0), (end, 0.0)]
    return eased(n_frames, keys)
