"""The cases opened last at this computer."""

from __future__ import annotations

import json
import shutil

import pytest

from aftercase.session.recents import (
    MOST,
    Recent,
    forget_case,
    recent_cases,
    remember_case,
)
from aftercase.session.tasks.create import Wanted, new_case


@pytest.fixture
def case(tmp_path, at, new_id):
    wanted = Wanted("C1", "cataract-phaco", duration_us=1, header={"trainee": "R07"})
    return new_case(tmp_path / "c", wanted, at, new_id).folder.path


def test_at_first_there_is_none(at):
    assert recent_cases(at) == ()


def test_the_newest_is_first_and_stands_there_once(at, tmp_path):
    for name in "abca":
        remember_case(at, tmp_path / name, name.upper())
    assert [one.code for one in recent_cases(at)] == ["A", "C", "B"]


def test_a_case_has_the_code_it_was_last_opened_with(at, tmp_path):
    remember_case(at, tmp_path, "old")
    remember_case(at, tmp_path, "new")
    assert recent_cases(at) == (Recent(tmp_path, "new"),)


def test_a_folder_that_is_gone_stays_on_the_list_and_is_told_from_one_that_is_there(at, case):
    remember_case(at, case, "C1")
    [recent] = recent_cases(at)
    assert recent.is_there
    shutil.rmtree(case)
    assert recent_cases(at) == (recent,)
    assert not recent.is_there


def test_a_case_can_be_taken_off_the_list(at, tmp_path):
    remember_case(at, tmp_path / "a", "A")
    remember_case(at, tmp_path / "b", "B")
    forget_case(at, tmp_path / "a")
    forget_case(at, tmp_path / "never opened")
    assert [one.code for one in recent_cases(at)] == ["B"]


def test_nothing_but_folder_and_code_is_written_down(at, case):
    remember_case(at, case, "C1")
    known = json.loads((at.state / "recents.json").read_text(encoding="utf-8"))
    assert known == {"cases": [{"folder": str(case), "code": "C1"}]}


def test_the_list_does_not_grow_for_ever(at, tmp_path):
    listed = [{"folder": f"/cases/{n}", "code": f"C{n}"} for n in range(MOST)]
    at.state.mkdir(parents=True)
    (at.state / "recents.json").write_text(json.dumps({"cases": listed}), encoding="utf-8")
    remember_case(at, tmp_path, "new")
    codes = [one.code for one in recent_cases(at)]
    assert (len(codes), codes[0], codes[-1]) == (MOST, "new", f"C{MOST - 2}")


@pytest.mark.parametrize(
    "content", [b"{", b"[]", b'{"cases": 3}', b'{"cases": [3, {"folder": 1, "code": "C"}, {}]}']
)
def test_a_list_that_cannot_be_read_is_begun_anew(content, at, tmp_path):
    at.state.mkdir(parents=True)
    (at.state / "recents.json").write_bytes(content)
    assert recent_cases(at) == ()
    remember_case(at, tmp_path, "C1")
    assert [one.code for one in recent_cases(at)] == ["C1"]


def test_a_list_the_disk_does_not_give_is_none(at):
    (at.state / "recents.json").mkdir(parents=True)
    assert recent_cases(at) == ()
