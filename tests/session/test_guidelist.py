"""What the guide list says of each step, by hand; times in seconds."""

import random

from hypothesis import given, settings
from hypothesis import strategies as st

from aftercase.document.codec import decoded
from aftercase.document.guides import guide_named
from aftercase.metrics.measures import measured
from aftercase.metrics.subject import Settings, Subject
from aftercase.model.base import id_source
from aftercase.model.case import Case, GuideReference
from aftercase.model.guide import Guide, Instrument, Step
from aftercase.model.review import Review
from aftercase.session.guidelist import idle_us, marked_rows, step_lines
from aftercase.session.sample import REVIEW, sample_file

S = 1_000_000
END_US = 100 * S
NEW_ID = id_source(random.Random(3))
GUIDE = Guide(
    id="by-hand",
    guide_version="1.0",
    name="By hand",
    steps=(
        Step(id="wound", name="Wound", strip_label="Wound"),
        Step(id="nucleus", name="Nucleus", strip_label="Nucleus"),
        Step(id="groove", name="Groove", strip_label="Groove", parent="nucleus"),
        Step(id="crack", name="Crack", strip_label="Crack", parent="nucleus"),
        Step(id="dye", name="Dye", strip_label="Dye", optional=True),
        Step(id="rescue", name="Rescue", strip_label="Rescue", unplanned=True),
        Step(id="seal", name="Seal", strip_label="Seal"),
        Step(id="try", name="Try", strip_label="Try", attempts=True),
    ),
    instruments=(Instrument(id="knife", name="Knife"), Instrument(id="probe", name="Probe")),
)


def review_of(**lists):
    whole = {"id": NEW_ID(), "case": NEW_ID(), "reviewer": "T01", **lists}
    return Review.model_validate(whole)


def span(start_s, end_s, **fields):
    return {"id": NEW_ID(), "start_us": start_s * S, "end_us": end_s * S, **fields}


def step(word, start_s, end_s):
    return span(start_s, end_s, step=word)


def lines_of(review, guide=GUIDE):
    return {line.step.id: line for line in step_lines(guide, review, END_US)}


def case_of(review):
    reference = GuideReference(id="by-hand", guide_version="1.0")
    return Case(id=review.case, code="C1", guide=reference, stated_duration_us=END_US)


def test_nothing_marked_leaves_the_usual_steps_without_a_word():
    lines = lines_of(review_of())
    assert [word for word, line in lines.items() if not line.folded] == [
        "wound", "nucleus", "seal", "try",
    ]  # fmt: skip
    assert all(line.time_us(0) == 0 and not line.returns for line in lines.values())
    assert [line.sign for line in lines.values()] == list("abcdefgh")


def test_one_visit_counts_its_own_time():
    line = lines_of(review_of(steps=[step("wound", 3, 7)]))["wound"]
    assert line.time_us(0) == 4 * S
    assert line.returns == ""


def test_a_step_that_was_not_ended_counts_up_to_the_shown_frame():
    line = lines_of(review_of(steps=[step("wound", 10, 20), step("wound", 40, 100)]))["wound"]
    assert [line.time_us(us * S) for us in (30, 40, 55, 100)] == [10 * S, 10 * S, 25 * S, 70 * S]


def test_touching_spans_are_one_visit_and_a_return_says_where():
    spans = [step("wound", 0, 5), step("wound", 5, 8), step("wound", 30, 31), step("wound", 65, 66)]
    line = lines_of(review_of(steps=spans))["wound"]
    assert line.returns == "3 visits, again at 0:00:30, 0:01:05"


def test_many_returns_name_the_first_three():
    spans = [step("wound", 10 * n, 10 * n + 1) for n in range(6)]
    line = lines_of(review_of(steps=spans))["wound"]
    assert line.returns == "6 visits, again at 0:00:10, 0:00:20, 0:00:30 and 2 more"


def test_attempts_are_counted_one_by_one_even_where_they_touch():
    line = lines_of(review_of(steps=[step("try", 0, 5), step("try", 5, 9)]))["try"]
    assert line.returns == "2 attempts, again at 0:00:05"


def test_a_whole_holds_the_time_of_its_parts_once():
    spans = [step("nucleus", 10, 30), step("groove", 12, 20), step("crack", 28, 35)]
    lines = lines_of(review_of(steps=spans))
    assert lines["nucleus"].visits_us == ((10 * S, 35 * S),)
    assert lines["groove"].time_us(0) == 8 * S
    assert (lines["nucleus"].depth, lines["groove"].depth) == (0, 1)


def test_instruments_are_named_in_the_order_they_came_and_only_where_they_were_seen():
    review = review_of(
        steps=[step("wound", 0, 10), step("seal", 10, 20)],
        instruments=[
            span(2, 4, instrument="probe"),
            span(5, 10, instrument="knife"),
            span(6, 7, instrument="probe"),
            span(19, 25, instrument="hook"),
        ],
    )
    lines = lines_of(review)
    assert lines["wound"].instruments == ("Probe", "Knife")
    assert lines["seal"].instruments == ("hook (not in the guide)",)


