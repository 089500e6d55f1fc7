"""Events: counts, rates, hours, courses; by hand."""

import pytest

from aftercase.metrics.measures import measured
from aftercase.model.case import SinceDegrees, SinceFlag
from aftercase.model.review import Course, StatedHour


def hours_shown(subject):
    frame = measured("event-list", subject).frame
    return frame[["hour", "hour_clock", "hour_text"]].iloc[0].tolist()


@pytest.fixture
def on_film(make):
    """A right eye seen from its temporal side, the limbus centre in the middle of the picture."""
    return {
        "parts": (make.part(0, 1000),),
        "stated_duration_us": None,
        "eye": "right",
        "seat": make.since((0, "temporal")),
        "turn_deg": (SinceDegrees(from_us=0, value=0.0),),
        "limbus_centre": (make.point(0.5, 0.5),),
    }


def test_no_events_give_empty_tables(make):
    for name in ("events", "event-list"):
        table = measured(name, make.subject())
        assert table.frame.empty
        assert "No events are marked." in table.notes


def test_one_event_outside_every_step_has_no_rate(make):
    row = measured("events", make.subject(events=(make.event("grip", 5),))).frame.iloc[0]
    assert (row["kind"], row["event_class"], row["n"]) == ("grip", "action", 1)
    assert row[["step", "per_minute"]].isna().all()


def test_counts_are_per_kind_and_innermost_step_and_per_minute_of_its_total(make):
    steps = (
        make.step("tear", 0, 30),
        make.step("tear-round", 10, 20),
        make.step("tear-round", 15, 30),
        make.step("seal", 40, 160),
    )
    grips = tuple(make.event("grip", at_s) for at_s in (2, 12, 29.9, 30))
    events = (*grips, make.event("iris-touch", 50))
    frame = measured("events", make.subject(steps=steps, events=events)).frame
    rows = frame.astype(object).where(frame.notna(), None)
    assert rows[["kind", "step", "n", "per_minute"]].to_numpy().tolist() == [
        ["grip", "tear", 1, 2.0],
        ["grip", "tear-round", 2, 6.0],
        ["grip", None, 1, None],
        ["iris-touch", "seal", 1, 0.5],
    ]


def test_classes_are_never_added_up_and_a_complication_asks_for_the_hospitals_report(make):
    events = (make.event("zonules", 3), make.event("grip", 4))
    table = measured("events", make.subject(events=events))
    assert table.frame["n"].tolist() == [1, 1]
    assert table.notes[0] == "Classes of events are never added up."
    assert "hospital's system" in table.notes[1]


def test_a_kind_the_guide_does_not_know_is_shown_as_such(make):
    row = measured("events", make.subject(events=(make.event("odd", 3),))).frame.iloc[0]
    assert (row["name"], row["event_class"]) == ("odd (not in the guide)", "not-in-guide")


# Common practice: a right eye's 12 lies at the left of a picture taken from its temporal side.
@pytest.mark.parametrize(
    ("x", "y", "hour"), [(0.1, 0.5, 12), (0.5, 0.9, 9), (0.5, 0.1, 3), (0.7, 0.7, 7.5)]
)
def test_a_place_gives_the_eyes_own_hour(make, on_film, x, y, hour):
    subject = make.subject(case=on_film, events=(make.event("grip", 5, place=make.point(x, y, 5)),))
    shown, clock, _ = hours_shown(subject)
    assert (shown, clock) == (pytest.approx(hour), "eye")


def test_a_mirrored_picture_turns_the_hours_round(make, on_film):
    case = {**on_film, "mirrored": (SinceFlag(from_us=0, value=True),)}
    subject = make.subject(
        case=case, events=(make.event("grip", 5, place=make.point(0.1, 0.5, 5)),)
    )
    assert hours_shown(subject)[0] == pytest.approx(6)


def test_an_oblong_picture_is_measured_in_square_pixels(make, on_film):
    case = {**on_film, "parts": (make.part(0, 1000, 200, 100),)}
    place = make.point(0.6, 0.7, 5)
    subject = make.subject(case=case, events=(make.event("grip", 5, place=place),))
    assert hours_shown(subject)[0] == pytest.approx(7.5)


