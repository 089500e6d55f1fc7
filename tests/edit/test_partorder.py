"""Two parts of three frames of 10 us and one of two of 20 us; all numbers worked out by hand."""

from __future__ import annotations

import random
from itertools import permutations

import pytest

from aftercase.edit.partorder import (
    PartOrder,
    moved_moment,
    moved_span,
    placed,
    reordered_case,
    reordered_review,
)
from aftercase.errors import EditRefused, ReviewClosed, TimeOutside
from aftercase.model.base import id_source
from aftercase.model.case import Case, GuideReference, Mask, Part, SinceWord, Window
from aftercase.model.measure import Calibration, Measure
from aftercase.model.picture import PicturePoint
from aftercase.model.review import (
    Drawing,
    Event,
    Flag,
    InstrumentSpan,
    Origin,
    Remark,
    Reply,
    Review,
    StepSpan,
)

new_id = id_source(random.Random(5))


def part(name: str, length_us: int) -> Part:
    return Part(
        id=new_id(), path=name, size_bytes=1, duration_us=length_us, quick_hash="",
        time_base=(1, 1000), start_us=0, end_us=length_us,
    )  # fmt: skip


A, B, C = placed([part("a", 30), part("b", 30), part("c", 40)])
STARTS = ((0, 10, 20), (30, 40, 50), (60, 80))


def order(*parts: Part) -> PartOrder:
    return PartOrder((A, B, C), placed(parts), STARTS)


SWAPPED = order(B, A, C)
LAST_FIRST = order(C, A, B)


def case(**fields: object) -> Case:
    return Case(
        id=new_id(), code="C1", parts=(A, B, C), **fields,  # type: ignore[arg-type]
        guide=GuideReference(id="practice", guide_version="1.0"),
    )  # fmt: skip


def review(**fields: object) -> Review:
    return Review(id=new_id(), case=new_id(), reviewer="T01", role="teacher", **fields)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("us", "swapped", "last_first"),
    [(0, 30, 40), (10, 40, 50), (15, 40, 50), (29, 50, 60), (30, 0, 70), (59, 20, 90),
     (60, 60, 0), (80, 80, 20), (99, 80, 20), (100, 80, 20)],
)  # fmt: skip
def test_a_moment_goes_where_its_frame_goes(us: int, swapped: int, last_first: int) -> None:
    assert moved_moment(us, SWAPPED) == swapped
    assert moved_moment(us, LAST_FIRST) == last_first


@pytest.mark.parametrize(
    ("span", "swapped"),
    [((0, 30), (30, 60)), ((10, 20), (40, 50)), ((10, 30), (40, 60)), ((30, 60), (0, 30)),
     ((0, 60), (0, 60)), ((0, 100), (0, 100)), ((60, 100), (60, 100)), ((12, 25), (40, 50))],
)  # fmt: skip
def test_a_span_stays_one_stretch(span: tuple[int, int], swapped: tuple[int, int]) -> None:
    assert moved_span(*span, SWAPPED) == swapped


@pytest.mark.parametrize("span", [(20, 40), (50, 80), (0, 40), (20, 100)])
def test_a_span_that_would_come_apart_is_refused_with_its_place(span: tuple[int, int]) -> None:
    with pytest.raises(EditRefused, match="come apart"):
        moved_span(*span, SWAPPED)


@pytest.mark.parametrize("us", [-1, 101])
def test_a_mark_outside_the_recording_is_told(us: int) -> None:
    with pytest.raises(TimeOutside):
        moved_moment(us, SWAPPED)


def test_there_and_back_is_where_it_was() -> None:
    for parts in permutations((A, B, C)):
        there = order(*parts)
        moved = {p.id: p for p in there.after}
        starts = {p.id: [us - p.start_us + moved[p.id].start_us for us in STARTS[k]]
                  for k, p in enumerate((A, B, C))}  # fmt: skip
        back = PartOrder(there.after, placed((A, B, C)), tuple(starts[p.id] for p in there.after))
        for us in (0, 10, 20, 30, 40, 50, 60, 80):
            assert moved_moment(moved_moment(us, there), back) == us


def test_an_added_part_moves_what_comes_after_it() -> None:
    inserted = PartOrder((A, B, C), placed((A, part("new", 25), B, C)), STARTS)
    assert moved_moment(10, inserted) == 10
    assert moved_span(30, 60, inserted) == (55, 85)
    with pytest.raises(EditRefused):
        moved_span(20, 40, inserted)


def test_every_kind_of_mark_of_a_review_moves_and_keeps_its_id() -> None:
    ids = [new_id() for _ in range(6)]
    to = Origin(case=new_id(), reviewer="T02", revision=1, id=new_id())
    place = PicturePoint(x=0.5, y=0.5, part=1, at_us=40)
    marks = review(
        steps=(StepSpan(id=ids[0], step="incision", start_us=30, end_us=60, taken_over_us=40),),
        instruments=(InstrumentSpan(id=ids[1], instrument="knife", start_us=0, end_us=20),),
        events=(Event(id=ids[2], kind="slip", at_us=40, place=place),),
        remarks=(Remark(id=ids[3], at_us=20, end_us=30, text="x"),),
        flags=(Flag(id=ids[4], at_us=40),),
        replies=(Reply(id=ids[5], at_us=10, to=to),),
    )
    moved = reordered_review(marks, SWAPPED)
    (step,), (instrument,), (event,), (remark,) = (
        moved.steps, moved.instruments, moved.events, moved.remarks,
    )  # fmt: skip
    assert (step.start_us, step.end_us, step.taken_over_us) == (0, 30, 10)
    assert (instrument.start_us, instrument.end_us) == (30, 50)
    assert (event.at_us, event.place.part, event.place.at_us) == (10, 0, 10)
    assert (remark.at_us, remark.end_us) == (50, 60)
    (flag,), (reply,) = moved.flags, moved.replies
    assert (flag.at_us, reply.at_us) == (10, 40)
    assert [step.id, instrument.id, event.id, remark.id, flag.id, reply.id] == ids


