from __future__ import annotations

import pytest

from aftercase.edit.header import Clash, add_consent, change_header, merge, move_to_guide
from aftercase.edit.review import seal
from aftercase.errors import EditRefused, ReviewClosed
from aftercase.model.case import Case, ConsentEntry, GuideReference
from aftercase.model.guide import Guide


def some_id(number):
    return f"id{number:024d}"


def entry(number):
    return ConsentEntry(id=some_id(number), entry=f"entry {number}")


@pytest.fixture
def case():
    return Case(
        id=some_id(100),
        code="PE-01",
        guide=GuideReference(id="cataract", guide_version="1.0"),
        stated_duration_us=1_000_000,
        planned_steps=("incision", "rhexis"),
        consent=(entry(1),),
    )


def test_changing_no_field_changes_nothing(case):
    assert change_header(case) == case


def test_a_field_is_changed_and_the_case_before_stays(case):
    after = change_header(case, eye="left", training_year=3)
    assert (after.eye, after.training_year) == ("left", 3)
    assert (case.eye, case.training_year) == ("not-said", None)


@pytest.mark.parametrize(
    ("field", "value"), [("code", "../x"), ("training_year", -1), ("training_year", 2.5)]
)
def test_a_value_that_breaks_its_field_s_rule_names_the_field(field, value, case):
    with pytest.raises(EditRefused, match=field):
        change_header(case, **{field: value})


@pytest.mark.parametrize("field", ["id", "format", "eyee"])
def test_what_never_changes_or_does_not_exist_is_our_own_fault(field, case):
    with pytest.raises(ValueError, match=field):
        change_header(case, **{field: "x"})


def test_consent_is_only_ever_added_to(case):
    added = add_consent(case, entry(2))
    assert [one.id for one in added.consent] == [some_id(1), some_id(2)]
    assert change_header(case, consent=added.consent) == added
    for consent in ((), (entry(2),), (entry(2), entry(1))):
        with pytest.raises(EditRefused, match="only ever added"):
            change_header(case, consent=consent)
    with pytest.raises(EditRefused, match="taken"):
        add_consent(case, entry(1))


def test_changes_of_one_side_only_are_put_together(case):
    mine = change_header(case, eye="left", trainee="R1")
    theirs = change_header(case, training_year=3)
    for merged in (merge(case, mine, theirs), merge(case, theirs, mine)):
        assert merged.clashes == ()
        assert merged.case == change_header(case, eye="left", trainee="R1", training_year=3)


def test_nobody_changed_anything(case):
    assert merge(case, case, case).case == case


def test_the_same_change_on_both_sides_is_no_clash(case):
    mine = change_header(case, eye="left")
    assert merge(case, mine, change_header(case, eye="left")).clashes == ()


def test_a_field_changed_on_both_sides_is_shown_with_both_values(case):
    mine = change_header(case, eye="left", trainee="R1")
    theirs = change_header(case, eye="right")
    merged = merge(case, mine, theirs)
    assert merged.clashes == (Clash("eye", "left", "right"),)
    assert (merged.case.eye, merged.case.trainee) == ("right", "R1")


def test_a_field_taken_back_on_my_side_is_taken_back(case):
    base = change_header(case, trainee="R1")
    assert merge(base, case, change_header(base, eye="left")).case.trainee is None


def test_consent_of_both_sides_is_kept_each_entry_once(case):
    mine = add_consent(add_consent(case, entry(2)), entry(3))
    theirs = add_consent(add_consent(case, entry(4)), entry(3))
    merged = merge(case, mine, theirs)
    assert merged.clashes == ()
    assert [one.id for one in merged.case.consent] == [some_id(n) for n in (1, 4, 3, 2)]


def test_unknown_fields_of_a_newer_version_are_merged_too(case):
    newer = Case.model_validate({**case.model_dump(), "version": "1.8", "weather": "rain"})
    mine = change_header(case, eye="left")
    merged = merge(case, mine, newer)
    assert (merged.case.version, merged.case.eye) == ("1.8", "left")
    assert merged.case.model_extra == {"weather": "rain"}


def test_merging_touches_none_of_its_three(case):
    mine, theirs = change_header(case, eye="left"), change_header(case, eye="right")
    before = [one.model_dump_json() for one in (case, mine, theirs)]
    merge(case, mine, theirs)
    assert [one.model_dump_json() for one in (case, mine, theirs)] == before


def guide_with(*steps):
    return Guide.model_validate(
        {
            "id": "cataract",
            "guide_version": "2.0",
            "name": "Cataract",
            "steps": [{"id": step, "name": step, "strip_label": step} for step in steps],
        }
    )


def test_moving_to_a_newer_guide_renames_steps_wherever_they_stand(case, review):
    case = change_header(case, critical_steps=("rhexis",))
    review = review.changed(
        not_needed=("rhexis",),
        goals=(review.goals[0].changed(step="rhexis"), review.goals[1]),
    )
    guide = guide_with("incision", "capsulorhexis")
    moved_case, moved = move_to_guide(case, review, guide, {"rhexis": "capsulorhexis"})
    assert moved_case.guide == GuideReference(id="cataract", guide_version="2.0")
    assert moved_case.planned_steps == ("incision", "capsulorhexis")
    assert moved_case.critical_steps == ("capsulorhexis",)
    assert [s.step for s in moved.steps] == ["incision", "capsulorhexis", "capsulorhexis"]
    assert [s.id for s in moved.steps] == [s.id for s in review.steps]
    assert [goal.step for goal in moved.goals] == ["capsulorhexis", None]
    assert moved.not_needed == ("capsulorhexis",)
    assert (case.guide.guide_version, review.steps[1].step) == ("1.0", "rhexis")


def test_a_guide_without_a_list_of_critical_steps_of_its_own_stays_so(case, review):
    moved_case, _ = move_to_guide(case, review, guide_with("incision", "rhexis"), {})
    assert moved_case.critical_steps is None


@pytest.mark.parametrize("mapping", [{}, {"rhexis": "nowhere"}])
def test_a_step_in_use_that_finds_no_place_is_named(mapping, case, review):
    with pytest.raises(EditRefused, match="rhexis") as caught:
        move_to_guide(case, review, guide_with("incision"), mapping)
    assert "becomes" in caught.value.hint


def test_a_closed_review_stays_with_its_guide(case, review):
    with pytest.raises(ReviewClosed):
        move_to_guide(case, seal(review), guide_with("incision", "rhexis"), {})
