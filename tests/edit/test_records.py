from __future__ import annotations

import pytest

from aftercase.edit import records
from aftercase.errors import AftercaseError, EditRefused, ReviewClosed, TimeOutside
from aftercase.model.review import (
    RECORD_LISTS,
    Goal,
    InstrumentSpan,
    Remark,
    Review,
    StepSpan,
)


def some_id(number):
    return f"id{number:024d}"


def found(review, number):
    return records.found(review, some_id(number))[1]


def ids(review, name):
    return [int(record.id[2:]) for record in getattr(review, name)]


def remark(number, at_us, **fields):
    return Remark(id=some_id(number), at_us=at_us, **fields)


EDITS = {
    "add": lambda r, new_id: records.add(r, "remarks", remark(50, 225)),
    "add_all": lambda r, new_id: records.add_all(r, "remarks", [remark(50, 1), remark(51, 2)]),
    "delete": lambda r, new_id: records.delete(r, some_id(12)),
    "change": lambda r, new_id: records.change(r, some_id(12), text="Calm hands"),
    "split": lambda r, new_id: records.split(r, some_id(2), 200, new_id),
    "join": lambda r, new_id: records.join(r, some_id(2), some_id(3)),
    "begin_step": lambda r, new_id: records.begin_step(r, "hydro", 350, 400, new_id),
    "retime": lambda r, new_id: records.retime(r, range(600), range(1000, 1600), 1601),
}


@pytest.mark.parametrize("edit", EDITS.values(), ids=EDITS)
def test_every_edit_leaves_the_review_it_was_given_untouched(edit, review, new_id):
    before = review.model_dump_json()
    after = edit(review, new_id)
    assert after != review
    assert review.model_dump_json() == before


@pytest.mark.parametrize("state", ["sealed", "released", "a-later-word"])
@pytest.mark.parametrize("edit", EDITS.values(), ids=EDITS)
def test_a_closed_review_refuses_every_edit(edit, state, review, new_id):
    with pytest.raises(ReviewClosed) as caught:
        edit(review.changed(state=state), new_id)
    assert "correction" in caught.value.hint


@pytest.mark.parametrize("edit", EDITS.values(), ids=EDITS)
def test_what_comes_out_is_a_review_as_it_would_be_read_from_a_file(edit, review, new_id):
    after = edit(review, new_id)
    assert Review.model_validate_json(after.model_dump_json()) == after


@pytest.mark.parametrize("name", ["delete", "change", "split", "join"])
def test_a_record_that_is_not_there_is_refused(name, review, new_id):
    stranger = some_id(999)
    calls = {
        "delete": lambda: records.delete(review, stranger),
        "change": lambda: records.change(review, stranger, note="x"),
        "split": lambda: records.split(review, stranger, 1, new_id),
        "join": lambda: records.join(review, some_id(1), stranger),
    }
    with pytest.raises(EditRefused, match=stranger):
        calls[name]()


def test_an_added_record_stands_at_its_place_in_time(review):
    assert ids(records.add(review, "remarks", remark(50, 225)), "remarks") == [12, 50, 13]


def test_records_of_one_moment_stand_in_the_order_of_their_ids(review):
    after = records.add_all(review, "remarks", [remark(51, 220), remark(50, 220)])
    assert ids(after, "remarks") == [12, 50, 51, 13]


def test_goals_stay_in_the_order_they_were_set(review):
    after = records.add(review, "goals", Goal(id=some_id(2000), act="First"))
    after = records.add(after, "goals", Goal(id=some_id(50), act="Second"))
    assert ids(after, "goals") == [15, 16, 2000, 50]


def test_a_goal_that_is_changed_keeps_its_place(review):
    after = records.change(review, some_id(15), outcome="met")
    assert ids(after, "goals") == ids(review, "goals") == [15, 16]
    assert [goal.outcome for goal in after.goals] == ["met", "open"]


def test_adding_nothing_changes_nothing(review):
    assert records.add_all(review, "remarks", []) == review


