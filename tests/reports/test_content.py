"""What a critique says, before any writer formats it."""

from __future__ import annotations

import pytest

from aftercase.document.guides import shipped_guides
from aftercase.metrics.subject import Settings, Subject
from aftercase.model.case import Case, Density, GuideReference, Window
from aftercase.model.review import (
    Closing,
    GapCause,
    Origin,
    PauseSpan,
    Review,
    StatedHour,
    StepSpan,
)
from aftercase.reports.building import critique_content
from aftercase.reports.bundle import critique_files
from aftercase.reports.cautions import REPORT_LOCALLY
from aftercase.reports.remarks import FROM_STARS, NOTHING_CHOSEN

S = 1_000_000
SEPARATE = "abcdefghijklmnopqrstuvwxy"


def content_of(subject: Subject, **fields):
    review = subject.review.changed(**fields)
    return critique_content(Subject(subject.case, subject.guide, review), Settings(), {})


def texts(remarks) -> list[str]:
    return [remark.text.split()[0] for remark in remarks]


def values(content, label: str) -> str:
    return next(fact.value for fact in content.header if fact.label == label)


@pytest.fixture(scope="module")
def content(subject):
    return critique_content(subject, Settings(), {})


@pytest.fixture(scope="module")
def empty():
    """A case of which nothing but its code, guide and length is known."""
    guide = shipped_guides()["cataract-phaco"]
    case = Case(
        id=SEPARATE + "0",
        code="X-1",
        guide=GuideReference(id=guide.id, guide_version=guide.guide_version),
        stated_duration_us=60 * S,
    )
    review = Review(id=SEPARATE + "1", case=case.id, reviewer="A-03")
    return Subject(case, guide, review)


def test_an_empty_review_makes_a_whole_report_that_says_so(empty):
    content = critique_content(empty, Settings(), {})
    assert content.front.notice == NOTHING_CHOSEN
    assert (content.front.strengths, content.front.points, content.front.task) == ((), (), None)
    assert not content.clock.gaps_known
    said = [fact for fact in content.header if fact.value != "not said"]
    assert {fact.label for fact in said} == {
        "Case", "Guide", "Length of the recording", "Reviewed by", "State of the review"
    }  # fmt: skip
    page = critique_files(empty, Settings(), {})["critique.html"].decode()
    assert "nothing is known about gaps" in page
    assert "No gap is counted." not in page
    assert "<svg" not in page


def test_page_one_holds_what_the_closing_names_in_its_order(content):
    assert texts(content.front.strengths) == ["Said", "Keratome"]
    assert texts(content.front.points) == ["The", "The", "The"]
    assert [remark.at_us for remark in content.front.points] == [58_400_000, 96 * S, 112_360_000]
    assert content.front.notice == ""
    assert content.front.task is not None
    assert content.front.task.about == "Tear running out"
    assert [goal.act for goal in content.front.goals] == [
        "Turn a running tear back before the chamber is lost"
    ]


def test_without_a_closing_page_one_holds_the_starred_remarks_and_says_so(subject):
    remarks = tuple(
        remark.changed(starred=remark.starred and remark.at_us != 66 * S)
        for remark in subject.review.remarks
    )
    front = content_of(subject, remarks=remarks, closing=Closing()).front
    assert texts(front.strengths) == ["Keratome"]
    assert [remark.at_us for remark in front.points] == [58_400_000, 96 * S, 112_360_000]
    assert front.notice == FROM_STARS
    assert front.task is None


def test_page_one_never_holds_more_than_two_strengths_and_three_points(subject):
    remarks = subject.review.remarks
    well = tuple(r.changed(starred=True, kind="well-done") for r in remarks)
    work = tuple(r.changed(starred=True, kind="safety") for r in remarks)
    assert len(content_of(subject, remarks=well, closing=Closing()).front.strengths) == 2
    assert len(content_of(subject, remarks=work, closing=Closing()).front.points) == 3
    everything = tuple(remark.id for remark in remarks)
    front = content_of(subject, closing=Closing(strengths=everything, points=everything)).front
    assert (len(front.strengths), len(front.points)) == (2, 3)


def test_a_closing_with_a_strength_only_is_taken_as_it_is(subject):
    closing = Closing(strengths=(subject.review.remarks[0].id,))
    front = content_of(subject, closing=closing).front
    assert (len(front.strengths), front.points, front.notice) == (1, (), "")


