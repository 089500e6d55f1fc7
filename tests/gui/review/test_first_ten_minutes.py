"""The first ten minutes: drop a film, press play, type; three keys are all there is to learn."""

import time
from pathlib import Path

from PyQt6.QtCore import QMimeData, QPointF, Qt, QUrl
from PyQt6.QtGui import QDropEvent

from aftercase.model.review import Review
from aftercase.session.opened import draft_of, open_case

SAMPLE = Path(__file__).resolve().parents[3] / "sample_media" / "demo.mp4"
FIRST_REMARK_S = 30.0


def _drop(window, film):
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(film))])
    window.dropEvent(
        QDropEvent(
            QPointF(10, 10),
            Qt.DropAction.CopyAction,
            data,
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
        )
    )


def _on_disk(window) -> Review:
    opened = open_case(window.desk.opened.folder.path, window.at)
    desk = window.desk
    return draft_of(opened, desk.review.reviewer, "teacher", desk.new_id).record


def test_a_dropped_film_can_be_remarked_on_within_thirty_seconds(window, until, press, type_text):
    began_s = time.monotonic()
    _drop(window, SAMPLE)
    until(lambda: window.desk is not None and window.player.is_exact)
    press(window, "Space")
    until(lambda: window.player.at_us > 3_000_000)
    press(window, "R")
    type_text(window, "- Fixieren zuerst, dann schneiden: schön langsam")
    press(window, "Return")
    assert time.monotonic() - began_s < FIRST_REMARK_S
    [remark] = window.desk.review.remarks
    assert remark.kind == "work-on"
    assert remark.text == "Fixieren zuerst, dann schneiden: schön langsam"
    assert 0 < remark.at_us < 3_000_000  # two seconds before typing began
    until(lambda: window.desk.hand.saving.word == "saved")
    assert _on_disk(window).remarks == window.desk.review.remarks


def test_three_keys_mark_steps_pauses_and_takeovers(opened, until, press):
    player, desk = opened.player, opened.desk
    for us, key in (
        (1_000_000, "Return"),
        (4_000_000, "0"),
        (6_000_000, "Return"),
        (8_000_000, "T"),
        (9_000_000, "T"),
    ):
        player.go_to(us)
        until(lambda: player.is_exact and desk.at_us == player.at_us)
        press(opened, key)
    assert [(s.step, s.start_us, s.end_us) for s in desk.review.steps] == [
        ("side-port", 1_000_000, 6_000_000),
        ("viscoelastic-in", 6_000_000, 156_000_000),
    ]
    assert [(p.start_us, p.end_us) for p in desk.review.pauses] == [(4_000_000, 6_000_000)]
    taken = desk.review.steps[1]
    assert (taken.taken_over_us, taken.given_back_us) == (8_000_000, 9_000_000)
    press(opened, "U")
    assert desk.words.text.startswith("Undone: Viscoelastic in given back")


def test_any_step_is_two_keys_and_the_same_again_ends_it(opened, until, press):
    press(opened, "S", "I")  # the sign of Capsulorhexis in the list is i
    assert [span.step for span in opened.desk.review.steps] == ["capsulorhexis"]
    opened.player.go_to(2_000_000)
    until(lambda: opened.player.is_exact and opened.desk.at_us == 2_000_000)
    press(opened, "S", "I")
    assert opened.desk.review.steps[0].end_us == 2_000_000


def test_what_a_hand_holds_changes_by_two_keys(opened, until, press):
    guide = opened.desk.guide
    first, second = guide.instruments[0].id, guide.instruments[1].id
    press(opened, "H", "A")
    opened.player.go_to(1_000_000)
    until(lambda: opened.player.is_exact and opened.desk.at_us == 1_000_000)
    press(opened, "G", "B")
    held = {(one.instrument, one.hand, one.start_us) for one in opened.desk.review.instruments}
    assert held == {(first, "main", 0), (second, "second", 1_000_000)}


def test_keys_are_letters_while_something_is_typed(opened, press, type_text):
    press(opened, "R")
    type_text(opened, "t0u")
    assert opened.desk.review.steps == ()
    assert opened.desk.review.pauses == ()
    press(opened, "Return")
    assert [remark.text for remark in opened.desk.review.remarks] == ["t0u"]


def test_tab_walks_the_kinds_and_escape_keeps_nothing(opened, press, type_text):
    press(opened, "+")
    type_text(opened, "calm hands")
    press(opened, "Tab", "Ctrl+Return")
    [remark] = opened.desk.review.remarks
    assert (remark.kind, remark.starred) == ("work-on", True)
    press(opened, "R")
    type_text(opened, "never mind")
    press(opened, "Esc")
    assert len(opened.desk.review.remarks) == 1


def test_the_guide_list_marks_what_runs_and_what_comes(opened, press):
    press(opened, "Return")
    rows = dict(opened._bench.guide_list.rows())
    assert rows["side-port"] == "running"
    assert rows["viscoelastic-in"] == "next"


def test_a_typed_time_goes_to_the_frame_shown_then(opened, until, press):
    press(opened, "Ctrl+T")
    line = opened.focusWidget()
    line.setText("0:01:00.019")
    press(opened, "Return")
    until(lambda: opened.player.is_exact and opened.desk.at_us == 60_000_000)


def test_a_drawing_by_keys_sits_on_the_frame_in_picture_coordinates(opened, press):
    press(opened, "D")
    press(opened, "R", "2")
    press(opened, "Left", "Up", "Return", "Right", "Right", "Down", "Down", "Return")
    [remark] = opened.desk.review.remarks
    [drawing] = remark.drawings
    assert (drawing.shape, drawing.colour, drawing.at_us) == ("ring", "orange", 0)
    (left, top), (right, bottom) = drawing.points
    # two steps of 0.04 from the middle, by hand
    assert (left, top, right, bottom) == (0.46, 0.46, 0.54, 0.54)


def test_the_case_opens_again_where_it_was(opened, film_case, until, press):
    press(opened, "Return")
    opened.player.go_to(33_000_000)
    until(lambda: opened.player.is_exact and opened.desk.at_us == 33_000_000)
    opened.desk.show_stretch(20_000_000, 40_000_000)
    chosen = opened.desk.review.steps[0].id
    opened.desk.select(chosen)
    opened.open_path(film_case)
    until(lambda: opened.desk is not None and opened.player.is_exact)
    until(lambda: opened.desk.at_us == 33_000_000)
    assert opened.desk.strip_us == (20_000_000, 40_000_000)
    assert opened.desk.selection == (chosen,)
    assert len(opened.desk.review.steps) == 1


def test_a_missing_film_leaves_marks_readable(opened, film_case, until, press, at):
    press(opened, "Return")
    until(lambda: opened.desk.hand.saving.word == "saved")
    at.locator.write_text("{}", encoding="utf-8")
    opened.open_path(film_case)
    until(lambda: opened.desk is not None)
    assert not opened.desk.frames.has_film or opened.desk.frames.is_missing(0)
    assert [span.step for span in opened.desk.review.steps] == ["side-port"]