def test_a_drawing_goes_where_its_own_frame_goes() -> None:
    drawings = tuple(
        Drawing(shape="line", colour="sky", part=part, at_us=at_us, points=((0.1, 0.2), (0.3, 0.4)))
        for part, at_us in ((0, 20), (1, 30), (2, 80))
    )
    drawn = review(remarks=(Remark(id=new_id(), at_us=20, text="x", drawings=drawings),))
    (remark,) = reordered_review(drawn, SWAPPED).remarks
    assert [(one.part, one.at_us) for one in remark.drawings] == [(1, 50), (0, 0), (2, 80)]
    assert {one.points for one in remark.drawings} == {((0.1, 0.2), (0.3, 0.4))}


def ruler(start_us: int, end_us: int, part: int, at_us: int) -> Calibration:
    return Calibration(
        id=new_id(), start_us=start_us, end_us=end_us, basis="known-length", part=part,
        at_us=at_us, points=((0.1, 0.2), (0.3, 0.4)), size_mm=2.4,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ((0, 60, 0, 20), (0, 60, 1, 50)),  # the whole of both parts, now the other way round
        ((20, 40, 0, 20), (50, 60, 1, 50)),  # comes apart: what is left is the frame's own piece
        ((20, 40, 1, 30), (0, 10, 0, 0)),
        ((0, 100, 2, 80), (0, 100, 2, 80)),
        ((10, 100, 1, 40), (0, 30, 0, 10)),
    ],
)
def test_a_ruler_keeps_what_is_still_one_stretch_around_its_frame(
    before: tuple[int, int, int, int], after: tuple[int, int, int, int]
) -> None:
    (moved,) = reordered_review(review(calibrations=(ruler(*before),)), SWAPPED).calibrations
    assert (moved.start_us, moved.end_us, moved.part, moved.at_us) == after


def test_a_measure_goes_where_its_frames_go() -> None:
    tip = Measure(
        id=new_id(), kind="tip-path", part=1, at_us=30, times_us=(30, 40, 50),
        points=((0.1, 0.1), (0.2, 0.2), (0.3, 0.3)),
    )  # fmt: skip
    (moved,) = reordered_review(review(measures=(tip,)), SWAPPED).measures
    assert (moved.part, moved.at_us, moved.times_us) == (0, 0, (0, 10, 20))
    assert (moved.id, moved.points) == (tip.id, tip.points)


def test_a_look_for_identities_holds_in_another_order_but_not_for_an_added_film() -> None:
    looked = case(identity_checked_by="T01", judge_first=True)
    assert reordered_case(looked, SWAPPED).identity_checked_by == "T01"
    added = PartOrder((A, B, C), placed((A, part("new", 25), B, C)), STARTS)
    longer = reordered_case(looked, added)
    assert (longer.identity_checked_by, longer.judge_first) == (None, True)


def test_a_sealed_review_is_never_moved() -> None:
    sealed = review(remarks=(Remark(id=new_id(), at_us=0, text="x"),)).changed(state="sealed")
    with pytest.raises(ReviewClosed):
        reordered_review(sealed, SWAPPED)


def test_the_header_moves_with_its_frames() -> None:
    mask = Mask(id=new_id(), start_us=30, end_us=60, left=0.0, top=0.0, right=0.1, bottom=0.1)
    moved = reordered_case(
        case(
            window=Window(start_us=30, end_us=50),
            masks=(mask,),
            limbus_centre=(PicturePoint(x=0.5, y=0.5, part=0, at_us=10),),
            zoom=(SinceWord(from_us=0, value="low"), SinceWord(from_us=40, value="high")),
        ),
        SWAPPED,
    )
    assert [part.path for part in moved.parts] == ["b", "a", "c"]
    assert [(part.start_us, part.end_us) for part in moved.parts] == [(0, 30), (30, 60), (60, 100)]
    assert (moved.window.start_us, moved.window.end_us) == (0, 20)
    assert (moved.masks[0].start_us, moved.masks[0].end_us) == (0, 30)
    assert (moved.limbus_centre[0].part, moved.limbus_centre[0].at_us) == (1, 40)
    # b: low to 10, then high; a: low; c: high
    assert [(since.from_us, since.value) for since in moved.zoom] == [
        (0, "low"), (10, "high"), (30, "low"), (60, "high"),
    ]  # fmt: skip


def test_a_value_that_would_have_to_end_is_refused() -> None:
    late = case(zoom=(SinceWord(from_us=40, value="high"),))
    with pytest.raises(EditRefused, match="have to end"):
        reordered_case(late, SWAPPED)
    assert reordered_case(late, order(A, B, C)) == late


def test_no_order_and_no_part_change_nothing() -> None:
    assert placed([]) == ()
    assert reordered_case(case(), order(A, B, C)).parts == (A, B, C)