def test_remarks_stand_by_step_and_those_outside_come_last(content):
    groups = [(group.step, len(group.remarks)) for group in content.remarks]
    assert groups == [
        ("Main wound", 1),
        ("Leading the tear round", 2),
        ("Hydrodissection", 1),
        ("Groove", 1),
        ("Cracking along a groove", 1),
        ("Outside any marked step", 1),
    ]


def test_a_trim_hides_remarks_and_stretches_outside_it(subject):
    case = subject.case.changed(trim=Window(start_us=50 * S, end_us=100 * S))
    content = critique_content(Subject(case, subject.guide, subject.review), Settings(), {})
    shown = [remark.at_us for group in content.remarks for remark in group.remarks]
    assert shown == [58_400_000, 66 * S, 81 * S, 96 * S]
    assert texts(content.front.strengths) == ["Said"]
    assert (content.clock.start_us, content.clock.end_us) == (50 * S, 100 * S)
    assert all(cue.end_us <= 100 * S for cue in (*content.step_cues, *content.remark_cues))


def test_evidence_that_a_trim_hides_is_not_linked(subject, read_html):
    case = subject.case.changed(trim=Window(start_us=50 * S, end_us=100 * S))
    hidden = Subject(case, subject.guide, subject.review)
    page = read_html(critique_files(hidden, Settings(), {})["critique.html"])
    ids = {attributes.get("id") for _, attributes in page.tags}
    assert {link["href"][1:] for link in page.all("a")} <= ids


def test_a_trim_hides_what_could_not_be_seen_outside_it(subject):
    case = subject.case.changed(trim=Window(start_us=90 * S, end_us=100 * S))
    content = critique_content(Subject(case, subject.guide, subject.review), Settings(), {})
    names = [sheet.name for sheet in (*content.gaps.sheets, *content.steps.sheets)]
    assert "unseen" not in names
    assert "takeovers" not in names


def test_a_moment_is_a_cue_of_four_seconds_cut_at_the_end(subject):
    late = subject.review.remarks[0].changed(at_us=148 * S)
    cue = content_of(subject, remarks=(late,), closing=Closing()).remark_cues[0]
    assert (cue.start_us, cue.end_us) == (148 * S, 150 * S)


def test_a_complication_asks_for_the_hospitals_own_report(subject, content):
    assert content.events.notices == (REPORT_LOCALLY,)
    calm = tuple(event for event in subject.review.events if event.kind != "anterior-tear")
    assert content_of(subject, events=calm).events.notices == ()
    case = subject.case.changed(complications=("wound burn",))
    named = Subject(case, subject.guide, subject.review.changed(events=calm))
    assert critique_content(named, Settings(), {}).events.notices == (REPORT_LOCALLY,)


def test_a_complication_shows_its_course(content):
    [sheet] = [sheet for sheet in content.events.sheets if sheet.name == "complications"]
    assert sheet.rows[0][1:5] == (59 * S, 60 * S, 61_200_000, "trainee")


def test_a_takeover_shows_when_and_why(content):
    [sheet] = [sheet for sheet in content.steps.sheets if sheet.name == "takeovers"]
    assert len(sheet.rows) == 1
    assert sheet.rows[0] == (
        "Leading the tear round",
        "taken over and given back",
        60 * S,
        66 * S,
        "the eye was at risk",
    )


def test_the_settings_of_the_gaps_are_printed(subject):
    settings = Settings(shortest_gap_us=3 * S, empty="main-hand-empty")
    content = critique_content(subject, settings, {})
    notes = " ".join(content.gaps.sheets[0].notes)
    assert "3.000 s" in notes
    assert "Main hand empty" in notes
    # 36-40, 74-78 and 117-120; the others are 1.52, 2, 2, 2 and 2.5 s long.
    assert len(content.clock.gaps_us) == 3


def test_a_goal_carried_over_is_not_on_page_one_but_among_the_goals(content):
    carried = [goal for goal in content.goals if goal.from_case]
    assert [(goal.from_case, goal.outcome, goal.evidence_when) for goal in carried] == [
        ("PE-006", "met", "0:00:31.200")
    ]


def test_parts_of_a_step_stand_under_it_on_the_clock(content):
    bars = [(bar.label, bar.is_part) for bar in content.clock.bars]
    assert bars[3:6] == [("Rhexis", False), ("Flap start", True), ("Tear round", True)]


def test_a_word_of_a_newer_version_is_shown_as_it_stands(subject):
    review = subject.review.changed(remarks=(subject.review.remarks[0].changed(kind="newer-kind"),))
    content = critique_content(Subject(subject.case, subject.guide, review), Settings(), {})
    assert content.remarks[0].remarks[0].kind == "newer-kind"


