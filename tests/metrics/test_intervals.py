"""Span algebra against sets of single moments, which need no algebra."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aftercase.metrics.intervals import (
    clip,
    cut_at,
    intersect,
    measure,
    overlap_of_each,
    overlap_per_label,
    spans_of,
    subtract,
    union,
    union_per_label,
)

FARTHEST = 30
moments = st.integers(-FARTHEST, FARTHEST)
pairs = st.lists(st.tuples(moments, moments).map(sorted), max_size=12)
labelled = st.lists(
    st.tuples(st.tuples(moments, moments).map(sorted), st.integers(0, 3)), max_size=12
)


def moments_in(spans) -> set[int]:
    return {moment for start, end in spans for moment in range(start, end)}


def disjoint(spans) -> bool:
    flat = np.asarray(spans).ravel()
    return bool((np.diff(flat) > 0).all())


def test_no_spans_give_no_spans():
    none = spans_of([])
    assert none.shape == (0, 2)
    for answer in (union(none), intersect(none, none), subtract(none, none), clip(none, 0, 9)):
        assert answer.shape == (0, 2)
    assert measure(none) == 0
    assert cut_at(none, np.array([1, 2]))[0].shape == (0, 2)
    assert overlap_of_each(none, none).tolist() == []
    assert overlap_per_label(none, np.array([], dtype=np.int64), none, 2).tolist() == [0, 0]


def test_one_span_is_its_own_union():
    assert union(spans_of([(3, 8)])).tolist() == [[3, 8]]


def test_a_span_taken_from_itself_leaves_nothing():
    spans = spans_of([(0, 5), (9, 12)])
    assert subtract(spans, spans).shape == (0, 2)
    assert intersect(spans, spans).tolist() == spans.tolist()


def test_times_of_days_in_microseconds_stay_exact():
    late = 2**61
    spans = spans_of([(late, late + 3), (late + 3, late + 5), (-late, -late + 1)])
    assert union(spans).tolist() == [[-late, -late + 1], [late, late + 5]]


def test_a_span_that_ends_before_it_starts_is_refused():
    with pytest.raises(ValueError, match="must not end before"):
        spans_of([(5, 3)])


@given(pairs)
def test_a_union_holds_the_same_moments_once(spans):
    joined = union(spans_of(spans))
    assert moments_in(joined.tolist()) == moments_in(spans)
    assert disjoint(joined)
    assert measure(spans_of(spans)) == len(moments_in(spans))


@given(pairs, pairs)
def test_what_both_hold_is_the_intersection(one, other):
    shared = intersect(spans_of(one), spans_of(other))
    assert moments_in(shared.tolist()) == moments_in(one) & moments_in(other)
    assert disjoint(shared)


@given(pairs, pairs)
def test_what_only_the_first_holds_is_the_difference(spans, holes):
    left = subtract(spans_of(spans), spans_of(holes))
    assert moments_in(left.tolist()) == moments_in(spans) - moments_in(holes)
    assert disjoint(left)


@given(pairs, moments, moments)
def test_a_clip_keeps_each_spans_moments_within(spans, start, end):
    clipped = clip(spans_of(spans), start, end)
    assert moments_in(clipped.tolist()) == moments_in(spans) & set(range(start, end))
    assert clipped.tolist() == [
        [max(a, start), min(b, end)] for a, b in spans if max(a, start) < min(b, end)
    ]


@given(pairs, st.lists(moments, max_size=8))
def test_pieces_join_to_their_span_and_hold_no_border_inside(spans, borders):
    whole = spans_of(spans)
    pieces, whose = cut_at(whole, np.array(borders, dtype=np.int64))
    for position, (start, end) in enumerate(whole.tolist()):
        own = pieces[whose == position].tolist()
        edges = [start, *sorted({border for border in borders if start < border < end}), end]
        assert own == [list(pair) for pair in pairwise(edges)]
    assert whose.tolist() == sorted(whose.tolist())


@given(pairs, pairs)
def test_the_overlap_of_each_span_is_counted_in_its_place(spans, cover):
    some = spans_of(spans)
    expected = [len(moments_in([span]) & moments_in(cover)) for span in some.tolist()]
    assert overlap_of_each(some, spans_of(cover)).tolist() == expected


@given(labelled, pairs)
def test_each_labels_moments_are_counted_once(marks, cover):
    marks = [(span, label) for span, label in marks if span[0] < span[1]]
    spans = spans_of([span for span, _ in marks])
    labels = np.array([label for _, label in marks], dtype=np.int64)
    by_label = [moments_in([s for s, label in marks if label == wanted]) for wanted in range(4)]
    counted = overlap_per_label(spans, labels, spans_of(cover), 4)
    assert counted.tolist() == [len(held & moments_in(cover)) for held in by_label]
    joined, whose = union_per_label(spans, labels)
    for label in range(4):
        own = joined[whose == label]
        assert disjoint(own)
        assert moments_in(own.tolist()) == by_label[label]
