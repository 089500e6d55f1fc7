"""The line that remarks are typed in: press its keys, read the review."""

from tests.gui.review.marks import S

from aftercase.gui.review.remark_line import RemarkLine
from aftercase.session.settings import Settings


def typed(panel, desk, type_text, text, at_s=10):
    desk.show_moment(at_s * S)
    panel.open()
    type_text(panel, text)


def test_a_remark_sits_two_seconds_before_the_frame_typing_began_on(
    host, desk_with, shown, press, type_text
):
    desk = desk_with()
    panel = shown(RemarkLine(host, desk), width=680, height=40)
    typed(panel, desk, type_text, "Ruhig geführt – schön")
    assert panel.says == "0:00:08  * teaching point"
    desk.show_moment(19 * S)
    press(panel, "Return")
    [remark] = desk.review.remarks
    assert (remark.at_us, remark.end_us, remark.text) == (8 * S, None, "Ruhig geführt – schön")
    assert not panel.is_open
    assert host.n_film_focus == 1


def test_a_lead_of_nothing_and_the_case_start_are_as_chosen(host, desk_with, shown, type_text):
    desk = desk_with(settings=Settings(lead_us=0))
    panel = shown(RemarkLine(host, desk))
    typed(panel, desk, type_text, "x")
    assert panel.says.startswith("0:00:10")
    panel.put_away()
    panel._recovery.wait()  # else the next line may find this one still open
    early = desk_with()
    second = shown(RemarkLine(host, early))
    typed(second, early, type_text, "x", at_s=1)
    assert second.says.startswith("0:00:00")


def test_a_leading_sign_chooses_the_kind_and_is_no_text(host, desk_with, shown, press, type_text):
    desk = desk_with()
    panel = shown(RemarkLine(host, desk))
    for number, sign in enumerate("+-*!?"):
        typed(panel, desk, type_text, f"{sign} seen", at_s=10 + number)
        press(panel, "Return")
    assert [(remark.kind, remark.text) for remark in desk.review.remarks] == [
        (kind, "seen")
        for kind in ("well-done", "work-on", "teaching-point", "safety", "question")
    ]  # fmt: skip


def test_tab_walks_the_kinds_both_ways_and_the_sign_follows(
    host, desk_with, shown, press, type_text
):
    desk = desk_with()
    panel = shown(RemarkLine(host, desk))
    panel.open("safety")
    type_text(panel, "! mind the edge")
    press(panel, "Tab")
    assert panel.says.endswith("? question")
    press(panel, "Shift+Tab", "Shift+Tab")
    assert panel.says.endswith("* teaching point")
    press(panel, "Return")
    [remark] = desk.review.remarks
    assert (remark.kind, remark.text) == ("teaching-point", "mind the edge")


def test_ctrl_enter_keeps_it_starred(host, desk_with, shown, press, type_text):
    desk = desk_with()
    panel = shown(RemarkLine(host, desk))
    typed(panel, desk, type_text, "+ calm hands")
    press(panel, "Ctrl+Return")
    assert [(one.starred, one.kind) for one in desk.review.remarks] == [(True, "well-done")]


def test_shift_and_up_lets_it_cover_the_film_up_to_the_shown_frame(
    host, desk_with, shown, press, type_text
):
    desk = desk_with()
    panel = shown(RemarkLine(host, desk))
    typed(panel, desk, type_text, "all of this")
    desk.show_moment(20 * S)
    press(panel, "Shift+Up", "Return")
    typed(panel, desk, type_text, "only here", at_s=30)
    press(panel, "Shift+Up", "Shift+Down", "Return")
    assert [(one.at_us, one.end_us) for one in desk.review.remarks] == [
        (8 * S, 20 * S),
        (28 * S, None),
    ]


def test_nothing_typed_keeps_nothing(host, desk_with, shown, press, type_text):
    desk = desk_with()
    panel = shown(RemarkLine(host, desk))
    typed(panel, desk, type_text, "-")
    press(panel, "Return")
    assert desk.review.remarks == ()
    assert not panel.is_open


def test_what_was_put_away_comes_back_about_its_own_moment(
    host, desk_with, shown, press, type_text
):
    desk = desk_with()
    panel = shown(RemarkLine(host, desk))
    typed(panel, desk, type_text, "- not so deep")
    press(panel, "Esc")
    assert desk.review.remarks == ()
    desk.show_moment(40 * S)
    panel.open()
    press(panel, "Up")
    assert panel.says == "0:00:08  - work on"
    press(panel, "Return")
    [remark] = desk.review.remarks
    assert (remark.at_us, remark.kind, remark.text) == (8 * S, "work-on", "not so deep")


def test_the_next_remark_after_one_put_away_is_about_its_own_moment(
    host, desk_with, shown, press, type_text
):
    desk = desk_with()
    panel = shown(RemarkLine(host, desk))
    typed(panel, desk, type_text, "never mind")
    press(panel, "Esc")
    typed(panel, desk, type_text, "this one", at_s=30)
    press(panel, "Return")
    assert [(one.at_us, one.text) for one in desk.review.remarks] == [(28 * S, "this one")]


def test_a_crash_leaves_the_open_line_and_what_was_put_away(
    host, desk_with, shown, press, type_text
):
    desk = desk_with()
    lost = shown(RemarkLine(host, desk))
    typed(lost, desk, type_text, "- put away")
    press(lost, "Esc")
    typed(lost, desk, type_text, "! open", at_s=20)
    lost._recovery.wait()  # what the disk has when the program ends here
    found = shown(RemarkLine(host, desk))
    assert found.says == "0:00:18  ! safety"
    press(found, "Return")
    found.open()
    press(found, "Up", "Return")
    assert [(one.at_us, one.kind, one.text) for one in desk.review.remarks] == [
        (8 * S, "work-on", "put away"),
        (18 * S, "safety", "open"),
    ]
    found._recovery.wait()
    clean = shown(RemarkLine(host, desk))
    assert not clean.is_open


def test_the_film_rests_while_typing_where_that_was_chosen_and_goes_on_after(
    host, desk_with, shown, press, type_text
):
    desk = desk_with(settings=Settings(pause_on_type=True))
    panel = shown(RemarkLine(host, desk))
    host.player.state = "playing"
    typed(panel, desk, type_text, "wait")
    assert host.player.state == "resting"
    press(panel, "Return")
    assert host.player.state == "playing"


def test_the_film_goes_on_while_typing_else(host, desk_with, shown, press, type_text):
    desk = desk_with()
    panel = shown(RemarkLine(host, desk))
    host.player.state = "playing"
    typed(panel, desk, type_text, "go on")
    assert host.player.state == "playing"
    press(panel, "Esc")
    assert host.player.state == "playing"


def test_a_closed_review_is_not_written_in(host, desk_with, shown, written):
    written("T01", "teacher")
    desk = desk_with()
    panel = shown(RemarkLine(host, desk))
    panel.open()
    assert not panel.is_open
    assert desk.words.tone == "refused"