def test_remarks_count_in_the_step_they_are_about_and_in_its_whole():
    review = review_of(
        steps=[step("nucleus", 0, 10), step("groove", 2, 6), step("seal", 10, 20)],
        remarks=[{"id": NEW_ID(), "at_us": us * S} for us in (0, 2, 6, 10, 50)],
    )
    lines = lines_of(review)
    counts = {word: lines[word].n_remarks for word in ("nucleus", "groove", "seal", "wound")}
    assert counts == {"nucleus": 3, "groove": 1, "seal": 1, "wound": 0}


def test_what_is_aside_unfolds_when_it_happens_or_was_not_needed():
    review = review_of(steps=[step("groove", 0, 5), step("rescue", 5, 6)], not_needed=["dye"])
    lines = lines_of(review)
    assert [word for word in ("groove", "crack", "dye", "rescue") if not lines[word].folded] == [
        "groove", "dye", "rescue",
    ]  # fmt: skip
    assert lines["dye"].not_needed


def test_a_step_the_guide_does_not_know_is_shown_as_such_at_the_end():
    lines = step_lines(GUIDE, review_of(steps=[step("other", 0, 5)]), END_US)
    assert lines[-1].step.name == "other (not in the guide)"
    assert (lines[-1].sign, lines[-1].folded) == ("", False)


def test_a_guide_of_drills_folds_none_of_them(tmp_path):
    drills = guide_named("practice", tmp_path)
    lines = step_lines(drills, review_of(), END_US)
    assert not any(line.folded for line in lines if line.step.parent is None)


def test_the_running_step_and_the_next_are_named():
    review = review_of(steps=[step("wound", 0, 10)])
    assert marked_rows(GUIDE, review, 5 * S) == ("wound", "nucleus")
    assert marked_rows(GUIDE, review, 20 * S) == (None, "nucleus")


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.sampled_from(["wound", "groove", "seal"]), st.integers(0, 90))),
    st.lists(st.tuples(st.sampled_from(["knife", "probe"]), st.integers(0, 90))),
)
def test_instruments_in_steps_are_those_that_share_a_moment_with_a_visit(steps, instruments):
    # from the definition: two half-open spans share a moment where each begins before the other
    # ends
    review = review_of(
        steps=[step(word, start, start + 7) for word, start in steps],
        instruments=[span(start, start + 4, instrument=word) for word, start in instruments],
    )
    for word, line in lines_of(review).items():
        seen = {
            name.capitalize()
            for name, start in instruments
            for own, begun in steps
            if word in (own, GUIDE.parent_of(own)) and start < begun + 7 and begun < start + 4
        }
        assert set(line.instruments) == seen


def test_idle_time_is_not_known_where_nothing_was_marked():
    review = review_of(steps=[step("wound", 0, 20)])
    assert idle_us(case_of(review), GUIDE, review, S, 0) is None


def test_idle_time_is_the_gap_between_instruments_inside_the_step():
    # by hand: gaps 5 to 10 and 18 to 22; the second is cut at the step's end, before 2 leads in
    review = review_of(
        steps=[step("wound", 0, 20), step("seal", 20, 30)],
        instruments=[
            span(2, 5, instrument="knife"),
            span(10, 18, instrument="probe"),
            span(22, 30, instrument="knife"),
        ],
    )
    case = case_of(review)
    assert idle_us(case, GUIDE, review, S, 0) == {"wound": 7 * S, "seal": 2 * S}
    assert idle_us(case, GUIDE, review, 5 * S, 0) == {"wound": 5 * S, "seal": 0}


def test_pauses_count_as_idle_up_to_the_shown_frame_while_they_go_on():
    review = review_of(steps=[step("wound", 0, 100)], pauses=[span(5, 6), span(50, 100)])
    case = case_of(review)
    assert idle_us(case, GUIDE, review, S, 58 * S) == {"wound": 9 * S}
    assert idle_us(case, GUIDE, review, S, 40 * S) == {"wound": 1 * S}


def test_idle_times_and_times_are_those_of_the_report(tmp_path):
    # the example case's critique is worked out another way: by the measure of steps
    guide = guide_named("cataract-phaco", tmp_path)
    source = sample_file(REVIEW)
    review = decoded(Review, source.read_bytes(), source)
    film_end_us = 156 * S
    reference = GuideReference(id=guide.id, guide_version=guide.guide_version)
    case = Case(id=review.case, code="C1", guide=reference, stated_duration_us=film_end_us)
    table = measured("steps", Subject(case, guide, review), Settings()).frame
    shown = {line.step.id: line for line in step_lines(guide, review, film_end_us)}
    assert idle_us(case, guide, review, S, film_end_us) == dict(
        zip(table["step"], table["idle_us"], strict=True)
    )
    for row in table.itertuples():
        assert shown[row.step].time_us(film_end_us) == row.total_us
        assert len(shown[row.step].visits_us) == row.n_visits
