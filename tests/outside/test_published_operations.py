"""101 published operations, read as reviews and measured.

Source: Schoeffmann et al., "Cataract-101: video dataset of 101 cataract surgeries", ACM MMSys
2018: the first frame of each phase at 25 frames a second. Only starts are given, so a step lasts
until the next one begins, the last until the film ends.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pandas as pd
import pytest

import aftercase.data
from aftercase.metrics.measures import measured
from aftercase.metrics.order import visits_in_order
from aftercase.metrics.subject import Subject
from aftercase.model.base import id_source
from aftercase.model.case import Case, GuideReference
from aftercase.model.guide import Guide
from aftercase.model.review import Review, StepSpan

FRAME_US = 40_000
STEP_OF_PHASE = {
    1: "main-wound",
    2: "viscoelastic-in",
    3: "capsulorhexis",
    4: "hydrodissection",
    5: "nucleus",
    6: "cortex",
    7: "polish",
    8: "lens-in",
    9: "viscoelastic-out",
    10: "seal",
}
# Video 269: first frames of its phases, length in frames, and seconds a phase, by hand.
FRAMES_269 = 14734
STARTS_269 = [
    *[(68, 1), (1043, 2), (1228, 3), (2118, 4), (3478, 5), (6864, 6)],
    *[(7727, 7), (8473, 2), (8683, 8), (9482, 9), (14138, 10), (14623, 10)],
]
SECONDS_269 = [39.00, 15.80, 35.60, 54.40, 135.44, 34.52, 29.84, 31.96, 186.24, 23.84]


@pytest.fixture(scope="module")
def guide() -> Guide:
    file = Path(aftercase.data.__file__).parent / "guides" / "cataract-phaco.json"
    return Guide.model_validate_json(file.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def tables(shared_data: Path) -> tuple[pd.DataFrame, pd.DataFrame]:
    folder = shared_data / "cataract101"
    if not folder.is_dir():
        pytest.skip("the published operations are not beside the checkout")
    return (
        pd.read_csv(folder / "annotations.csv", sep=";"),
        pd.read_csv(folder / "videos.csv", sep=";"),
    )


def subject_of(starts: list[tuple[int, int]], n_frames: int, guide: Guide) -> Subject:
    """Return phase starts as a review whose steps last until the next one begins."""
    new_id = id_source(random.Random(n_frames))
    case = Case(
        id=new_id(),
        code="C",
        guide=GuideReference(id=guide.id, guide_version=guide.guide_version),
        stated_duration_us=n_frames * FRAME_US,
        span_custom="until-next",
    )
    steps = tuple(
        StepSpan(
            id=new_id(),
            step=STEP_OF_PHASE[phase],
            start_us=first * FRAME_US,
            end_us=beyond * FRAME_US,
        )
        for (first, phase), (beyond, _) in pairwise([*starts, (n_frames, 0)])
        if beyond > first
    )
    return Subject(case, guide, Review(id=new_id(), case=case.id, reviewer="P", steps=steps))


def operations(tables: tuple[pd.DataFrame, pd.DataFrame], guide: Guide) -> Iterator[Subject]:
    annotations, videos = tables
    n_frames = videos.set_index("VideoID")["Frames"]
    for video, marks in annotations.groupby("VideoID"):
        starts = list(zip(marks["FrameNo"].tolist(), marks["Phase"].tolist(), strict=True))
        yield subject_of(starts, int(n_frames[video]), guide)


def totals_by_step(subject: Subject) -> dict[str, int]:
    frame = measured("steps", subject).frame
    return dict(zip(frame["step"], frame["total_us"], strict=True))


def test_video_269_by_hand(guide):
    subject = subject_of(STARTS_269, FRAMES_269, guide)
    totals_us = totals_by_step(subject)
    assert [totals_us[step] / 1e6 for step in STEP_OF_PHASE.values()] == SECONDS_269
    assert sum(totals_us.values()) == 586_640_000
    assert measured("window", subject).frame["length_us"][0] == (14734 - 68) * FRAME_US


def test_video_269_in_the_published_table_is_the_same(tables, check_values):
    annotations, videos = tables
    marks = annotations[annotations["VideoID"] == 269]
    assert list(zip(marks["FrameNo"], marks["Phase"], strict=True)) == STARTS_269
    assert videos.set_index("VideoID")["Frames"][269] == FRAMES_269
    kept = check_values["cataract101_video269"]["seconds_per_phase"]
    assert [kept[str(phase)] for phase in STEP_OF_PHASE] == SECONDS_269


def test_all_101_totals_are_those_of_a_plain_subtraction(tables, guide):
    annotations, videos = tables
    marks = annotations.merge(videos, on="VideoID")
    beyond = marks.groupby("VideoID")["FrameNo"].shift(-1).fillna(marks["Frames"]).astype(int)
    marks["us"] = (beyond - marks["FrameNo"]) * FRAME_US
    plain = marks.groupby(["VideoID", "Phase"])["us"].sum()
    subjects = list(operations(tables, guide))
    assert len(subjects) == 101
    for video, subject in zip(sorted(annotations["VideoID"].unique()), subjects, strict=True):
        expected = {STEP_OF_PHASE[phase]: us for phase, us in plain[video].items() if us}
        assert totals_by_step(subject) == expected


def test_none_of_the_101_breaks_a_strict_rule(tables, guide):
    strict = [rule for rule in guide.order if rule.kind == "strict"]
    assert len(strict) == 5
    for subject in operations(tables, guide):
        findings = measured("order", subject).frame["finding"]
        assert "out-of-order" not in set(findings)


def test_one_fixed_list_would_mark_36_of_the_101(tables, guide):
    """The published count, so that the rules above are seen to matter."""
    orders = [
        tuple(visit.step for visit in visits_in_order(subject))
        for subject in operations(tables, guide)
    ]
    commonest = max(set(orders), key=orders.count)
    assert sum(order != commonest for order in orders) == 36


def test_three_of_the_101_have_no_incision(tables, guide):
    missing = [
        "main-wound" in set(measured("order", subject).frame.query("finding == 'missing'")["step"])
        for subject in operations(tables, guide)
    ]
    assert sum(missing) == 3
