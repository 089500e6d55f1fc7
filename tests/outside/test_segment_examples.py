"""Worked examples of segment scores.

Source: edit score of Lea et al. (CVPR 2017), as in the evaluation published with Farha and Gall
(CVPR 2019); truth A10 B20 C10 D20 against A8 B10 A2 B12 C4 D24, worked by hand. Overlap of two
spans: by hand.
"""

import re

import pytest

from aftercase.metrics.order import order_similarity
from aftercase.metrics.segments import edit_distance, edit_score, temporal_iou

TRUTH = "A*10 B*20 C*10 D*20"
OTHER = "A*8 B*10 A*2 B*12 C*4 D*24"


def labels(runs: str) -> list[str]:
    return re.findall(r"([A-Z])\*", runs)


def test_the_edit_score_is_two_thirds():
    assert edit_distance(labels(TRUTH), labels(OTHER)) == 2
    assert edit_score(labels(TRUTH), labels(OTHER)) == pytest.approx(66.67, abs=0.005)
    assert order_similarity(labels(TRUTH), labels(OTHER)) == pytest.approx(66.67, abs=0.005)


def test_ten_to_thirty_and_twenty_to_forty_five_share_ten_of_thirty_five():
    assert temporal_iou((10, 30), (20, 45)) == pytest.approx(10 / 35)
    assert temporal_iou((10, 30), (20, 45)) == pytest.approx(0.285714, abs=5e-7)


def test_touching_spans_share_nothing():
    assert temporal_iou((10, 30), (30, 45)) == 0


def test_the_examples_kept_beside_the_checkout_are_the_same(check_values):
    kept = check_values["segments"]
    assert (kept["truth"], kept["other"]) == (TRUTH, OTHER)
    assert edit_distance(labels(TRUTH), labels(OTHER)) == kept["edit_distance"]
    assert edit_score(labels(TRUTH), labels(OTHER)) == pytest.approx(kept["edit_score"])
    one, other = kept["temporal_iou"]["a"], kept["temporal_iou"]["b"]
    assert temporal_iou(tuple(one), tuple(other)) == pytest.approx(
        kept["temporal_iou"]["iou"], abs=5e-7
    )