def test_an_id_is_never_used_twice_whatever_the_list(review):
    with pytest.raises(EditRefused, match=some_id(1)):
        records.add(review, "remarks", remark(1, 5))
    with pytest.raises(EditRefused):
        records.add_all(review, "remarks", [remark(50, 5), remark(50, 6)])


@pytest.mark.parametrize("end_us", [50, 49])
def test_a_span_that_is_empty_or_ends_before_it_starts_is_refused(end_us, review):
    span = InstrumentSpan(id=some_id(50), instrument="knife", start_us=50, end_us=end_us)
    with pytest.raises(EditRefused, match="empty"):
        records.add(review, "instruments", span)
    with pytest.raises(EditRefused, match="empty"):
        records.add(review, "remarks", remark(50, 50, end_us=end_us))
    with pytest.raises(EditRefused, match="empty"):
        records.change(review, some_id(4), end_us=10)


def test_deleting_a_remark_takes_it_out_of_closing_and_goals(review):
    after = records.delete(review, some_id(13))
    assert ids(after, "remarks") == [12]
    assert after.closing.points == ()
    assert after.closing.strengths == (some_id(12),)
    assert after.closing.words == "Good."
    assert [goal.evidence for goal in after.goals] == [None, some_id(3)]


def test_deleting_a_goal_leaves_the_others(review):
    after = records.delete(review, some_id(15))
    assert ids(after, "goals") == [16]


def test_deleting_a_ruler_leaves_what_was_measured_with_it_in_pixels(review):
    after = records.delete(review, some_id(19))
    assert after.calibrations == ()
    assert [measure.calibration for measure in after.measures] == [None, None]
    assert [measure.points for measure in after.measures] == [m.points for m in review.measures]


@pytest.mark.parametrize("name", RECORD_LISTS)
def test_every_record_can_be_deleted(name, review):
    for record in getattr(review, name):
        after = records.delete(review, record.id)
        assert record.id not in {r.id for n in RECORD_LISTS for r in getattr(after, n)}


def test_a_change_keeps_the_id_and_moves_the_record_to_its_new_place(review):
    after = records.change(review, some_id(12), at_us=300, text="Calm hands")
    assert ids(after, "remarks") == [13, 12]
    assert found(after, 12).text == "Calm hands"


def test_a_change_that_breaks_a_field_s_rule_names_the_field(review):
    with pytest.raises(EditRefused, match="at_us"):
        records.change(review, some_id(12), at_us="now")
    with pytest.raises(EditRefused, match="place/x"):
        records.change(review, some_id(11), place={"x": 2.0, "y": 0.0, "at_us": 0})


@pytest.mark.parametrize("field", ["id", "perfomer", "adopted"])
def test_changing_an_id_or_a_field_that_does_not_exist_is_our_own_fault(field, review):
    with pytest.raises(ValueError, match=field):
        records.change(review, some_id(2), **{field: "x"})


def test_unknown_fields_of_a_newer_version_survive_every_edit_of_their_record(review, new_id):
    newer = review.changed(
        weather="rain",
        steps=tuple(
            StepSpan.model_validate({**span.model_dump(), "mood": "calm"}) for span in review.steps
        ),
    )
    for name in ("change", "split", "join", "begin_step", "retime"):
        after = EDITS[name](newer, new_id)
        assert after.model_extra == {"weather": "rain"}
        assert after.steps
        old = {span.id for span in newer.steps}
        assert {s.model_extra.get("mood") for s in after.steps if s.id in old} == {"calm"}, name


def test_a_split_keeps_the_id_on_the_earlier_half(review, new_id):
    after = records.split(review, some_id(2), 180, new_id)
    early, late = found(after, 2), found(after, 1000)
    assert (early.start_us, early.end_us, late.start_us, late.end_us) == (100, 180, 180, 300)
    assert (late.step, late.performer, late.note) == ("rhexis", "trainee", "slow")


@pytest.mark.parametrize("at_us", [99, 100, 300, 301])
def test_a_split_must_lie_inside_the_span(at_us, review, new_id):
    with pytest.raises(EditRefused, match="not inside"):
        records.split(review, some_id(2), at_us, new_id)


