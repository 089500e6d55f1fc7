from __future__ import annotations

import pytest

from aftercase.edit import records
from aftercase.edit.answer import add_flag, reply_to, set_reply
from aftercase.edit.review import adopt, corrected, release, seal
from aftercase.errors import EditRefused, ReviewClosed
from aftercase.model.review import Origin, Review


def some_id(number):
    return f"id{number:024d}"


def remark_of(reviewer="T2", number=50, revision=1, case=100):
    return Origin(case=some_id(case), reviewer=reviewer, revision=revision, id=some_id(number))


@pytest.fixture
def review():
    """A teacher's review with two remarks and nothing said to others yet."""
    remarks = [{"id": some_id(12), "at_us": 220}, {"id": some_id(13), "at_us": 230}]
    data = {"id": some_id(0), "case": some_id(100), "reviewer": "T1", "remarks": remarks}
    return Review.model_validate(data)


def test_there_is_no_reply_at_first(review):
    assert review.replies == ()
    assert reply_to(review, "T2", some_id(50)) is None


def test_one_reply_says_only_what_was_said(review, new_id):
    after = set_reply(review, remark_of(), 220, new_id, watched=True)
    (reply,) = after.replies
    assert (reply.to, reply.at_us, reply.watched) == (remark_of(), 220, True)
    assert (reply.understood, reply.text, reply.asks) == ("not-said", "", False)
    assert reply_to(after, "T2", some_id(50)) == reply


def test_more_is_said_in_the_reply_there_is(review, new_id):
    once = set_reply(review, remark_of(), 220, new_id, watched=True)
    twice = set_reply(once, remark_of(), 220, new_id, understood="not-yet")
    after = set_reply(twice, remark_of(), 220, new_id, text="Where should it be?", asks=True)
    (reply,) = after.replies
    assert reply.id == once.replies[0].id
    assert (reply.watched, reply.understood, reply.text, reply.asks) == (
        True, "not-yet", "Where should it be?", True
    )  # fmt: skip


def test_each_remark_has_a_reply_of_its_own_in_the_order_of_time(review, new_id):
    after = set_reply(review, remark_of(number=51), 300, new_id, watched=True)
    after = set_reply(after, remark_of(), 220, new_id, watched=True)
    after = set_reply(after, remark_of("T3"), 220, new_id, text="Thank you")
    assert [(reply.at_us, reply.to.reviewer) for reply in after.replies] == [
        (220, "T2"), (220, "T3"), (300, "T2")
    ]  # fmt: skip


def test_the_same_remark_in_a_corrected_review_has_the_same_reply(review, new_id):
    once = set_reply(review, remark_of(), 220, new_id, watched=True)
    after = set_reply(once, remark_of(revision=2), 230, new_id, text="Now I see")
    (reply,) = after.replies
    assert (reply.to.revision, reply.at_us, reply.watched) == (2, 230, True)


def test_a_question_without_words_asks_nothing(review, new_id):
    asked = set_reply(review, remark_of(), 220, new_id, text="Why?", asks=True)
    assert asked.replies[0].asks
    assert not set_reply(asked, remark_of(), 220, new_id, text=" ").replies[0].asks
    assert not set_reply(review, remark_of(), 220, new_id, asks=True).replies[0].asks


def test_a_word_that_is_none_is_refused_by_its_field(review, new_id):
    with pytest.raises(EditRefused, match="watched"):
        set_reply(
            set_reply(review, remark_of(), 220, new_id, watched=True),
            remark_of(), 220, new_id, watched="yes",
        )  # fmt: skip


def test_one_s_own_remark_and_another_case_s_are_not_replied_to(review, new_id):
    with pytest.raises(EditRefused, match="own remarks"):
        set_reply(review, remark_of("T1"), 220, new_id, watched=True)
    with pytest.raises(EditRefused, match="another case"):
        set_reply(review, remark_of(case=101), 220, new_id, watched=True)


def test_a_flag_stands_on_its_frame_with_its_note(review, new_id):
    after = add_flag(add_flag(review, 300, new_id), 100, new_id, "Too steep?")
    assert [(flag.at_us, flag.note) for flag in after.flags] == [(100, "Too steep?"), (300, "")]


def test_a_frame_has_one_flag_which_gathers_its_notes(review, new_id):
    after = add_flag(review, 100, new_id)
    for note in ("Too steep?", "", "Too steep?", "And here"):
        after = add_flag(after, 100, new_id, note)
    (flag,) = after.flags
    assert flag.note == "Too steep?\nAnd here"
    assert flag.id == add_flag(review, 100, lambda: flag.id).flags[0].id


def test_a_closed_review_takes_neither_reply_nor_flag(review, new_id):
    replied = set_reply(review, remark_of(), 220, new_id, watched=True)
    for closed in (seal(replied), release(replied)):
        with pytest.raises(ReviewClosed):
            set_reply(closed, remark_of(), 220, new_id, watched=False)
        with pytest.raises(ReviewClosed):
            add_flag(closed, 100, new_id)


def test_a_correction_keeps_replies_and_flags(review, new_id):
    replied = add_flag(set_reply(review, remark_of(), 220, new_id, watched=True), 100, new_id)
    after = corrected(seal(replied), "ab" * 32)
    assert (after.replies, after.flags) == (replied.replies, replied.flags)


def test_deleting_a_remark_leaves_what_others_replied_to_it(review, new_id):
    """The reply lies in the other's review, which nobody else writes."""
    trainee = Review(id=some_id(900), case=some_id(100), reviewer="R1", role="trainee")
    replied = set_reply(trainee, remark_of("T1", 12), 220, new_id, text="Thank you")
    records.delete(review, some_id(12))
    assert reply_to(replied, "T1", some_id(12)).text == "Thank you"


def test_flags_and_replies_are_not_adopted(review, new_id):
    trainee = Review(id=some_id(900), case=some_id(100), reviewer="R1", role="trainee")
    trainee = add_flag(set_reply(trainee, remark_of("T2"), 220, new_id, watched=True), 100, new_id)
    after = adopt(review, trainee, new_id)
    assert (after.flags, after.replies) == ((), ())
