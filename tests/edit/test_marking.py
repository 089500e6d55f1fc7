"""One key begins on the shown frame, the same key ends there; pure edits of a review."""

import random
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aftercase.document.guides import guide_named
from aftercase.edit.marking import (
    Moment,
    press_instrument,
    press_pause,
    press_step,
    press_takeover,
    press_unseen,
    running_step,
    usual_next,
    usual_steps,
)
from aftercase.errors import EditRefused
from aftercase.model.base import id_source
from aftercase.model.review import Review

END_US = 1000
NEW_ID = id_source(random.Random(1))


@pytest.fixture(scope="module")
def guide(tmp_path_factory):
    return guide_named("cataract-phaco", tmp_path_factory.mktemp("none"))


@pytest.fixture
def review():
    return Review(id=NEW_ID(), case=NEW_ID(), reviewer="T01")


def at(us):
    return Moment(us, us, END_US)


def steps(review):
    return [(span.step, span.start_us, span.end_us) for span in review.steps]


def test_nothing_marked_begins_with_the_first_usual_step(guide, review):
    assert usual_next(guide, review, 0) == usual_steps(guide, review)[0]
    assert running_step(guide, review, 0) is None


def test_the_usual_order_leaves_out_parts_optional_and_unplanned_steps(guide, review):
    # by hand from the guide: the eleven whole steps that every phaco case has
    assert [step.id for step in usual_steps(guide, review)] == [
        "side-port", "viscoelastic-in", "main-wound", "capsulorhexis", "hydrodissection",
        "nucleus", "cortex", "lens-in", "lens-position", "viscoelastic-out", "seal",
    ]  # fmt: skip


def test_another_step_ends_the_running_one_on_the_shared_edge(guide, review):
    review = press_step(review, guide, "side-port", at(10), NEW_ID)
    review = press_step(review, guide, "main-wound", at(50), NEW_ID)
    assert steps(review) == [("side-port", 10, 50), ("main-wound", 50, END_US)]


def test_the_same_key_ends_it_and_time_between_belongs_to_no_step(guide, review):
    review = press_step(review, guide, "side-port", at(10), NEW_ID)
    review = press_step(review, guide, "side-port", at(30), NEW_ID)
    assert steps(review) == [("side-port", 10, 30)]
    assert running_step(guide, review, 30) is None


def test_ending_on_its_own_first_frame_is_refused(guide, review):
    review = press_step(review, guide, "side-port", at(10), NEW_ID)
    with pytest.raises(EditRefused, match="very frame"):
        press_step(review, guide, "side-port", at(10), NEW_ID)


def test_the_wrong_key_is_put_right_by_the_right_one_on_the_same_frame(guide, review):
    review = press_step(review, guide, "side-port", at(10), NEW_ID)
    wrong = review.steps[0].id
    review = press_step(review, guide, "cortex", at(10), NEW_ID)
    assert steps(review) == [("cortex", 10, END_US)]
    assert review.steps[0].id == wrong


def test_the_last_frame_ends_a_span_at_the_recordings_end(guide, review):
    review = press_step(review, guide, "seal", at(900), NEW_ID)
    review = press_step(review, guide, "seal", Moment(960, 1000, END_US), NEW_ID)
    assert steps(review) == [("seal", 900, 1000)]


def test_a_part_leaves_its_whole_running_and_ends_with_it(guide, review):
    review = press_step(review, guide, "nucleus", at(100), NEW_ID)
    review = press_step(review, guide, "nucleus-groove", at(120), NEW_ID)
    assert running_step(guide, review, 130).step == "nucleus-groove"
    review = press_step(review, guide, "cortex", at(300), NEW_ID)
    assert steps(review) == [
        ("nucleus", 100, 300),
        ("nucleus-groove", 120, 300),
        ("cortex", 300, END_US),
    ]


def test_a_step_begun_before_another_ends_where_that_begins(guide, review):
    review = press_step(review, guide, "cortex", at(500), NEW_ID)
    review = press_step(review, guide, "nucleus", at(200), NEW_ID)
    assert steps(review) == [("nucleus", 200, 500), ("cortex", 500, END_US)]


