"""Span algebra on a million spans, beside loops over sorted lists."""

from __future__ import annotations

import functools
from bisect import bisect_right
from collections import defaultdict

import numpy as np
from comparison import Comparison

from aftercase.metrics.intervals import (
    cut_at,
    intersect,
    overlap_per_label,
    spans_of,
    subtract,
    union,
)

N_SPANS = 1_000_000
N_LABELS = 40
LAST_US = 400 * N_SPANS
SIZE = "1,000,000 spans"
TWO_SETS = "1,000,000 spans and 1,000,000"
PROMISED_S = 2.0

Pairs = list[tuple[int, int]]


@functools.cache
def spans(seed: int) -> np.ndarray:
    """Return spans that cover about half of the clock."""
    chance = np.random.default_rng(seed)
    starts = chance.integers(0, LAST_US, N_SPANS)
    return spans_of(np.column_stack([starts, starts + chance.integers(1, 600, N_SPANS)]))


@functools.cache
def pairs(seed: int) -> Pairs:
    return [tuple(pair) for pair in spans(seed).tolist()]


@functools.cache
def labels() -> np.ndarray:
    return np.random.default_rng(9).integers(0, N_LABELS, N_SPANS)


def union_by_loop(some: Pairs) -> Pairs:
    joined: Pairs = []
    for start, end in sorted(some):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((start, end))
    return joined


def intersect_by_loop(one: Pairs, other: Pairs) -> Pairs:
    one, other = union_by_loop(one), union_by_loop(other)
    shared: Pairs = []
    i = j = 0
    while i < len(one) and j < len(other):
        start, end = max(one[i][0], other[j][0]), min(one[i][1], other[j][1])
        if start < end:
            shared.append((start, end))
        if one[i][1] < other[j][1]:
            i += 1
        else:
            j += 1
    return shared


def subtract_by_loop(some: Pairs, holes: Pairs) -> Pairs:
    holes = union_by_loop(holes)
    left: Pairs = []
    j = 0
    for start, end in union_by_loop(some):
        while j < len(holes) and holes[j][1] <= start:
            j += 1
        k = j
        while k < len(holes) and holes[k][0] < end:
            if start < holes[k][0]:
                left.append((start, holes[k][0]))
            start = max(start, holes[k][1])
            k += 1
        if start < end:
            left.append((start, end))
    return left


def cut_by_loop(some: Pairs, borders: list[int]) -> Pairs:
    pieces: Pairs = []
    for start, end in some:
        place = bisect_right(borders, start)
        while place < len(borders) and borders[place] < end:
            pieces.append((start, borders[place]))
            start = borders[place]
            place += 1
        pieces.append((start, end))
    return pieces


def totals_by_loop(some: Pairs, names: list[int], cover: Pairs) -> list[int]:
    of_label: dict[int, Pairs] = defaultdict(list)
    for pair, name in zip(some, names, strict=True):
        of_label[name].append(pair)
    return [
        sum(end - start for start, end in intersect_by_loop(of_label[name], cover))
        for name in range(N_LABELS)
    ]


def same_spans(ours: np.ndarray, reference: Pairs) -> bool:
    return bool(np.array_equal(ours, np.array(reference)))


def comparisons() -> list[Comparison]:
    one, other, cover = spans(1), spans(2), spans(3)[: N_SPANS // 10]
    for seed in (1, 2, 3):
        pairs(seed)  # made beforehand: making them is not what is measured
    borders = np.random.default_rng(4).integers(0, LAST_US, N_SPANS)
    border_list = borders.tolist()
    names = labels().tolist()
    return [
        Comparison(
            "union of spans",
            SIZE,
            lambda: union(one),
            lambda: union_by_loop(pairs(1)),
            same_spans,
            PROMISED_S,
        ),
        Comparison(
            "what two sets share",
            TWO_SETS,
            lambda: intersect(one, other),
            lambda: intersect_by_loop(pairs(1), pairs(2)),
            same_spans,
            PROMISED_S,
        ),
        Comparison(
            "one set less another",
            TWO_SETS,
            lambda: subtract(one, other),
            lambda: subtract_by_loop(pairs(1), pairs(2)),
            same_spans,
            PROMISED_S,
        ),
        Comparison(
            "spans cut at borders",
            "1,000,000 spans and 1,000,000 borders",
            lambda: cut_at(one, borders)[0],
            lambda: cut_by_loop(pairs(1), sorted(set(border_list))),
            same_spans,
            PROMISED_S,
        ),
        Comparison(
            "total inside a set for each of 40 steps",
            f"{SIZE}, {len(cover):,} in the set",
            lambda: overlap_per_label(one, labels(), cover, N_LABELS).tolist(),
            lambda: totals_by_loop(pairs(1), names, pairs(3)[: N_SPANS // 10]),
            lambda ours, reference: ours == reference,
            PROMISED_S,
        ),
    ]
