"""Saying things of the case: each edit keeps the header's rules and can be undone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from aftercase.document.folder import new_review
from aftercase.media.frameclock import FrameClock
from aftercase.model.base import id_source
from aftercase.model.review import Review
from aftercase.session.desk import Desk
from aftercase.session.opened import open_case
from aftercase.session.places import places
from aftercase.session.settings import Settings
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.verbs import header


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    new_id = id_source()
    wanted = Wanted("case-1", "cataract-phaco", duration_us=60_000_000)
    opened = new_case(tmp_path / "case-1", wanted, places(), new_id)
    review = Review(id=new_id(), case=opened.case.id, reviewer="T01")
    made = Desk(
        opened, new_review(opened.folder, review), FrameClock.without_film(60_000_000), new_id,
        Settings(),
    )  # fmt: skip
    yield made
    made.close()


def told(desk: Desk) -> tuple[str, str]:
    assert desk.words is not None
    return desk.words.text, desk.words.tone


def test_what_is_said_is_on_disk_when_the_case_is_opened_again(desk: Desk) -> None:
    header.set_fields(desk, "say the eye", {"eye": "left"})
    header.say_since(desk, "seat", 0, "superior", "say the seat")
    assert desk.close().word == "saved"
    again = open_case(desk.opened.folder.path, places()).case
    assert (again.eye, again.seat[0].value) == ("left", "superior")


def test_several_changes_of_one_field_are_undone_as_one(desk: Desk) -> None:
    for code in ("R", "R0", "R07"):
        header.set_fields(desk, "say the trainee", {"trainee": code}, quiet=True)
    desk.undo()
    assert desk.case.trainee is None


def test_a_rule_that_would_be_broken_is_refused_in_words(desk: Desk) -> None:
    assert not header.say_since(desk, "seat", 0, "other", "say the seat")
    assert told(desk) == ("seat/0: “other” is neither a seat nor an hour.", "refused")
    assert desk.case.seat == ()


def test_a_rule_that_is_broken_already_stands_in_no_way(desk: Desk) -> None:
    desk.edit_header(lambda case: case.changed(difficulties=("of-elsewhere",)), "set it")
    assert header.set_fields(desk, "say", {"difficulties": ("small-pupil", "of-elsewhere")})


def test_not_said_from_the_start_is_nothing_said(desk: Desk) -> None:
    header.say_since(desk, "technique", 0, "pre-chop", "say the technique")
    header.say_since(desk, "technique", 0, "not-said", "say the technique")
    assert desk.case.technique == ()


def test_not_said_from_a_later_moment_on_is_kept(desk: Desk) -> None:
    header.say_since(desk, "technique", 0, "pre-chop", "say the technique")
    header.say_since(desk, "technique", 5_000_000, "not-said", "say the technique")
    assert [one.value for one in desk.case.technique] == ["pre-chop", "not-said"]


def test_a_complication_is_noted_once_and_said_to_be_reported_elsewhere_too(desk: Desk) -> None:
    assert header.add_complication(desk, " iris prolapse ")
    assert "Report it through your own hospital" in told(desk)[0]
    assert not header.add_complication(desk, "iris prolapse")
    assert not header.add_complication(desk, "  ")
    assert desk.case.complications == ("iris prolapse",)
    header.drop_complication(desk, "iris prolapse")
    assert desk.case.complications == ()


def test_consent_without_what_happened_is_refused(desk: Desk) -> None:
    assert not header.note_consent(desk, " ")
    assert told(desk)[1] == "refused"
    assert header.note_consent(desk, "given", scope="", on="3 May", checked_by="T01")
    [entry] = desk.case.consent
    assert (entry.entry, entry.scope, entry.on) == ("given", "not-said", "3 May")


def test_consent_entries_have_ids_of_their_own(desk: Desk) -> None:
    for entry in ("given", "withdrawn"):
        header.note_consent(desk, entry)
    assert len({entry.id for entry in desk.case.consent}) == 2


def test_a_window_has_the_films_own_ends_where_nothing_is_said(desk: Desk) -> None:
    header.set_window(desk, 10_000_000, None)
    assert desk.bounds_us == (10_000_000, 60_000_000)
    header.set_window(desk, None, 20_000_000)
    assert desk.bounds_us == (0, 20_000_000)
    header.set_window(desk, None, None)
    assert desk.case.window is None


def test_a_window_beyond_the_film_is_refused(desk: Desk) -> None:
    assert not header.set_window(desk, 0, 61_000_000)
    assert "within 0:00:00.000 to 0:01:00.000" in told(desk)[0]


def test_a_field_says_what_is_wrong_with_a_value_before_it_is_set(desk: Desk) -> None:
    assert header.field_fault(desk, {"trainee": "R07"}) == ""
    assert "a code is up to 40 letters" in header.field_fault(desk, {"trainee": "R 07"})
    assert desk.case.trainee is None


def test_readings_are_added_and_taken_off(desk: Desk) -> None:
    header.add_reading(desk, "ultrasound", 12.5, "s", 4_000_000)
    [reading] = desk.case.machine_readings
    assert (reading.value, reading.at_us) == (12.5, 4_000_000)
    header.drop_reading(desk, reading.id)
    assert desk.case.machine_readings == ()