def test_only_spans_are_split(review, new_id):
    with pytest.raises(EditRefused):
        records.split(review, some_id(13), 235, new_id)


def test_a_takeover_stays_on_the_half_it_happened_in(review, new_id):
    taken = records.change(
        review, some_id(2), takeover="given-back", taken_over_us=150, given_back_us=250
    )
    after = records.split(taken, some_id(2), 200, new_id)
    early, late = found(after, 2), found(after, 1000)
    assert (early.taken_over_us, early.given_back_us) == (150, None)
    assert (late.taken_over_us, late.given_back_us) == (None, 250)
    assert early.takeover == late.takeover == "given-back"


def test_split_and_joined_again_is_the_same_review(review, new_id):
    taken = records.change(
        review, some_id(2), takeover="given-back", taken_over_us=150, given_back_us=250
    )
    for at_us in (101, 150, 200, 250, 299):
        after = records.split(taken, some_id(2), at_us, new_id)
        late = next(span for span in after.steps if span.start_us == at_us)
        assert records.join(after, some_id(2), late.id) == taken
        assert records.join(after, late.id, some_id(2)) == taken


def test_a_join_keeps_the_earlier_id_and_covers_both(review):
    after = records.join(review, some_id(5), some_id(4))
    assert ids(after, "instruments") == [4, 6]
    assert (found(after, 4).start_us, found(after, 4).end_us) == (10, 120)
    inside = records.join(review, some_id(9), some_id(10))
    assert (found(inside, 10).start_us, found(inside, 10).end_us) == (490, 510)


def test_a_join_of_one_span_within_another_covers_the_longer(review):
    longer = records.change(review, some_id(4), end_us=500)
    assert found(records.join(longer, some_id(4), some_id(5)), 4).end_us == 500


def test_what_only_one_of_two_joined_spans_says_is_kept(review):
    said = records.change(review, some_id(3), help="words", note="better", performer="trainee")
    joined = found(records.join(said, some_id(2), some_id(3)), 2)
    assert (joined.performer, joined.help, joined.note) == ("trainee", "words", "slow\nbetter")


def test_spans_of_different_performers_are_not_joined(review):
    said = records.change(review, some_id(3), performer="teacher")
    with pytest.raises(EditRefused, match="performer"):
        records.join(said, some_id(2), some_id(3))


def test_goals_that_pointed_at_the_later_span_point_at_the_joined_one(review):
    after = records.join(review, some_id(2), some_id(3))
    assert [goal.evidence for goal in after.goals] == [some_id(13), some_id(2)]


@pytest.mark.parametrize("pair", [(1, 2), (4, 6), (4, 7), (1, 1), (12, 13), (14, 7)], ids=str)
def test_only_two_spans_of_the_same_name_are_joined(pair, review):
    with pytest.raises(EditRefused):
        records.join(review, *(some_id(number) for number in pair))


def test_beginning_a_step_ends_the_running_one_on_the_same_edge(review, new_id):
    after = records.begin_step(review, "hydro", 350, 400, new_id)
    assert (found(after, 3).end_us, found(after, 1000).start_us) == (350, 350)
    assert found(after, 1000).end_us == 400
    assert found(after, 2) == found(review, 2)


def test_beginning_a_part_lets_its_parent_go_on(review, new_id):
    after = records.begin_step(review, "trench", 350, 400, new_id, going_on={"rhexis"})
    assert found(after, 3).end_us == 400


def test_beginning_a_step_on_a_border_changes_no_other(review, new_id):
    after = records.begin_step(review, "hydro", 400, 500, new_id)
    assert after.steps[:3] == review.steps


def test_a_step_that_ends_takes_no_takeover_moment_beyond_its_end(review, new_id):
    taken = records.change(
        review, some_id(2), takeover="given-back", taken_over_us=150, given_back_us=250
    )
    after = records.begin_step(taken, "hydro", 200, 300, new_id)
    assert (found(after, 2).taken_over_us, found(after, 2).given_back_us) == (150, None)


