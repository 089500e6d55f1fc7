from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest

from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.review import Review

SECOND_US = 1_000_000


def some_id(number: int) -> str:
    return f"id{number:024d}"


GUIDE: dict[str, Any] = {
    "id": "two-step",
    "guide_version": "1.0",
    "name": "Two steps",
    "steps": [
        {"id": "opening", "name": "Opening", "strip_label": "Open"},
        {"id": "closing", "name": "Closing", "strip_label": "Close"},
    ],
    "instruments": [{"id": "knife", "name": "Knife"}],
    "events": [
        {"id": "grip", "name": "Grip", "event_class": "action"},
        {"id": "tear", "name": "Tear", "event_class": "complication"},
    ],
    "techniques": [{"id": "plain", "name": "Plain"}],
    "help": [{"id": "words", "name": "Words"}],
    "takeover_reasons": [{"id": "time", "name": "Time"}],
    "pause_causes": [{"id": "exchange", "name": "Exchange"}],
    "unseen_reasons": [{"id": "black", "name": "Black"}],
    "attempt_results": [{"id": "reached", "name": "Reached"}],
    "difficulties": [{"id": "small-pupil", "name": "Small pupil"}],
    "header_lists": [
        {"field": "anaesthesia", "words": [{"id": "topical", "name": "Topical"}]},
        {"field": "machine-kind", "words": [{"id": "b", "name": "B"}]},
    ],
    "tasks": [{"id": "drill", "about": "Hands", "task": "Do it", "met_when": "Done"}],
}

PARTS: list[dict[str, Any]] = [
    {
        "id": some_id(101 + number),
        "path": f"card/{number}.mp4",
        "size_bytes": 10,
        "duration_us": 60 * SECOND_US,
        "quick_hash": "ab",
        "time_base": [1, 90000],
        "start_us": number * 60 * SECOND_US,
        "end_us": (number + 1) * 60 * SECOND_US,
    }
    for number in range(2)
]

CASE: dict[str, Any] = {
    "id": some_id(100),
    "code": "PE-01",
    "guide": {"id": "two-step", "guide_version": "1.0"},
    "parts": PARTS,
    "window": {"start_us": SECOND_US, "end_us": 100 * SECOND_US},
    "trim": {"start_us": 2 * SECOND_US, "end_us": 90 * SECOND_US},
    "eye": "right",
    "setting": "patient",
    "span_custom": "touch-to-touch",
    "technique": [{"from_us": 0, "value": "plain"}],
    "seat": [{"from_us": 0, "value": "temporal"}],
    "planned_steps": ["opening"],
    "critical_steps": ["closing"],
    "anaesthesia": "topical",
    "difficulties": ["small-pupil"],
    "masks": [
        {
            "id": some_id(110),
            "start_us": 0,
            "end_us": SECOND_US,
            "left": 0.0,
            "top": 0.0,
            "right": 0.5,
            "bottom": 0.1,
        }
    ],
}

REVIEW: dict[str, Any] = {
    "id": some_id(0),
    "case": some_id(100),
    "reviewer": "T1",
    "steps": [
        {
            "id": some_id(1),
            "step": "opening",
            "start_us": 10 * SECOND_US,
            "end_us": 20 * SECOND_US,
            "performer": "trainee",
            "help": "words",
            "takeover": "given-back",
            "takeover_reason": "time",
            "taken_over_us": 12 * SECOND_US,
            "given_back_us": 14 * SECOND_US,
            "tear_direction": "clockwise",
            "result": "reached",
        }
    ],
    "instruments": [
        {
            "id": some_id(2),
            "instrument": "knife",
            "hand": "main",
            "start_us": 11 * SECOND_US,
            "end_us": 13 * SECOND_US,
        }
    ],
    "pauses": [
        {
            "id": some_id(3),
            "cause": "exchange",
            "start_us": 13 * SECOND_US,
            "end_us": 15 * SECOND_US,
        }
    ],
    "unseen": [
        {
            "id": some_id(4),
            "reason": "black",
            "start_us": 30 * SECOND_US,
            "end_us": 31 * SECOND_US,
        }
    ],
    "events": [
        {
            "id": some_id(5),
            "kind": "tear",
            "at_us": 16 * SECOND_US,
            "hour": {"hour": 2.5, "clock": "eye"},
            "place": {"x": 0.5, "y": 0.5, "part": 1, "at_us": 16 * SECOND_US},
            "course": {
                "first_sign_us": 16 * SECOND_US,
                "recognised_us": 17 * SECOND_US,
                "first_response_us": 18 * SECOND_US,
            },
        }
    ],
    "remarks": [
        {"id": some_id(6), "kind": "well-done", "at_us": 17 * SECOND_US},
        {
            "id": some_id(7),
            "kind": "work-on",
            "at_us": 18 * SECOND_US,
            "end_us": 19 * SECOND_US,
            "drawings": [
                {
                    "shape": "arrow",
                    "colour": "sky",
                    "part": 1,
                    "at_us": 18 * SECOND_US,
                    "points": [[0.1, 0.2], [0.3, 0.4]],
                }
            ],
        },
    ],
    "flags": [{"id": some_id(10), "at_us": 16 * SECOND_US}],
    "replies": [
        {
            "id": some_id(11),
            "to": {"case": some_id(100), "reviewer": "T2", "revision": 1, "id": some_id(50)},
            "at_us": 17 * SECOND_US,
            "understood": "not-yet",
            "text": "Why?",
            "asks": True,
        }
    ],
    "gap_causes": [
        {
            "id": some_id(8),
            "cause": "exchange",
            "start_us": 13 * SECOND_US,
            "end_us": 15 * SECOND_US,
        }
    ],
    "goals": [
        {
            "id": some_id(9),
            "act": "Hold still",
            "step": "opening",
            "task": "drill",
            "outcome": "met",
            "evidence": some_id(6),
        }
    ],
    "closing": {"strengths": [some_id(6)], "points": [some_id(7)], "task": "drill"},
}

Change = Callable[[dict[str, Any]], Any]


@pytest.fixture
def guide() -> Guide:
    return Guide.model_validate(GUIDE)


@pytest.fixture
def case_with() -> Callable[[Change | None], Case]:
    return lambda change: Case.model_validate(_changed(CASE, change))


@pytest.fixture
def review_with() -> Callable[[Change | None], Review]:
    return lambda change: Review.model_validate(_changed(REVIEW, change))


def _changed(data: dict[str, Any], change: Change | None) -> dict[str, Any]:
    changed = copy.deepcopy(data)
    if change is not None:
        change(changed)
    return changed
