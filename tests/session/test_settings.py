"""A person's choices for this computer."""

import json
from pathlib import Path

import pytest

from aftercase.metrics.subject import Settings as GapSettings
from aftercase.session.settings import (
    Settings,
    cases_folder_of,
    change_settings,
    read_settings,
    settings_file,
)


def written(at, content):
    settings_file(at).parent.mkdir(parents=True)
    settings_file(at).write_bytes(content)


def test_without_a_file_nothing_was_chosen(at):
    settings = read_settings(at)
    assert settings == Settings()
    assert (settings.scrub_copies, settings.scrub_copies_limit_bytes) == (True, 20_000_000_000)
    assert (settings.lead_us, settings.sound_on, settings.idle_minutes) == (2_000_000, False, 5)
    assert (settings.default_guide, dict(settings.keys)) == ("cataract-phaco", {})


def test_gaps_count_from_where_the_measure_counts_them():
    assert Settings().gap_threshold_us == GapSettings().shortest_gap_us == 1_000_000


def test_a_choice_stays_and_others_with_it(at):
    change_settings(at, scrub_copies_limit_bytes=5)
    chosen = Settings(scrub_copies=False, scrub_copies_limit_bytes=5)
    assert change_settings(at, scrub_copies=False) == chosen
    assert read_settings(at) == chosen


def test_keys_are_chosen_together(at):
    change_settings(at, keys={"pause": "B", "play": ""})
    assert read_settings(at).keys == {"pause": "B", "play": ""}
    assert change_settings(at, keys={}).keys == {}


def test_what_is_no_setting_is_not_chosen(at):
    with pytest.raises(TypeError):
        change_settings(at, colour="green")


@pytest.mark.parametrize(
    "choice",
    [
        {"text_size_percent": 79},
        {"text_size_percent": 201},
        {"theme": "pink"},
        {"last_rate": 0.0},
        {"last_rate": float("nan")},
        {"lead_us": -1},
        {"idle_minutes": True},
        {"default_guide": ""},
        {"keys": {"pause": 3}},
    ],
)
def test_what_a_setting_cannot_be_is_not_written(choice, at):
    with pytest.raises(ValueError, match=next(iter(choice))):
        change_settings(at, **choice)
    assert not settings_file(at).exists()


def test_choices_of_a_newer_program_are_kept(at):
    written(at, b'{"of_tomorrow": 3}')
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
        b"[" * 100_000,
        b'{"scrub_copies": 1, "scrub_copies_limit_bytes": true}',
        b'{"scrub_copies": "no", "scrub_copies_limit_bytes": -1}',
        b'{"theme": ["light"], "text_size_percent": 1000, "last_rate": "1", "keys": ["play"]}',
        b'{"theme": {"light": 1}, "last_rate": 1e999, "idle_minutes": null, "lead_us": 2.5}',
    ],
)
def test_what_cannot_be_used_is_as_if_not_chosen(content, at):
    written(at, content)
    assert read_settings(at) == Settings()


def test_one_key_that_cannot_be_used_takes_no_other_with_it(at):
    written(at, b'{"keys": {"pause": "B", "play": 7, "undo": null}, "theme": "dark"}')
    assert read_settings(at) == Settings(keys={"pause": "B"}, theme="dark")


def test_a_speed_may_be_written_as_a_whole_number(at):
    written(at, b'{"last_rate": 2}')
    assert read_settings(at).last_rate == 2.0


def test_cases_lie_beside_the_programs_data_unless_a_place_was_chosen(at):
    assert cases_folder_of(Settings(), at) == at.data / "cases"
    assert cases_folder_of(Settings(cases_folder="/films/cases"), at) == Path("/films/cases")