def test_drills_are_listed_attempt_by_attempt():
    guide = shipped_guides()["practice"]
    case = Case(
        id=SEPARATE + "0",
        code="SK-1",
        guide=GuideReference(id=guide.id, guide_version=guide.guide_version),
        setting="practice-eye",
        stated_duration_us=60 * S,
    )
    spans = tuple(
        StepSpan(id=SEPARATE + str(n), step="drill-tear", start_us=start * S, end_us=end * S)
        for n, (start, end) in enumerate([(0, 10), (10, 18), (30, 37)], start=2)
    )
    review = Review(id=SEPARATE + "1", case=case.id, reviewer="A-03", steps=spans)
    content = critique_content(Subject(case, guide, review), Settings(), {})
    [attempts] = [sheet for sheet in content.steps.sheets if sheet.name == "attempts"]
    assert attempts.column("length") == (10 * S, 8 * S, 7 * S)
    assert attempts.column("number") == (1, 2, 3)


def test_the_date_is_printed_only_when_given(subject):
    assert b"printed on" not in critique_files(subject, Settings(), {})["critique.html"]
    dated = critique_files(subject, Settings(), {}, printed_on="2026-01-05")
    assert b"printed on 2026-01-05" in dated["critique.html"]
    assert b"Printed on 2026-01-05" in dated["critique.md"]


def test_a_kind_the_guide_wants_reported_is_treated_like_a_complication(subject):
    guide, [first, *_] = subject.guide, subject.review.events
    kinds = tuple(
        kind.changed(report_locally=kind.id == first.kind, event_class="outside")
        for kind in guide.events
    )
    review = subject.review.changed(events=(first,))
    wanted = Subject(subject.case, guide.changed(events=kinds), review)
    assert critique_content(wanted, Settings(), {}).events.notices == (REPORT_LOCALLY,)


def test_a_lens_off_the_density_scale_is_named_by_its_kind(subject):
    case = subject.case.changed(density=Density(kind="white-swollen"))
    content = critique_content(Subject(case, subject.guide, subject.review), Settings(), {})
    assert values(content, "Density of the lens") == "White and swollen"


def test_a_step_of_the_guide_can_be_the_practice_task(subject):
    task = content_of(subject, closing=Closing(task="main-wound")).front.task
    assert task is not None
    assert (task.task, task.about, task.drills) == ("Main wound", "", ())


def test_an_hour_of_no_said_clock_says_so(subject):
    [first, *_] = subject.review.events
    unsaid = first.changed(hour=StatedHour(hour=3.0))
    content = content_of(subject, events=(unsaid,))
    assert content.csv_sheets["events.csv"].column("hour_clock") == ("not said",)


def items(content):
    return {item.id: item for group in content.remarks for item in group.remarks}


def notes(content):
    return [sheet for sheet in content.steps.sheets if sheet.name == "notes"]


def test_without_notes_there_is_no_table_of_them(subject):
    def bare(marks):
        return tuple(mark.changed(note="") for mark in marks)

    review = subject.review
    assert notes(content_of(subject, steps=bare(review.steps), instruments=())) == []


def test_a_note_beside_a_mark_is_printed_with_what_it_stands_beside(content):
    [sheet] = notes(content)
    assert sheet.rows == (
        (48 * S, 74 * S, "Step: Leading the tear round",
         "Towards the middle after each grip,\nnot ahead of the tear."),
        (49_520_000, 74 * S, "Instrument: Capsule forceps",
         "Tips not quite closed at the second grip."),
    )  # fmt: skip


def test_notes_of_pauses_and_causes_are_printed_and_an_adopted_one_says_whose_it_was(subject):
    pause = PauseSpan(id=SEPARATE + "a", start_us=14 * S, end_us=16 * S, note="Fogged lens.")
    cause = GapCause(
        id=SEPARATE + "b",
        start_us=36 * S,
        end_us=40 * S,
        note="Forceps not laid out.",
        adopted_from=Origin(case=subject.case.id, reviewer="P-02", revision=2, id=SEPARATE + "c"),
    )
    content = content_of(subject, steps=(), instruments=(), pauses=(pause,), gap_causes=(cause,))
    [sheet] = notes(content)
    assert sheet.column("mark") == ("Pause: not said", "Cause of a gap: not said")
    assert sheet.column("note") == ("Fogged lens.", "Forceps not laid out.")
    assert sheet.column("adopted_from") == ("", "P-02, revision 2")


