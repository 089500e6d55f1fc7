from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from aftercase.document.folder import CaseFolder
from aftercase.model.case import CASE_VERSION, Case
from aftercase.model.guide import Guide
from aftercase.model.review import REVIEW_VERSION, Review


def some_id(number: int) -> str:
    return f"id{number:024d}"


CASE: dict[str, Any] = {
    "format": "aftercase/case",
    "version": CASE_VERSION,
    "id": some_id(100),
    "code": "PE-01",
    "guide": {"id": "two-step", "guide_version": "1.0"},
    "stated_duration_us": 1_000_000,
}
REVIEW: dict[str, Any] = {
    "format": "aftercase/review",
    "version": REVIEW_VERSION,
    "id": some_id(0),
    "case": some_id(100),
    "reviewer": "T1",
    "steps": [{"id": some_id(1), "step": "opening", "start_us": 0, "end_us": 100}],
    "events": [
        {
            "id": some_id(2),
            "kind": "grip",
            "at_us": 5,
            "place": {"x": 0.25, "y": 0.5, "at_us": 5},
            "hour": {"hour": 2.5},
        }
    ],
    "remarks": [{"id": some_id(3), "at_us": 7, "text": "Größe 白内障 “ok” \\ \n\t\u2028"}],
    "closing": {"points": [some_id(3)]},
}
GUIDE: dict[str, Any] = {
    "format": "aftercase/guide",
    "version": "1.0",
    "id": "two-step",
    "guide_version": "1.0",
    "name": "Two steps",
    "steps": [
        {"id": "opening", "name": "Opening", "strip_label": "Open"},
        {"id": "closing", "name": "Closing", "strip_label": "Close"},
    ],
}


@pytest.fixture
def case() -> Case:
    return Case.model_validate(CASE)


@pytest.fixture
def review() -> Review:
    return Review.model_validate(REVIEW)


@pytest.fixture
def guide() -> Guide:
    return Guide.model_validate(GUIDE)


@pytest.fixture
def folder(tmp_path: Path) -> CaseFolder:
    return CaseFolder(tmp_path / "PE-01", tmp_path / "private" / "drafts")