def test_a_return_does_not_turn_the_usual_order_back(guide, review):
    for us, step in ((10, "side-port"), (20, "viscoelastic-in"), (30, "main-wound")):
        review = press_step(review, guide, step, at(us), NEW_ID)
    review = press_step(review, guide, "side-port", at(40), NEW_ID)
    assert usual_next(guide, review, 40).id == "capsulorhexis"
    assert usual_next(guide, review, 15).id == "viscoelastic-in"


def test_after_the_last_usual_step_nothing_follows(guide, review):
    review = press_step(review, guide, "seal", at(10), NEW_ID)
    assert usual_next(guide, review, 10) is None


def test_a_step_that_was_not_needed_is_passed_over(guide, review):
    review = review.changed(not_needed=("side-port",))
    assert usual_next(guide, review, 0).id == "viscoelastic-in"


def test_one_hand_holds_one_instrument_and_the_other_keeps_its_own(guide, review):
    review = press_instrument(review, guide, "knife-main", "main", at(10), NEW_ID)
    review = press_instrument(review, guide, "forceps-fixation", "second", at(12), NEW_ID)
    review = press_instrument(review, guide, "cannula-visco", "main", at(20), NEW_ID)
    found = {(i.instrument, i.hand, i.start_us, i.end_us) for i in review.instruments}
    assert found == {
        ("knife-main", "main", 10, 20),
        ("forceps-fixation", "second", 12, END_US),
        ("cannula-visco", "main", 20, END_US),
    }


def test_a_pause_empties_the_hands_and_an_instrument_ends_the_pause(guide, review):
    review = press_instrument(review, guide, "knife-main", "main", at(10), NEW_ID)
    review = press_pause(review, guide, at(30), NEW_ID)
    assert review.instruments[0].end_us == 30
    review = press_instrument(review, guide, "cannula-visco", "main", at(40), NEW_ID)
    assert [(p.start_us, p.end_us) for p in review.pauses] == [(30, 40)]


def test_what_stays_in_the_eye_without_a_hand_outlasts_a_pause(guide, review):
    in_place = next(one.id for one in guide.instruments if one.hand == "in-place")
    review = press_instrument(review, guide, in_place, "not-said", at(10), NEW_ID)
    review = press_pause(review, guide, at(30), NEW_ID)
    assert review.instruments[0].end_us == END_US


def test_unseen_begins_and_ends_by_one_key(review):
    review = press_unseen(review, at(10), NEW_ID)
    review = press_unseen(review, at(25), NEW_ID)
    assert [(one.start_us, one.end_us) for one in review.unseen] == [(10, 25)]


def test_a_second_takeover_of_a_step_is_a_span_of_its_own(guide, review):
    review = press_step(review, guide, "nucleus", at(100), NEW_ID)
    for us in (150, 180, 250):
        review = press_takeover(review, guide, at(us), NEW_ID)
    first, second = review.steps
    assert (first.start_us, first.end_us, first.taken_over_us, first.given_back_us) == (
        100, 250, 150, 180,
    )  # fmt: skip
    assert (second.takeover, second.taken_over_us, second.given_back_us) == (
        "taken-over", 250, None,
    )  # fmt: skip


def test_a_takeover_without_a_step_is_refused(guide, review):
    with pytest.raises(EditRefused, match="No step is running"):
        press_takeover(review, guide, at(5), NEW_ID)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["side-port", "main-wound", "nucleus", "cortex"]),
            st.integers(0, END_US - 1),
        ),
        max_size=20,
    )
)
def test_whole_steps_never_overlap_whatever_is_pressed(guide, presses):
    review = Review(id=NEW_ID(), case=NEW_ID(), reviewer="T01")
    for step, us in presses:
        try:
            review = press_step(review, guide, step, at(us), NEW_ID)
        except EditRefused:
            continue
    for earlier, later in pairwise(review.steps):
        assert earlier.end_us <= later.start_us
    assert all(span.start_us < span.end_us for span in review.steps)
