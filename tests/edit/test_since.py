"""Values that hold from a moment on."""

from __future__ import annotations

import pytest

from aftercase.edit.since import drop_since, set_since
from aftercase.errors import EditRefused
from aftercase.model.case import Case, GuideReference, value_at


@pytest.fixture
def case() -> Case:
    guide = GuideReference(id="cataract-phaco", guide_version="1.0")
    return Case(id="a" * 26, code="case-1", guide=guide, stated_duration_us=60_000_000)


def test_what_is_said_holds_from_its_moment_on(case: Case) -> None:
    said = set_since(case, "seat", 10_000_000, "superior")
    assert value_at(said.seat, 9_999_999) is None
    assert value_at(said.seat, 10_000_000) == "superior"


def test_the_same_moment_again_is_replaced(case: Case) -> None:
    said = set_since(set_since(case, "turn_deg", 0, 10.0), "turn_deg", 0, 20.0)
    assert [(one.from_us, one.value) for one in said.turn_deg] == [(0, 20.0)]


def test_moments_stand_in_order_however_they_were_said(case: Case) -> None:
    said = set_since(set_since(case, "mirrored", 5, True), "mirrored", 0, False)
    assert [one.from_us for one in said.mirrored] == [0, 5]


def test_a_field_of_a_newer_program_on_an_entry_is_kept(case: Case) -> None:
    newer = case.changed(zoom=[{"from_us": 0, "value": "0.6", "by": "T01"}])
    said = set_since(newer, "zoom", 5, "1.0")
    assert said.zoom[0].model_extra == {"by": "T01"}


def test_what_is_taken_back_lets_the_one_before_hold_on(case: Case) -> None:
    said = set_since(set_since(case, "seat", 0, "temporal"), "seat", 5, "superior")
    assert value_at(drop_since(said, "seat", 5).seat, 9) == "temporal"


def test_taking_back_what_was_never_said_changes_nothing(case: Case) -> None:
    assert drop_since(case, "seat", 5) == case


def test_a_value_of_the_wrong_kind_is_refused(case: Case) -> None:
    with pytest.raises(EditRefused):
        set_since(case, "turn_deg", 0, "steep")


def test_a_field_that_does_not_change_over_time_is_a_fault_of_ours(case: Case) -> None:
    with pytest.raises(ValueError, match="eye does not change over time"):
        set_since(case, "eye", 0, "right")
