from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from aftercase.document.kept import (
    drop_old,
    kept_path,
    kept_versions,
    set_aside,
    versions_to_drop,
)
from aftercase.storage import DISK, write_atomic

NOW = datetime(2031, 5, 20, 16, 30, tzinfo=UTC)
MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)


def kept(*ages):
    """Return the ages whose versions stay."""
    moments = {NOW - age: age for age in ages}
    dropped = versions_to_drop(moments, NOW)
    return {age for moment, age in moments.items() if moment not in dropped}


def test_of_no_version_none_is_dropped():
    assert versions_to_drop([], NOW) == set()


@pytest.mark.parametrize("n", [1, 9, 10])
def test_the_last_ten_stay_however_old_they_are(n):
    ages = [400 * DAY + number * DAY for number in range(n)]
    assert kept(*ages) == set(ages)


RECENT = [timedelta(seconds=second) for second in range(10)]
"""Ten versions of the last seconds, so that the rule of ten keeps nothing else."""


def stays(*ages):
    return sorted(kept(*RECENT, *ages) - set(RECENT))


def test_the_eleventh_of_one_hour_goes():
    assert kept(*RECENT, timedelta(seconds=10)) == set(RECENT)


def test_within_a_day_the_last_of_each_hour_stays():
    # 16:30 now: 15:50 and 15:10 are of one hour, 14:59 of the one before.
    assert stays(40 * MINUTE, 80 * MINUTE, 91 * MINUTE) == [40 * MINUTE, 91 * MINUTE]


def test_after_a_day_the_last_of_each_day_stays():
    # Yesterday 16:30 is a day ago to the second; 16:29 is older and of the same day.
    assert stays(DAY, DAY + MINUTE) == [DAY]
    assert stays(2 * DAY, 2 * DAY + HOUR, 3 * DAY) == [2 * DAY, 3 * DAY]


def test_after_thirty_days_nothing_but_the_last_ten_stays():
    assert stays(30 * DAY, 30 * DAY + MINUTE, 31 * DAY, 365 * DAY) == [30 * DAY]


def test_versions_from_a_clock_that_was_ahead_count_as_new():
    assert stays(-HOUR) == [-HOUR]


def test_a_month_of_saving_every_ten_minutes_keeps_few():
    """By hand: ten, one for each of the 25 hours touched, one for each of the 31 days touched."""
    ages = [10 * MINUTE * number for number in range(6 * 24 * 31)]
    left = kept(*ages)
    assert len(left) <= 10 + 25 + 31
    assert max(left) >= 29 * DAY
    assert all(any(day * DAY <= age < (day + 1) * DAY for age in left) for day in range(29))


@pytest.mark.parametrize("zone", [UTC, None])
def test_a_version_is_named_by_its_moment_in_universal_time(zone, tmp_path):
    path = tmp_path / "T1.r1.json"
    assert kept_path(path, NOW.astimezone(zone)).name == "T1.r1.20310520T163000000000.json"
    assert kept_path(path, NOW).parent == tmp_path / "earlier"


def test_dropping_looks_only_at_versions_of_its_own_file(tmp_path):
    path, other = tmp_path / "T1.r1.json", tmp_path / "T1.r11.json"
    for number in range(12):
        write_atomic(kept_path(path, NOW - number * 400 * DAY), b"1")
        write_atomic(kept_path(other, NOW - number * 400 * DAY), b"11")
    stranger = tmp_path / "earlier" / "notes.txt"
    write_atomic(stranger, b"mine")
    drop_old(path, NOW, disk=DISK)
    assert len(kept_versions(path)) == 10
    assert len(kept_versions(other)) == 12
    assert stranger.exists()


def test_kept_versions_come_oldest_first(tmp_path):
    path = tmp_path / "case.json"
    assert kept_versions(path) == []
    for age in (DAY, HOUR, 2 * DAY):
        write_atomic(kept_path(path, NOW - age), b"")
    assert kept_versions(path) == [kept_path(path, NOW - age) for age in (2 * DAY, DAY, HOUR)]


def test_what_was_set_aside_stays_for_good(tmp_path):
    path = tmp_path / "case.json"
    aside = set_aside(path, b"mine", NOW - 900 * DAY, disk=DISK)
    for number in range(20):
        write_atomic(kept_path(path, NOW - number * MINUTE), b"")
    drop_old(path, NOW, disk=DISK)
    assert aside.read_bytes() == b"mine"
    assert aside in kept_versions(path)
