from __future__ import annotations

import pytest

from aftercase.edit import records
from aftercase.edit.review import adopt, close_with, corrected, release, say_not_needed, seal
from aftercase.errors import EditRefused, ReviewClosed
from aftercase.model.review import Closing, Origin, Review


def some_id(number):
    return f"id{number:024d}"


@pytest.fixture
def empty():
    return Review(id=some_id(900), case=some_id(100), reviewer="T2")


def test_the_closing_is_set_whole(review):
    closing = Closing(strengths=(some_id(13),), words="Well.")
    after = close_with(review, closing)
    assert after.closing == closing
    assert review.closing.words == "Good."


@pytest.mark.parametrize(
    ("closing", "fault"),
    [
        (Closing(strengths=(some_id(12),) * 3), "3 strengths are too many; 2"),
        (Closing(points=(some_id(12),) * 4), "4 points to work on are too many; 3"),
        (Closing(points=(some_id(1),)), f"No remark has the id {some_id(1)}"),
    ],
)
def test_a_closing_that_breaks_a_rule_is_refused(closing, fault, review):
    with pytest.raises(EditRefused, match=fault):
        close_with(review, closing)


def test_steps_not_needed_are_listed_once_and_in_order(review):
    assert say_not_needed(review, ("b", "a", "b")).not_needed == ("a", "b")


def test_adopting_copies_steps_and_instruments_and_keeps_who_marked_them(review, empty, new_id):
    after = adopt(empty, review, new_id)
    assert [span.step for span in after.steps] == ["incision", "rhexis", "rhexis"]
    assert len(after.instruments) == 3
    first = after.steps[0]
    assert first.adopted_from == Origin(case=some_id(100), reviewer="T1", revision=1, id=some_id(1))
    assert first.id not in {span.id for span in review.steps}
    assert (first.start_us, first.end_us) == (0, 100)


def test_adopting_takes_nothing_but_steps_and_instruments(review, empty, new_id):
    after = adopt(empty, review, new_id)
    others = (after.remarks, after.events, after.pauses, after.unseen, after.goals)
    assert others == ((), (), (), (), ())
    assert after.closing == Closing()


def test_adopting_from_an_empty_review_adds_nothing(review, empty, new_id):
    assert adopt(review, empty, new_id) == review


def test_adopting_twice_adds_nothing_even_after_edits_of_the_copies(review, empty, new_id):
    once = adopt(empty, review, new_id)
    edited = records.change(once, once.steps[0].id, end_us=90)
    assert adopt(edited, review, new_id) == edited


def test_adopting_again_takes_what_was_marked_since(review, empty, new_id):
    once = adopt(empty, review, new_id)
    more = records.begin_step(review, "hydro", 400, 500, new_id)
    twice = adopt(once, more, new_id)
    assert [span.step for span in twice.steps] == ["incision", "rhexis", "rhexis", "hydro"]


def test_adopting_from_one_who_adopted_names_the_first_author(review, empty, new_id):
    second = adopt(empty, review, new_id)
    third = Review(id=some_id(901), case=some_id(100), reviewer="T3")
    after = adopt(third, second, new_id)
    assert {span.adopted_from.reviewer for span in after.steps} == {"T1"}
    assert adopt(after, review, new_id) == after


def test_one_s_own_marks_do_not_come_back_from_another(review, empty, new_id):
    second = adopt(empty, review, new_id)
    assert adopt(review, second, new_id) == review


def test_edits_stay_in_the_adopter_s_copy(review, empty, new_id):
    before = review.model_dump_json()
    after = adopt(empty, review, new_id)
    changed = records.change(after, after.steps[0].id, step="paracentesis")
    assert changed.steps[0].adopted_from == after.steps[0].adopted_from
    assert review.model_dump_json() == before


def test_a_joined_span_that_was_partly_adopted_is_still_known_as_adopted(review, empty, new_id):
    after = adopt(empty, review, new_id)
    own = records.begin_step(after, "rhexis", 400, 450, new_id)
    rhexes = [span for span in own.steps if span.step == "rhexis"]
    joined = records.join(own, rhexes[1].id, rhexes[2].id)
    assert all(span.adopted_from is not None for span in joined.steps)


def test_one_s_own_review_and_another_case_s_are_not_adopted(review, empty, new_id):
    with pytest.raises(EditRefused, match="own"):
        adopt(review, review, new_id)
    with pytest.raises(EditRefused, match="another case"):
        adopt(empty.changed(case=some_id(101)), review, new_id)


def test_a_sealed_review_can_be_adopted_from_but_not_into(review, empty, new_id):
    assert adopt(empty, seal(review), new_id).steps
    with pytest.raises(ReviewClosed):
        adopt(seal(empty), review, new_id)


@pytest.mark.parametrize(
    "edit",
    [seal, lambda r: close_with(r, Closing()), lambda r: say_not_needed(r, ())],
    ids=["seal", "close_with", "say_not_needed"],
)
def test_a_closed_review_refuses(edit, review):
    for closed in (seal(review), release(review)):
        with pytest.raises(ReviewClosed):
            edit(closed)


def test_sealing_changes_the_state_alone(review):
    assert seal(review).changed(state="draft") == review
    assert review.state == "draft"


def test_a_correction_is_the_next_revision_and_names_its_predecessor(review):
    draft = corrected(seal(review), "ab" * 32)
    assert (draft.state, draft.revision, draft.predecessor_sha256) == ("draft", 2, "ab" * 32)
    assert draft.steps == review.steps
    assert corrected(seal(draft), "cd" * 32).revision == 3


def test_a_draft_needs_no_correction(review):
    with pytest.raises(EditRefused):
        corrected(review, "ab" * 32)


def test_a_draft_is_sealed_and_released_in_one(review):
    after = release(review)
    assert (after.state, after.revision, after.predecessor_sha256) == ("released", 1, None)


def test_a_sealed_review_is_released_as_its_next_revision(review):
    after = release(seal(review), "ab" * 32)
    assert (after.state, after.revision, after.predecessor_sha256) == ("released", 2, "ab" * 32)
    assert after.remarks == review.remarks


def test_releasing_twice_is_refused(review):
    with pytest.raises(EditRefused):
        release(release(review))


def test_releasing_a_sealed_review_without_its_hash_is_our_own_fault(review):
    with pytest.raises(ValueError, match="SHA-256"):
        release(seal(review))
