"""The cases that the pictures show: the example, an earlier one, and what a resident answered."""

from __future__ import annotations

import tempfile
from pathlib import Path

from aftercase.document.codec import decoded
from aftercase.document.folder import new_review, write_review
from aftercase.edit.review import release
from aftercase.model.base import NewId, id_source
from aftercase.model.review import Closing, Goal, Origin, Reply, Review
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.sample import FILM, REVIEW, sample_file
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.demo import make_demo

_LATE_US = 800_000
_ANSWERS = (
    ("understood", ""),
    ("understood", "I saw it on the second look."),
    ("not-yet", "From which hour on should I take the new grip? I held on because the flap lay "
     "flat until three o'clock, and every grip before had pulled it outward a little."),
)  # fmt: skip
_EARLIER_GOALS = (
    "Take a new grip before the tear runs outward, at the latest every two clock hours.",
    "Look at the pupil's edge before every new quadrant.",
    "Rest the second hand on the brow while the first one cuts.",
)


def made_example(at: Places) -> Path:
    """Make the example case, an earlier one of the same resident, and the resident's answers."""
    new_id = id_source()
    opened = open_case(make_demo(Path(tempfile.mkdtemp()) / "demo", at, new_id).case, at)
    source = sample_file(REVIEW)
    said = decoded(Review, source.read_bytes(), source)
    _make_earlier_case(opened, said, at, new_id)
    own = _residents_review(opened, said, new_id)
    write_review(opened.folder, new_review(opened.folder, own), own)
    return opened.folder.path


def _make_earlier_case(opened: OpenedCase, said: Review, at: Places, new_id: NewId) -> None:
    header = {"trainee": opened.case.trainee}
    wanted = Wanted("PE-009", "cataract-phaco", films=(sample_file(FILM),), header=header)
    earlier = new_case(opened.folder.path.parent / "earlier", wanted, at, new_id)
    goals = tuple(Goal(id=new_id(), act=act) for act in _EARLIER_GOALS)
    theirs = release(
        said.changed(
            id=new_id(), case=earlier.case.id, remarks=(), closing=Closing(), goals=goals
        )
    )  # fmt: skip
    write_review(earlier.folder, new_review(earlier.folder, theirs), theirs)


def _residents_review(opened: OpenedCase, said: Review, new_id: NewId) -> Review:
    """Return the resident's own review: steps begun a little late, and answers to remarks."""
    replies = tuple(
        Reply(
            id=new_id(),
            to=Origin(case=opened.case.id, reviewer="T01", revision=1, id=remark.id),
            at_us=remark.at_us,
            watched=True,
            understood=understood,
            text=text,
            asks="?" in text,
        )
        for remark, (understood, text) in zip(said.remarks, _ANSWERS, strict=False)
    )
    own_times = {"taken_over_us": None, "given_back_us": None}
    steps = tuple(
        span.changed(id=new_id(), start_us=span.start_us + _LATE_US, **own_times)
        for span in said.steps[:-2]
    )
    return Review(
        id=new_id(), case=opened.case.id, reviewer="R07", role="trainee", state="released",
        steps=steps, replies=replies,
    )  # fmt: skip
