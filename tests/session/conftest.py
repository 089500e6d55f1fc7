from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from aftercase.document.folder import new_review, write_review
from aftercase.model.base import NewId, id_source
from aftercase.model.review import Review
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places, places
from aftercase.session.tasks.create import Wanted, new_case

CASE_END_US = 60_000_000


@pytest.fixture
def at() -> Places:
    return places()


@pytest.fixture
def new_id() -> NewId:
    return id_source(random.Random(20))


@pytest.fixture
def case_of(tmp_path: Path, at: Places, new_id: NewId) -> Callable[..., Path]:
    """Make a case of a minute without film, with header fields; returns its folder."""

    def make(code: str = "C1", guide: str = "cataract-phaco", **header: Any) -> Path:
        wanted = Wanted(code, guide, duration_us=CASE_END_US, header=header)
        return new_case(tmp_path / "cases" / code, wanted, at, new_id).folder.path

    return make


@pytest.fixture
def write(at: Places, new_id: NewId) -> Callable[..., Review]:
    """Write a review into a case, released unless said otherwise; returns it."""

    def put(path: Path, reviewer: str, role: str = "teacher", **fields: Any) -> Review:
        opened: OpenedCase = open_case(path, at)
        fields = {"state": "released", **fields}
        review = Review(id=new_id(), case=opened.case.id, reviewer=reviewer, role=role, **fields)
        write_review(opened.folder, new_review(opened.folder, review), review)
        return review

    return put
