"""Similarity of sequences and of spans."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aftercase.metrics.segments import edit_distance, edit_score, temporal_iou

labels = st.text("ABC", max_size=7)


def recursive_distance(one: str, other: str) -> int:
    """The textbook recursion."""
    if not one or not other:
        return len(one) + len(other)
    return min(
        recursive_distance(one[1:], other) + 1,
        recursive_distance(one, other[1:]) + 1,
        recursive_distance(one[1:], other[1:]) + (one[0] != other[0]),
    )


def test_two_empty_sequences_are_the_same():
    assert edit_score("", "") == 100


def test_one_label_is_all_or_nothing():
    assert (edit_score("A", "A"), edit_score("A", "B"), edit_score("A", "")) == (100, 0, 0)


def test_the_textbook_pair_is_three_edits_apart():
    # Common textbook example of the distance.
    assert edit_distance("kitten", "sitting") == 3
    assert edit_score("kitten", "sitting") == pytest.approx(100 * (1 - 3 / 7))


@given(st.text("ABC", max_size=5), st.text("ABC", max_size=5))
def test_the_distance_is_the_textbook_recursions(one, other):
    assert edit_distance(one, other) == recursive_distance(one, other)


@given(labels, labels, labels)
def test_the_distance_is_a_metric(one, other, third):
    assert edit_distance(one, other) == edit_distance(other, one)
    assert edit_distance(one, third) <= edit_distance(one, other) + edit_distance(other, third)


@pytest.mark.parametrize(
    ("one", "other", "shared"),
    [
        ((0, 0), (0, 0), 0.0),
        ((0, 10), (10, 20), 0.0),
        ((0, 10), (30, 40), 0.0),
        ((0, 10), (0, 10), 1.0),
        ((0, 10), (5, 10), 0.5),
    ],
)
def test_spans_share_what_both_hold_over_what_either_holds(one, other, shared):
    assert temporal_iou(one, other) == shared