def test_a_trim_hides_notes_and_flags_outside_it(subject):
    case = subject.case.changed(trim=Window(start_us=80 * S, end_us=100 * S))
    content = critique_content(Subject(case, subject.guide, subject.review), Settings(), {})
    assert notes(content) == []
    [flags] = content.flags.sheets
    assert flags.column("at") == (92 * S,)


def test_without_flags_there_is_no_part_for_them(subject):
    assert content_of(subject, flags=()).flags.sheets == ()
    page = critique_files(
        Subject(subject.case, subject.guide, subject.review.changed(flags=())), Settings(), {}
    )
    for name in ("critique.html", "critique.md"):
        assert b"Moments to look at" not in page[name]
        assert b'href="#flags"' not in page[name]


def test_flags_stand_by_time_with_their_step_and_note(content):
    [sheet] = content.flags.sheets
    assert sheet.rows == ((92 * S, "Groove", "Is the probe too deep here?"), (119 * S, None, ""))


def test_a_picture_says_when_it_is_and_what_is_drawn_on_it(subject, stills):
    content = critique_content(subject, Settings(), stills)
    drawn = next(item for item in items(content).values() if len(item.stills) == 2)
    assert [still.alt for still in drawn.stills] == [
        "Picture at 0:00:59.000, Leading the tear round, drawn on it: a ring, an arrow",
        "Picture at 0:01:01.000, Leading the tear round, drawn on it: a freehand line",
    ]
    assert [still.file_name for still in drawn.stills] == [f"{drawn.id}.png", f"{drawn.id}-2.png"]


def replies(subject, others):
    content = critique_content(subject, Settings(), {}, others=others)
    return {
        item.at_us: [(reply.label, reply.text) for reply in item.replies]
        for item in items(content).values()
        if item.replies
    }


def test_without_other_reviews_there_are_no_replies(subject):
    assert replies(subject, ()) == {}


def test_what_a_released_review_replies_stands_at_its_remark(subject, others):
    """That the moment of the first remark was watched, and no more, is not told."""
    assert replies(subject, others) == {
        58_400_000: [
            (
                "Question of R-12 (trainee)",
                "Not yet understood.\nWhere should the next grip have been?\nCloser to the edge?",
            )
        ],
        96 * S: [("Reply of R-12 (trainee)", "Understood.")],
        119 * S: [("Reply of R-12 (trainee)", "The chamber had become shallow.")],
    }


@pytest.mark.parametrize("state", ["draft", "sealed", "a-later-word"])
def test_nothing_of_a_review_that_is_not_released_is_printed(state, subject, others):
    hidden = [other.changed(state=state) for other in others]
    assert replies(subject, hidden) == {}


def test_of_a_person_the_latest_released_revision_is_printed(subject, others):
    [first] = others
    later = first.changed(
        revision=2, replies=tuple(reply.changed(text="Later") for reply in first.replies)
    )
    draft = first.changed(
        revision=3, state="draft", replies=tuple(r.changed(text="Draft") for r in first.replies)
    )
    for order in ([first, later, draft], [draft, later, first]):
        said = {text for each in replies(subject, order).values() for _, text in each}
        assert all(text.endswith("Later") for text in said)


def test_replies_to_another_reviewer_s_remarks_or_of_another_case_are_not_printed(subject, others):
    [one] = others
    elsewhere = tuple(reply.changed(to=reply.to.changed(reviewer="A-99")) for reply in one.replies)
    assert replies(subject, [one.changed(replies=elsewhere)]) == {}
    assert replies(subject, [one.changed(case=SEPARATE + "z")]) == {}
    assert replies(subject, [one.changed(reviewer=subject.review.reviewer)]) == {}


def test_two_people_s_replies_stand_one_after_the_other(subject, others):
    [one] = others
    both = replies(subject, [one.changed(reviewer="R-99", role="second-teacher"), one])
    assert [label for label, _ in both[119 * S]] == [
        "Reply of R-12 (trainee)", "Reply of R-99 (second teacher)"
    ]  # fmt: skip


def test_replies_change_no_figure(subject, others):
    """Understood or not, asked or not: tables, charts and CSV files are the same."""
    without = critique_files(subject, Settings(), {})
    with_replies = critique_files(subject, Settings(), {}, others=others)
    differing = {name for name in without if without[name] != with_replies[name]}
    assert differing == {"critique.md", "critique.html"}
