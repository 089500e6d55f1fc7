"""Who reviews, and whose the draft becomes that was begun before anybody said so."""

from __future__ import annotations

import hashlib
import json

import pytest

from aftercase.document.files import read_document
from aftercase.document.folder import new_review, write_review
from aftercase.edit.records import add
from aftercase.edit.review import seal
from aftercase.errors import DocumentChanged, EditRefused
from aftercase.model.review import Event, Goal, PauseSpan, Remark, Review, StepSpan
from aftercase.session import people
from aftercase.session.inhand import WorkInHand
from aftercase.session.opened import draft_of, open_case
from aftercase.session.people import (
    PLACEHOLDER,
    Person,
    asked_after,
    has_passphrase,
    known_people,
    passphrase_fits,
    remember_person,
    remembered_person,
    set_passphrase,
    take_name,
)
from aftercase.session.tasks.create import Wanted, new_case

ANNE = Person("T01", "teacher")
BEN = Person("R07", "trainee")


def file_of_people(at):
    return at.settings / "people.json"


def test_at_first_nobody_is_known(at):
    assert remembered_person(at) is None
    assert known_people(at) == ()
    assert passphrase_fits(at, "T01", "anything")


def test_who_reviewed_last_is_remembered(at):
    remember_person(at, ANNE)
    remember_person(at, BEN)
    assert remembered_person(at) == BEN
    remember_person(at, ANNE)
    assert remembered_person(at) == ANNE
    assert known_people(at) == (BEN, ANNE)


def test_a_role_can_change(at):
    remember_person(at, ANNE)
    remember_person(at, Person("T01", "second-teacher"))
    assert known_people(at) == (Person("T01", "second-teacher"),)


def test_whoever_has_a_passphrase_is_asked_again_at_the_next_start(at):
    remember_person(at, ANNE)
    set_passphrase(at, ANNE, "corneal")
    assert has_passphrase(at, "T01")
    assert remembered_person(at) is None
    assert passphrase_fits(at, "T01", "corneal")
    assert not passphrase_fits(at, "T01", "Corneal")
    assert not passphrase_fits(at, "T01", "")
    remember_person(at, ANNE)
    assert has_passphrase(at, "T01")
    set_passphrase(at, ANNE, "")
    assert remembered_person(at) == ANNE


def test_no_passphrase_lies_on_the_disk_and_no_two_look_alike(at):
    for person in (ANNE, BEN):
        remember_person(at, person)
        set_passphrase(at, person, "corneal")
    content = file_of_people(at).read_text(encoding="utf-8")
    assert "corneal" not in content
    kept = json.loads(content)["people"]
    one, other = (kept[code]["passphrase"]["hash"] for code in ("T01", "R07"))
    assert one != other
    salt = bytes.fromhex(kept["T01"]["passphrase"]["salt"])
    assert one == hashlib.scrypt(b"corneal", salt=salt, n=16384, r=8, p=1).hex()


def test_letters_typed_on_another_keyboard_are_the_same_passphrase(at):
    remember_person(at, ANNE)
    set_passphrase(at, ANNE, "Mu\N{COMBINING DIAERESIS}ller")
    assert passphrase_fits(at, "T01", "M\N{LATIN SMALL LETTER U WITH DIAERESIS}ller")


@pytest.mark.parametrize(
    "code", ["", " ", "Dr Miller", "a/b", "../x", "me", "Me", "-x", "x" * 41, "t01"]
)
def test_what_is_no_code_of_a_new_person_is_refused(code, at):
    remember_person(at, ANNE)
    with pytest.raises(EditRefused):
        remember_person(at, Person(code))
    assert remembered_person(at) == ANNE


@pytest.mark.parametrize(
    "content",
    [
        b"{",
        b'{"last": "T01"}',
        b'{"last": 3, "people": []}',
        b'{"last": "T01", "people": {"T01": "teacher"}}',
        b'{"last": "T01", "people": {"T01": {"role": "surgeon"}}}',
    ],
)
def test_a_list_of_people_that_cannot_be_read_is_begun_anew(content, at):
    file_of_people(at).parent.mkdir(parents=True)
    file_of_people(at).write_bytes(content)
    assert remembered_person(at) is None
    remember_person(at, BEN)
    assert remembered_person(at) == BEN


def test_a_broken_passphrase_locks_nobody_out(at):
    file_of_people(at).parent.mkdir(parents=True)
    file_of_people(at).write_bytes(
        b'{"people": {"T01": {"role": "teacher", "passphrase": {"salt": "zz"}}}}'
    )
    assert passphrase_fits(at, "T01", "whatever")


def test_who_reviews_is_asked_after_the_idle_minutes_and_never_after_none():
    assert [asked_after(seconds, 5) for seconds in (0, 299, 300, 301)] == [False, False, True, True]
    assert not asked_after(1e9, 0)


