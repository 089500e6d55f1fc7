"""What trainees answered or asked reaches whoever wrote the remark, until it was read."""

from __future__ import annotations

import pytest

from aftercase.model.review import Origin, Remark, Reply
from aftercase.session.inbox import mark_read, unread_replies
from aftercase.session.opened import open_case


@pytest.fixture
def reply(new_id):
    def make(review, remark, text="", **fields):
        to = Origin(
            case=review.case, reviewer=review.reviewer, revision=review.revision, id=remark.id
        )
        return Reply(id=new_id(), to=to, at_us=remark.at_us, text=text, **fields)

    return make


@pytest.fixture
def remark(new_id):
    return lambda text, at_us=0: Remark(id=new_id(), at_us=at_us, text=text)


@pytest.fixture
def answered(case_of, write, remark, reply):
    """A case where T01 made two remarks and R07 replied to both."""

    def make(code="C1", texts=("I see", "how far?"), **fields):
        path = case_of(code)
        remarks = (remark("slowly", 1_000_000), remark("turn it", 2_000_000))
        theirs = write(path, "T01", remarks=remarks)
        replies = tuple(
            reply(theirs, one, text, asks=text.endswith("?"), **fields)
            for one, text in zip(remarks, texts, strict=True)
        )
        write(path, "R07", "trainee", replies=replies)
        return path

    return make


def said(inbox):
    return [one.reply.text for one in inbox.unread]


def test_without_cases_there_is_nothing(at):
    assert unread_replies("T01", [], at).unread == ()


def test_replies_come_with_their_remark_questions_first(answered, at):
    path = answered()
    inbox = unread_replies("T01", [path], at)
    assert said(inbox) == ["how far?", "I see"]
    question = inbox.unread[0]
    assert (question.folder, question.case_code, question.trainee) == (path, "C1", "R07")
    assert question.remark is not None
    assert question.remark.text == "turn it"


def test_what_was_read_is_not_told_again(answered, at):
    path, other = answered("C1"), answered("C2")
    first = unread_replies("T01", [path, other], at).unread
    assert len(first) == 4
    mark_read(first[:1], at)
    assert unread_replies("T01", [path, other], at).unread == first[1:]
    mark_read(first[1:], at)
    assert unread_replies("T01", [path, other], at).unread == ()


def test_a_reply_that_was_changed_after_it_was_read_is_unread(answered, at, write):
    path = answered()
    mark_read(unread_replies("T01", [path], at).unread, at)
    review = next(one.record for one in open_case(path, at).reviews if one.record.reviewer == "R07")
    changed = (review.replies[0], review.replies[1].changed(text="how far, and when?"))
    write(path, "R07", "trainee", replies=changed, revision=2, predecessor_sha256="0" * 64)
    assert said(unread_replies("T01", [path], at)) == ["how far, and when?"]


def test_having_watched_is_no_message_but_not_understood_yet_is(answered, at):
    path = answered("C1", ("", ""), watched=True)
    assert unread_replies("T01", [path], at).unread == ()
    path = answered("C2", ("", " "), understood="understood")
    assert unread_replies("T01", [path], at).unread == ()
    path = answered("C3", ("", ""), understood="not-yet")
    assert len(unread_replies("T01", [path], at).unread) == 2


def test_nobody_reads_what_is_meant_for_another_or_was_not_released(
    case_of, at, write, remark, reply
):
    path, one = case_of(), remark("slowly")
    theirs = write(path, "T01", remarks=(one,))
    write(path, "R07", "trainee", replies=(reply(theirs, one, "I see"),), state="sealed")
    write(path, "R08", "trainee", replies=(reply(theirs, one, "I too"),), state="draft")
    write(path, "T03", "teacher", replies=(reply(theirs, one, "well said"),))
    assert unread_replies("T01", [path], at).unread == ()
    write(path, "R09", "trainee", replies=(reply(theirs, one, "and I"),))
    assert unread_replies("T02", [path], at).unread == ()
    assert said(unread_replies("T01", [path], at)) == ["and I"]


def test_a_reply_to_a_remark_that_is_gone_is_still_told(case_of, at, write, remark, reply):
    path, one = case_of(), remark("slowly")
    theirs = write(path, "T01")
    write(path, "R07", "trainee", replies=(reply(theirs, one, "which?"),))
    [unread] = unread_replies("T01", [path], at).unread
    assert (unread.reply.text, unread.remark) == ("which?", None)


def test_a_case_that_cannot_be_read_is_passed_over(answered, at, tmp_path):
    inbox = unread_replies("T01", [tmp_path / "gone", answered()], at)
    assert len(inbox.unread) == 2
    assert [one.path for one in inbox.skipped] == [tmp_path / "gone"]


@pytest.mark.parametrize("content", [b"{", b'{"read": 3}', b'{"read": [3, null]}'])
def test_a_list_of_what_was_read_that_cannot_be_read_is_begun_anew(content, answered, at):
    path = answered()
    at.state.mkdir(parents=True, exist_ok=True)
    (at.state / "replies-read.json").write_bytes(content)
    unread = unread_replies("T01", [path], at).unread
    assert len(unread) == 2
    mark_read(unread, at)
    assert unread_replies("T01", [path], at).unread == ()
