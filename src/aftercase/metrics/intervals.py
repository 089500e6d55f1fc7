"""Algebra of half-open spans on the clock, for a million of them at a time.

A set of spans is an int64 array of shape (n, 2) with one ``[start, end)`` a row, in any unit (here
microseconds). "Disjoint" means sorted by start with a gap before each: what `union` gives back.
Spans of no length hold nothing and are dropped; a span that ends before it starts is our own
fault and a ``ValueError``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt

Spans = npt.NDArray[np.int64]
"""Shape (n, 2): one ``[start, end)`` a row."""

Moments = npt.NDArray[np.int64]


def spans_of(pairs: Iterable[Sequence[int]] | Spans) -> Spans:
    """Return pairs of start and end as spans, in the order given.

    Raises:
        ValueError: A span ends before it starts.

    Example:
        >>> spans_of([(3, 5), (4, 4)]).tolist()
        [[3, 5]]
    """
    spans = np.array(pairs if isinstance(pairs, np.ndarray) else list(pairs), dtype=np.int64)
    spans = spans.reshape(-1, 2)
    if (spans[:, 1] < spans[:, 0]).any():
        raise ValueError("a span must not end before it starts")
    return spans[spans[:, 1] > spans[:, 0]]


def union(spans: Spans) -> Spans:
    """Return the disjoint spans that hold the same moments; touching spans become one.

    Example:
        >>> union(spans_of([(10, 25), (0, 12), (25, 30), (40, 41)])).tolist()
        [[0, 30], [40, 41]]
    """
    spans = spans_of(spans)
    if not len(spans):
        return spans
    spans = spans[np.argsort(spans[:, 0], kind="stable")]
    reach = np.maximum.accumulate(spans[:, 1])
    first = np.concatenate([[True], spans[1:, 0] > reach[:-1]])
    last = np.concatenate([first[1:], [True]])
    return np.column_stack([spans[first, 0], reach[last]])


def measure(spans: Spans) -> int:
    """Return how long the union of spans is; 0 for none.

    Example:
        >>> measure(spans_of([(0, 10), (5, 12)]))
        12
    """
    return int(lengths(union(spans)).sum())


def lengths(spans: Spans) -> Moments:
    """Return how long each span is."""
    return spans[:, 1] - spans[:, 0]


def intersect(one: Spans, other: Spans) -> Spans:
    """Return the disjoint spans of the moments that both hold.

    Example:
        >>> intersect(spans_of([(0, 10)]), spans_of([(2, 4), (8, 20)])).tolist()
        [[2, 4], [8, 10]]
    """
    one, other = union(one), union(other)
    lowest = np.searchsorted(other[:, 1], one[:, 0], side="right")
    beyond = np.searchsorted(other[:, 0], one[:, 1], side="left")
    of_one, of_other = _each_of(lowest, beyond)
    starts = np.maximum(one[of_one, 0], other[of_other, 0])
    ends = np.minimum(one[of_one, 1], other[of_other, 1])
    return np.column_stack([starts, ends])


def subtract(spans: Spans, holes: Spans) -> Spans:
    """Return the disjoint spans of the moments that `spans` hold and `holes` do not.

    Example:
        >>> subtract(spans_of([(0, 10)]), spans_of([(2, 4), (8, 20)])).tolist()
        [[0, 2], [4, 8]]
    """
    spans, holes = union(spans), union(holes)
    if not len(spans) or not len(holes):
        return spans
    first = min(spans[0, 0], holes[0, 0])
    last = max(spans[-1, 1], holes[-1, 1])
    starts = np.concatenate([[first], holes[:, 1]])
    ends = np.concatenate([holes[:, 0], [last]])
    return intersect(spans, spans_of(np.column_stack([starts, ends])))


def clip(spans: Spans, start: int, end: int) -> Spans:
    """Return the parts of spans within ``[start, end)``, in the order given; nothing is joined.

    Example:
        >>> clip(spans_of([(0, 10), (30, 40)]), 5, 20).tolist()
        [[5, 10]]
    """
    clipped = np.clip(spans, start, max(start, end))
    return clipped[clipped[:, 1] > clipped[:, 0]]


def cut_at(spans: Spans, borders: Moments) -> tuple[Spans, Moments]:
    """Cut spans wherever a border lies inside one.

    Args:
        spans: Any spans, none without length.
        borders: Moments, in any order.

    Returns:
        The pieces, span by span and each in order; and for each piece its span's position.

    Example:
        >>> pieces, whose = cut_at(spans_of([(0, 10), (20, 30)]), np.array([4, 10, 25]))
        >>> pieces.tolist(), whose.tolist()
        ([[0, 4], [4, 10], [20, 25], [25, 30]], [0, 0, 1, 1])
    """
    borders = np.unique(borders)
    lowest = np.searchsorted(borders, spans[:, 0], side="right")
    beyond = np.searchsorted(borders, spans[:, 1], side="left")
    # A span with j borders inside has j + 1 pieces: piece i ends at border i, the last at its end.
    whose, border = _each_of(lowest, beyond + 1)
    padded = np.append(borders, 0)
    starts = np.where(border == lowest[whose], spans[whose, 0], padded[border - 1])
    ends = np.where(border == beyond[whose], spans[whose, 1], padded[border])
    return np.column_stack([starts, ends]), whose


def overlap_of_each(spans: Spans, cover: Spans) -> Moments:
    """Return how much of each span the union of `cover` holds, in the order of `spans`.

    Example:
        >>> overlap_of_each(spans_of([(0, 10), (5, 6)]), spans_of([(2, 4), (3, 8)])).tolist()
        [6, 1]
    """
    cover = union(cover)
    return _covered_before(spans[:, 1], cover) - _covered_before(spans[:, 0], cover)


def union_per_label(spans: Spans, labels: npt.NDArray[np.int64]) -> tuple[Spans, Moments]:
    """Return the union of each label's spans.

    Args:
        spans: Any spans, none without length.
        labels: One label a span, whole numbers of 0 or more.

    Returns:
        Spans sorted by label and start, disjoint within a label; and each one's label.

    Example:
        >>> joined, whose = union_per_label(
        ...     spans_of([(0, 5), (5, 9), (3, 6)]), np.array([1, 1, 0])
        ... )
        >>> joined.tolist(), whose.tolist()
        ([[3, 6], [0, 9]], [0, 1])
    """
    times, ranks = np.unique(spans, return_inverse=True)
    block = len(times) + 1  # one more than there are ranks: labels next to each other never touch
    joined = union(ranks.reshape(-1, 2) + labels[:, None] * block)
    return times[joined % block].astype(np.int64), joined[:, 0] // block


def overlap_per_label(
    spans: Spans, labels: npt.NDArray[np.int64], cover: Spans, n_labels: int
) -> Moments:
    """Return how much of the union of each label's spans the union of `cover` holds.

    Returns:
        One amount a label, 0 for a label without spans.

    Example:
        >>> overlap_per_label(
        ...     spans_of([(0, 5), (3, 9), (3, 6)]), np.array([1, 1, 0]), spans_of([(4, 20)]), 3
        ... ).tolist()
        [2, 5, 0]
    """
    joined, whose = union_per_label(spans, labels)
    totals = np.zeros(n_labels, dtype=np.int64)
    np.add.at(totals, whose, overlap_of_each(joined, cover))
    return totals


def _covered_before(moments: Moments, cover: Spans) -> Moments:
    """Return how much of a disjoint cover lies before each moment."""
    before = np.concatenate([[0], np.cumsum(lengths(cover))])
    begun = np.searchsorted(cover[:, 0], moments, side="right")
    ends = np.concatenate([[0], cover[:, 1]])[begun]
    return before[begun] - np.where(begun > 0, np.maximum(ends - moments, 0), 0)


def _each_of(lowest: Moments, beyond: Moments) -> tuple[Moments, Moments]:
    """Return every pair (i, j) with lowest[i] <= j < beyond[i], in the order of i, then j."""
    counts = np.maximum(beyond - lowest, 0)
    owners = np.repeat(np.arange(len(counts)), counts)
    first_place = np.cumsum(counts) - counts
    return owners, np.arange(len(owners)) - first_place[owners] + lowest[owners]
