"""A person's choices for this computer."""

import json

import pytest

from aftercase.session.settings import Settings, change_settings, read_settings, settings_file


def test_without_a_file_nothing_was_chosen(at):
    assert read_settings(at) == Settings(True, 20_000_000_000)


def test_a_choice_stays_and_others_with_it(at):
    change_settings(at, scrub_copies_limit_bytes=5)
    assert change_settings(at, scrub_copies=False) == Settings(False, 5)
    assert read_settings(at) == Settings(False, 5)


def test_what_is_no_setting_is_not_chosen(at):
    with pytest.raises(TypeError):
        change_settings(at, colour="green")


def test_choices_of_a_newer_program_are_kept(at):
    settings_file(at).parent.mkdir(parents=True)
    settings_file(at).write_text('{"of_tomorrow": 3}', encoding="utf-8")
    change_settings(at, scrub_copies=False)
    known = json.loads(settings_file(at).read_text(encoding="utf-8"))
    assert known == {"of_tomorrow": 3, "scrub_copies": False}


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"[]",
        b"{",
        b"\xff\xfe",
        b'{"scrub_copies": 1, "scrub_copies_limit_bytes": true}',
        b'{"scrub_copies": "no", "scrub_copies_limit_bytes": -1}',
    ],
)
def test_what_cannot_be_used_is_as_if_not_chosen(content, at):
    settings_file(at).parent.mkdir(parents=True)
    settings_file(at).write_bytes(content)
    assert read_settings(at) == Settings()