def test_a_step_of_no_length_is_not_begun(review, new_id):
    with pytest.raises(EditRefused):
        records.begin_step(review, "hydro", 400, 400, new_id)


def test_retiming_moves_every_mark_by_its_frame():
    """Checked against looking each mark's frame up one by one."""
    old = [0, 40, 81, 120, 161, 200]
    new = [1000, 1033, 1067, 1100, 1133, 1167]
    end_us = 1200

    def frame_of(us):
        return max(n for n, start in enumerate(old) if start <= us)

    review = Review.model_validate(
        {
            "id": some_id(0),
            "case": some_id(100),
            "reviewer": "T1",
            "steps": [
                {
                    "id": some_id(1),
                    "step": "rhexis",
                    "start_us": 40,
                    "end_us": 161,
                    "taken_over_us": 81,
                    "given_back_us": 120,
                },
                {"id": some_id(2), "step": "hydro", "start_us": 161, "end_us": 240},
            ],
            "events": [
                {
                    "id": some_id(3),
                    "kind": "tear",
                    "at_us": 85,
                    "place": {"x": 0.1, "y": 0.2, "at_us": 81},
                    "to_place": {"x": 0.3, "y": 0.4, "at_us": 120},
                    "course": {"first_sign_us": 81, "recognised_us": 119},
                }
            ],
            "remarks": [
                {
                    "id": some_id(4),
                    "at_us": 230,
                    "drawings": [
                        {
                            "shape": "line",
                            "colour": "sky",
                            "part": 1,
                            "at_us": at_us,
                            "points": [[0.1, 0.2], [0.3, 0.4]],
                        }
                        for at_us in (81, 199)
                    ],
                }
            ],
            "flags": [{"id": some_id(7), "at_us": 119}],
            "replies": [
                {
                    "id": some_id(8),
                    "to": {"case": some_id(100), "reviewer": "T2", "revision": 1, "id": some_id(4)},
                    "at_us": 130,
                }
            ],
            "gap_causes": [{"id": some_id(5), "start_us": 0, "end_us": 40}],
            "goals": [{"id": some_id(6), "act": "Zoom in"}],
        }
    )
    after = records.retime(review, old, new, end_us)

    def naive(us):
        return new[frame_of(us)]

    step, last = after.steps
    assert (step.start_us, step.end_us) == (naive(40), naive(161))
    assert (step.taken_over_us, step.given_back_us) == (naive(81), naive(120))
    assert (last.start_us, last.end_us) == (naive(161), end_us)
    (event,) = after.events
    assert (event.at_us, event.place.at_us, event.to_place.at_us) == (1067, 1067, 1100)
    assert (event.place.x, event.place.y) == (0.1, 0.2)
    drawings = after.remarks[0].drawings
    assert [(one.part, one.at_us) for one in drawings] == [(1, naive(81)), (1, naive(199))]
    assert drawings[0].points == ((0.1, 0.2), (0.3, 0.4))
    assert after.flags[0].at_us == naive(119)
    assert after.replies[0].at_us == naive(130)
    course = event.course
    assert (course.first_sign_us, course.recognised_us) == (naive(81), naive(119)) == (1067, 1067)
    assert course.first_response_us is None
    assert after.remarks[0].at_us == 1167  # a moment inside the last frame stays on that frame
    assert (after.gap_causes[0].start_us, after.gap_causes[0].end_us) == (1000, 1033)
    assert after.goals == review.goals


def test_retimed_forth_and_back_is_the_same_where_marks_are_frame_starts(review):
    old, new = range(0, 600), range(5, 6005, 10)
    assert records.retime(records.retime(review, old, new, 6005), new, old, 600) == review


def test_a_mark_before_the_first_frame_cannot_be_retimed(review):
    with pytest.raises(TimeOutside):
        records.retime(review, range(1, 601), range(600), 600)


def test_errors_of_edits_are_told_as_the_program_s_own(review):
    with pytest.raises(AftercaseError):
        records.delete(review, some_id(999))