@pytest.fixture
def opened(tmp_path, at, new_id):
    wanted = Wanted("C1", "cataract-phaco", duration_us=60_000_000)
    return new_case(tmp_path / "c", wanted, at, new_id)


@pytest.fixture
def path(opened):
    return opened.folder.path


@pytest.fixture
def work(path, at, new_id):
    """Let somebody put one pause of a length on the case."""

    def mark(person, end_us=1, *, sealed=False):
        hand = WorkInHand(
            open_case(path, at), draft_of(open_case(path, at), person.code, person.role, new_id)
        )
        pause = PauseSpan(id=new_id(), start_us=0, end_us=end_us)
        hand.edit(lambda review: add(review, "pauses", pause), "mark a pause")
        if sealed:
            hand.edit(seal, "seal")
        assert hand.close().word == "saved"
        return hand.review

    return mark


def reviews_of(path, at):
    return {one.record.reviewer: one.record for one in open_case(path, at).reviews}


def test_where_nothing_was_begun_nothing_is_taken(path, at):
    assert take_name(path, at, ANNE) is None


def test_the_draft_begun_by_nobody_becomes_a_persons(path, at, work):
    begun = work(PLACEHOLDER, 7)
    taken = take_name(path, at, BEN)
    assert taken.record == begun.changed(reviewer="R07", role="trainee")
    assert reviews_of(path, at) == {"R07": taken.record}


def test_the_draft_as_it_was_is_kept_among_the_earlier_versions(path, at, work):
    begun = work(PLACEHOLDER, 7)
    taken = take_name(path, at, ANNE)
    [kept] = (taken.path.parent / "earlier").glob("me.r1.*.json")
    assert read_document(Review, kept).record == begun


def test_an_empty_draft_of_the_persons_own_stands_in_no_way(path, at, work, new_id):
    opened = open_case(path, at)
    own = draft_of(opened, "T01", "teacher", new_id)
    write_review(opened.folder, own, own.record)
    work(PLACEHOLDER, 7)
    assert take_name(path, at, ANNE).record.pauses[0].end_us == 7
    assert set(reviews_of(path, at)) == {"T01"}


RECORDS = {
    "steps": lambda new_id: StepSpan(id=new_id(), step="sideport", start_us=0, end_us=9),
    "events": lambda new_id: Event(id=new_id(), kind="slip", at_us=0),
    "remarks": lambda new_id: Remark(id=new_id(), at_us=0, text="x"),
    "goals": lambda new_id: Goal(id=new_id(), act="x"),
}


@pytest.mark.parametrize("name", RECORDS)
def test_a_draft_with_any_mark_of_the_persons_own_is_never_replaced(name, path, at, work, new_id):
    opened = open_case(path, at)
    own = draft_of(opened, "T01", "teacher", new_id)
    review = add(own.record, name, RECORDS[name](new_id))
    write_review(opened.folder, own, review)
    begun = work(PLACEHOLDER, 7)
    with pytest.raises(EditRefused, match="left as they are") as refused:
        take_name(path, at, ANNE)
    assert "adopt" in refused.value.hint
    assert reviews_of(path, at) == {"T01": review, "me": begun}


def test_a_sealed_review_of_the_persons_own_is_left_alone(path, at, work):
    sealed = work(ANNE, 3, sealed=True)
    begun = work(PLACEHOLDER, 7)
    with pytest.raises(EditRefused, match="sealed") as refused:
        take_name(path, at, ANNE)
    assert "correction" in refused.value.hint
    assert reviews_of(path, at) == {"T01": sealed, "me": begun}


def test_a_move_that_was_broken_off_is_finished_by_the_next(path, at, work, monkeypatch):
    begun = work(PLACEHOLDER, 7)

    def power_cut(*args, **options):
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(people.storage, "move_if_same", power_cut)
        with pytest.raises(KeyboardInterrupt):
            take_name(path, at, ANNE)
    assert set(reviews_of(path, at)) == {"T01", "me"}
    assert take_name(path, at, ANNE).record.pauses == begun.pauses
    assert set(reviews_of(path, at)) == {"T01"}


def test_what_another_window_writes_meanwhile_is_not_lost(path, at, work, monkeypatch, new_id):
    work(PLACEHOLDER, 7)
    write = people.write_document

    def write_and_be_overtaken(stored, record):
        written = write(stored, record)
        work(PLACEHOLDER, 8)
        return written

    monkeypatch.setattr(people, "write_document", write_and_be_overtaken)
    with pytest.raises(DocumentChanged):
        take_name(path, at, ANNE)
    assert {pause.end_us for pause in reviews_of(path, at)["me"].pauses} == {7, 8}


def test_a_closed_review_of_nobody_keeps_its_name(path, at, new_id):
    opened = open_case(path, at)
    review = seal(Review(id=new_id(), case=opened.case.id, reviewer="me"))
    write_review(opened.folder, new_review(opened.folder, review), review)
    assert take_name(path, at, ANNE) is None
