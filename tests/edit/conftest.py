from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from aftercase.model.base import NewId
from aftercase.model.review import Review


def some_id(number: int) -> str:
    return f"id{number:024d}"


REVIEW: dict[str, Any] = {
    "id": some_id(0),
    "case": some_id(100),
    "reviewer": "T1",
    "steps": [
        {"id": some_id(1), "step": "incision", "start_us": 0, "end_us": 100},
        {
            "id": some_id(2),
            "step": "rhexis",
            "start_us": 100,
            "end_us": 300,
            "performer": "trainee",
            "note": "slow",
        },
        {"id": some_id(3), "step": "rhexis", "start_us": 300, "end_us": 400},
    ],
    "instruments": [
        {"id": some_id(4), "instrument": "knife", "hand": "main", "start_us": 10, "end_us": 90},
        {"id": some_id(5), "instrument": "knife", "hand": "main", "start_us": 95, "end_us": 120},
        {"id": some_id(6), "instrument": "knife", "hand": "second", "start_us": 95, "end_us": 99},
    ],
    "pauses": [
        {"id": some_id(7), "cause": "exchange", "start_us": 120, "end_us": 130},
        {"id": some_id(8), "cause": "exchange", "start_us": 140, "end_us": 150},
    ],
    "unseen": [
        {"id": some_id(10), "reason": "black", "start_us": 490, "end_us": 505},
        {"id": some_id(9), "reason": "black", "start_us": 500, "end_us": 510},
    ],
    "events": [
        {
            "id": some_id(11),
            "kind": "grip",
            "at_us": 210,
            "place": {"x": 0.25, "y": 0.75, "at_us": 210},
            "to_place": {"x": 0.5, "y": 0.75, "at_us": 211},
            "course": {"first_sign_us": 209, "first_response_us": 215},
        }
    ],
    "remarks": [
        {"id": some_id(12), "at_us": 220, "kind": "well-done"},
        {"id": some_id(13), "at_us": 230, "end_us": 240, "kind": "work-on"},
    ],
    "gap_causes": [{"id": some_id(14), "cause": "exchange", "start_us": 120, "end_us": 130}],
    "goals": [
        {"id": some_id(15), "act": "Zoom in", "evidence": some_id(13)},
        {"id": some_id(16), "act": "Hold still", "evidence": some_id(3)},
    ],
    "flags": [{"id": some_id(17), "at_us": 250, "note": "Too steep?"}],
    "replies": [
        {
            "id": some_id(18),
            "to": {"case": some_id(100), "reviewer": "T9", "revision": 1, "id": some_id(70)},
            "at_us": 260,
            "text": "Thank you",
        }
    ],
    "calibrations": [
        {
            "id": some_id(19),
            "start_us": 200,
            "end_us": 400,
            "basis": "limbus",
            "at_us": 300,
            "points": [[0.25, 0.5], [0.5, 0.25], [0.75, 0.5]],
            "size_mm": 11.71,
        }
    ],
    "measures": [
        {
            "id": some_id(20),
            "kind": "length",
            "at_us": 310,
            "points": [[0.25, 0.5], [0.5, 0.5]],
            "calibration": some_id(19),
        },
        {
            "id": some_id(21),
            "kind": "tip-path",
            "at_us": 320,
            "points": [[0.25, 0.5], [0.5, 0.5], [0.5, 0.75]],
            "times_us": [320, 330, 340],
            "calibration": some_id(19),
        },
    ],
    "closing": {"strengths": [some_id(12)], "points": [some_id(13)], "words": "Good."},
}


@pytest.fixture
def review() -> Review:
    return Review.model_validate(REVIEW)


@pytest.fixture
def new_id() -> NewId:
    numbers: Iterator[int] = iter(range(1000, 2000))
    return lambda: some_id(next(numbers))
