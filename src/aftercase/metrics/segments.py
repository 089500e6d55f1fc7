"""How alike two sequences of steps, or two spans, are: pure functions of numbers and labels."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

PERFECT: float = 100.0


def edit_distance(one: Sequence[str], other: Sequence[str]) -> int:
    """Return the fewest insertions, deletions and replacements that turn one into the other.

    Source:
        Levenshtein, Soviet Physics Doklady 1966;10:707.

    Example:
        >>> edit_distance("ABCD", "ABACD"), edit_distance("", "AB")
        (1, 2)
    """
    above = np.arange(len(other) + 1)
    for row, label in enumerate(one, start=1):
        replaced = above[:-1] + np.array([label != next_label for next_label in other], dtype=int)
        # An insertion costs 1 a place: along the row it is a running minimum of cost - place.
        best = np.concatenate([[row], np.minimum(replaced, above[1:] + 1)])
        above = np.minimum.accumulate(best - np.arange(len(best))) + np.arange(len(best))
    return int(above[-1])


def edit_score(one: Sequence[str], other: Sequence[str]) -> float:
    """Return how alike two sequences of segments are, whatever the segments' lengths.

    Args:
        one: Labels of segments in order.
        other: The same of the other.

    Returns:
        (1 - edit distance / length of the longer) x 100: 100 for the same, 0 for nothing alike
        and where just one is empty; 100 where both are.

    Source:
        Lea et al., CVPR 2017 (segmental edit score); Farha and Gall, CVPR 2019.

    Example:
        >>> round(edit_score("ABCD", "ABABCD"), 2)
        66.67
    """
    longer = max(len(one), len(other))
    return PERFECT * (1 - edit_distance(one, other) / longer) if longer else PERFECT


def temporal_iou(one: tuple[int, int], other: tuple[int, int]) -> float:
    """Return what two spans share over what they cover together, 0 to 1.

    Args:
        one: Start and end, half-open.
        other: The same of the other.

    Returns:
        0 for spans that only touch, or that both hold nothing.

    Source:
        Jaccard index of two sets, here of moments.

    Example:
        >>> round(temporal_iou((10, 30), (20, 45)), 6)
        0.285714
    """
    shared = max(0, min(one[1], other[1]) - max(one[0], other[0]))
    together = (one[1] - one[0]) + (other[1] - other[0]) - shared
    return shared / together if together else 0.0
