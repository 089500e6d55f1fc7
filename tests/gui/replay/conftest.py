"""A case whose teacher has released a review, and its resident in the replay room."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from aftercase.document.folder import new_review, write_review
from aftercase.gui.window import Window
from aftercase.model.base import NewId
from aftercase.model.review import Closing, Drawing, Goal, Remark, Review, StepSpan
from aftercase.session.opened import OpenedCase, draft_of, open_case
from aftercase.session.people import Person, remember_person
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case

SAMPLE = Path(__file__).resolve().parents[3] / "sample_media" / "demo.mp4"

STEPS = (("side-port", 2_000_000, 8_000_000), ("capsulorhexis", 20_000_000, 40_000_000))

REMARKS: tuple[dict[str, Any], ...] = (
    {"at_us": 5_000_000, "kind": "well-done", "text": "calm hands", "starred": True},
    {
        "at_us": 25_000_000,
        "end_us": 27_000_000,
        "kind": "work-on",
        "text": "the flap is held too far from the tear",
        "reason": "the tear runs outward",
        "next_time": "take a new grip sooner",
        "starred": True,
        "drawings": (
            Drawing(shape="ring", colour="sky", at_us=25_000_000, points=((0.4, 0.4), (0.6, 0.6))),
        ),
    },
    {"at_us": 32_000_000, "kind": "question", "text": "why a second grip here?"},
    {"at_us": 50_000_000, "kind": "work-on", "text": "lower the bottle"},
)
"""What the teacher said, in the order of the film."""


@pytest.fixture
def ids() -> tuple[str, ...]:
    """Ids of the teacher's remarks, in the order of the film."""
    return tuple(f"remark{number}".ljust(26, "x") for number in range(len(REMARKS)))


@pytest.fixture
def write(new_id: NewId, at: Places) -> Callable[..., Review]:
    """Write somebody's review into a case, released unless said otherwise."""

    def put(path: Path, reviewer: str, role: str = "teacher", **fields: Any) -> Review:
        opened = open_case(path, at)
        given = {"state": "released", **fields}
        review = Review(id=new_id(), case=opened.case.id, reviewer=reviewer, role=role, **given)
        write_review(opened.folder, new_review(opened.folder, review), review)
        return review

    return put


@pytest.fixture
def case_of(tmp_path: Path, at: Places, new_id: NewId) -> Callable[..., Path]:
    """Make a case of the sample film, with header fields; returns its folder."""
    numbers = itertools.count(1)

    def make(**header: Any) -> Path:
        code = f"C{next(numbers)}"
        wanted = Wanted(code, "cataract-phaco", films=(SAMPLE,), header=header)
        return new_case(tmp_path / "cases" / code, wanted, at, new_id).folder.path

    return make


@pytest.fixture
def teachers_words(ids: tuple[str, ...], new_id: NewId) -> dict[str, Any]:
    """What the teacher's review holds."""
    return {
        "steps": tuple(
            StepSpan(id=new_id(), step=step, start_us=start_us, end_us=end_us)
            for step, start_us, end_us in STEPS
        ),
        "remarks": tuple(
            Remark(id=one, **fields) for one, fields in zip(ids, REMARKS, strict=True)
        ),
        "closing": Closing(strengths=ids[:1], points=(ids[1], ids[3]), words="A calm operation."),
        "goals": (
            Goal(id=new_id(), act="a new grip every two hours", seen_when="the tear stays inside"),
        ),
    }


@pytest.fixture
def reviewed(
    case_of: Callable[..., Path],
    write: Callable[..., Review],
    teachers_words: dict[str, Any],
) -> Path:
    """A case of R07 that T01 has reviewed and released."""
    path = case_of(trainee="R07")
    write(path, "T01", **teachers_words)
    return path


@pytest.fixture
def resident(at: Places) -> Person:
    """Who sits before the window."""
    person = Person("R07", "trainee")
    remember_person(at, person)
    return person


@pytest.fixture
def enter(resident: Person, window: Window, until: Callable[..., None]) -> Callable[..., Window]:
    """Open a case and go to the replay room."""

    def entering(path: Path) -> Window:
        window.open_path(path)
        until(lambda: window.desk is not None and window.player.is_exact)
        window.enter("replay")
        return window

    return entering


@pytest.fixture
def room(enter: Callable[..., Window], reviewed: Path) -> Window:
    """The window in the replay room of that case."""
    return enter(reviewed)


@pytest.fixture
def own_review(at: Places, new_id: NewId) -> Callable[[Window], Review]:
    """Return the resident's review as it is on disk, once it is saved."""

    def read(window: Window) -> Review:
        assert window.desk is not None
        assert window.desk.hand.wait_until_saved(10.0).word == "saved"
        opened: OpenedCase = open_case(window.desk.opened.folder.path, at)
        return draft_of(opened, "R07", "trainee", new_id).record

    return read