def test_without_eye_seat_or_camera_turn_the_pictures_hour_is_shown_and_said(make, on_film):
    for unknown in ({"eye": "not-said"}, {"seat": ()}, {"turn_deg": ()}):
        subject = make.subject(
            case={**on_film, **unknown},
            events=(make.event("grip", 5, place=make.point(0.1, 0.5, 5)),),
        )
        assert hours_shown(subject) == [pytest.approx(9), "picture", "9 (picture)"]
        notes = measured("event-list", subject).notes
        assert any("not the eye's own" in note for note in notes)


def test_the_shape_of_pixels_is_undone(make, on_film):
    # on pixels twice as wide as high the same shares lie twice as far to the side
    part = make.part(0, 1000, 100, 100).changed(pixel_aspect=(2, 1))
    place = make.point(0.6, 0.7, 5)
    subject = make.subject(
        case={**on_film, "parts": (part,)}, events=(make.event("grip", 5, place=place),)
    )
    assert hours_shown(subject)[0] == pytest.approx(7.5)


# A film that its file says to mirror and then to turn counter-clockwise: where the decoded frame's
# top and right side are seen. Turned by 90 degrees, its top is seen at the left, its right side at
# the top. Picture hours of the two; worked out by turning a sheet of paper.
SEEN = {
    (0, False): (12, 3),
    (90, False): (9, 12),
    (180, False): (6, 9),
    (270, False): (3, 6),
    (0, True): (12, 9),
    (90, True): (9, 6),
    (180, True): (6, 3),
    (270, True): (3, 12),
}


@pytest.mark.parametrize("clock", ["picture", "eye"])
@pytest.mark.parametrize(("display", "hours"), SEEN.items(), ids=str)
def test_hours_are_those_of_the_picture_as_it_is_shown(make, on_film, display, hours, clock):
    turn_deg, mirrored = display
    part = make.part(0, 1000).changed(shown_turn_deg=turn_deg, shown_mirrored=mirrored)
    case = {**on_film, "parts": (part,), "eye": "right" if clock == "eye" else "not-said"}
    events = tuple(
        make.event("grip", at_s, place=make.point(*place, at_s))
        for at_s, place in ((5, (0.5, 0.1)), (6, (0.9, 0.5)))
    )
    table = measured("event-list", make.subject(case=case, events=events))
    # right eye, temporal seat: 3 at the top, 6 at the right, so three hours on
    wanted = [(hour + (3 if clock == "eye" else 0)) % 12 or 12 for hour in hours]
    assert table.frame["hour"].tolist() == pytest.approx(wanted)
    assert set(table.frame["hour_clock"]) == {clock}
    assert not any("How the film is shown" in note for note in table.notes)


def test_a_centre_shown_on_a_part_that_lies_otherwise_is_taken_where_it_was_shown(make, on_film):
    # decoded 100 x 200 and turned by 90, part 1 is shown as large as part 2, which is not turned;
    # the centre at (0.5, 0.25) of part 1 is shown at (0.25, 0.5)
    first = make.part(0, 500, 100, 200).changed(shown_turn_deg=90)
    case = {**on_film, "parts": (first, make.part(500, 1000, 200, 100)), "eye": "not-said"}
    case["limbus_centre"] = (make.point(0.5, 0.25),)
    event = make.event("grip", 600, place=make.point(0.25, 0.9, 600, part=1))
    assert hours_shown(make.subject(case=case, events=(event,)))[0] == pytest.approx(6)


def test_where_it_is_not_kept_how_a_film_is_shown_the_list_says_so(make, on_film):
    said = "How the film is shown was not kept"
    pointed = make.event("grip", 5, place=make.point(0.5, 0.1, 5))
    stated = make.event("grip", 6, hour=StatedHour(hour=4.0))
    part = make.part(0, 1000)
    for shown_turn_deg, events, is_said in (
        (None, (pointed,), True),
        (None, (stated,), False),
        (0, (pointed,), False),
    ):
        case = {**on_film, "parts": (part.changed(shown_turn_deg=shown_turn_deg),)}
        notes = measured("event-list", make.subject(case=case, events=events)).notes
        assert any(note.startswith(said) for note in notes) is is_said


def test_the_top_of_the_picture_is_twelve(make, on_film):
    case = {**on_film, "seat": ()}
    subject = make.subject(
        case=case, events=(make.event("grip", 5, place=make.point(0.5, 0.1, 5)),)
    )
    assert hours_shown(subject) == [12, "picture", "12 (picture)"]


def test_a_turn_that_is_not_said_is_told(make, on_film):
    case = {**on_film, "turn_deg": ()}
    subject = make.subject(
        case=case, events=(make.event("grip", 5, place=make.point(0.1, 0.5, 5)),)
    )
    notes = measured("event-list", subject).notes
    assert "The camera's turn is not said: hours are the picture's own." in notes


@pytest.mark.parametrize(
    "unknown", [{"limbus_centre": ()}, {"parts": (), "stated_duration_us": 10**9}]
)
def test_a_place_without_centre_or_picture_size_has_no_hour(make, on_film, unknown):
    subject = make.subject(
        case={**on_film, **unknown}, events=(make.event("grip", 5, place=make.point(0.1, 0.5, 5)),)
    )
    table = measured("event-list", subject)
    assert table.frame["hour"].isna().all()
    assert any(note.startswith("1 place pointed at without an hour") for note in table.notes)


def test_the_centre_itself_has_no_hour(make, on_film):
    event = make.event("grip", 5, place=make.point(0.5, 0.5, 5))
    assert (
        measured("event-list", make.subject(case=on_film, events=(event,)))
        .frame["hour"]
        .isna()
        .all()
    )


@pytest.mark.parametrize("size", [(0, 0), (200, 100)])
def test_a_centre_on_a_picture_of_another_or_unknown_size_gives_no_hour(make, on_film, size):
    case = {**on_film, "parts": (make.part(0, 500), make.part(500, 1000, *size))}
    event = make.event("grip", 600, place=make.point(0.1, 0.5, 600, part=1))
    assert (
        measured("event-list", make.subject(case=case, events=(event,))).frame["hour"].isna().all()
    )


def test_the_centre_in_force_at_the_frame_is_taken(make, on_film):
    case = {**on_film, "limbus_centre": (make.point(0.5, 0.5), make.point(0.1, 0.9, 8))}
    events = tuple(make.event("grip", at_s, place=make.point(0.1, 0.5, at_s)) for at_s in (5, 9))
    frame = measured("event-list", make.subject(case=case, events=events)).frame
    assert frame["hour"].tolist() == [pytest.approx(12), pytest.approx(3)]


@pytest.mark.parametrize(
    ("stated", "shown"),
    [
        (StatedHour(hour=4.0, clock="eye"), [4.0, "eye", "4 (eye)"]),
        (StatedHour(hour=7.5, clock="picture"), [12.0, "eye", "12 (eye)"]),
        (StatedHour(hour=4.0), [12.0, "eye", "12 (eye)"]),
    ],
)
def test_a_stated_hour_wins_for_its_own_clock_only(make, on_film, stated, shown):
    event = make.event("grip", 5, place=make.point(0.1, 0.5, 5), hour=stated)
    assert hours_shown(make.subject(case=on_film, events=(event,))) == shown


def test_an_hour_of_no_said_clock_is_kept_as_said(make):
    event = make.event("grip", 5, hour=StatedHour(hour=10.5))
    assert hours_shown(make.subject(events=(event,))) == [
        10.5,
        "not-said",
        "10:30 (clock not said)",
    ]


def test_a_stretch_from_hour_to_hour_is_shown_on_one_clock(make):
    hours = {"hour": StatedHour(hour=3.0, clock="eye")}
    on_eye = make.event("zonules", 5, **hours, to_hour=StatedHour(hour=5.5, clock="eye"))
    mixed = make.event("zonules", 6, **hours, to_hour=StatedHour(hour=5.5, clock="picture"))
    frame = measured("event-list", make.subject(events=(on_eye, mixed))).frame
    assert frame["hour_text"].tolist() == ["3 to 5:30 (eye)", "3 (eye)"]
    assert frame["to_hour"].isna().tolist() == [False, True]


def test_a_complications_course_gives_the_times_between(make):
    course = Course(first_sign_us=4_000_000, recognised_us=6_500_000, first_response_us=7_000_000)
    events = (
        make.event("zonules", 5, course=course, note="slow"),
        make.event("zonules", 6, course=Course(recognised_us=6_500_000)),
    )
    frame = measured("event-list", make.subject(events=events)).frame
    assert frame["sign_to_recognised_us"].isna().tolist() == [False, True]
    first = frame.iloc[0]
    assert first["sign_to_recognised_us"] == 2_500_000
    assert first["recognised_to_response_us"] == 500_000
    assert first["note"] == "slow"
