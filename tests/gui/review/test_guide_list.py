"""The guide as a list: change the review, read the rows; choose a row, see where the film goes."""

from itertools import combinations

from PyQt6.QtCore import QPoint, QRect, Qt
from PyQt6.QtGui import QContextMenuEvent, QFontMetrics
from PyQt6.QtWidgets import QApplication, QLabel, QListWidget, QMenu
from tests.gui.review.marks import END_US, S, mark, span

from aftercase.edit.records import add_all
from aftercase.gui.review.guide_list import GuideList
from aftercase.gui.review.step_rows import _laid
from aftercase.gui.row_painter import ROW
from aftercase.gui.theme import LIGHT, wear
from aftercase.model.review import InstrumentSpan
from aftercase.session.verbs import marking


def list_of(panel):
    return panel.findChild(QListWidget)


def row_of(panel, step):
    return next(row for row in panel.said() if row.line.step.id == step)


def item_of(panel, step):
    rows = list_of(panel)
    items = [rows.item(place) for place in range(rows.count())]
    return next(item for item in items if item.data(ROW).line.step.id == step)


def test_an_empty_review_shows_the_usual_steps_and_which_comes_first(host, desk_with, shown):
    panel = shown(GuideList(host, desk_with()))
    # guide content: the eleven steps without optional, unplanned and parts
    assert len(panel.rows()) == 11
    assert panel.rows()[:2] == [("side-port", "next"), ("viscoelastic-in", "")]


def test_a_step_that_begins_is_marked_in_words_and_its_time_runs_with_the_film(
    host, desk_with, shown
):
    desk = desk_with()
    panel = shown(GuideList(host, desk))
    desk.show_moment(10 * S)
    marking.next_step(desk)
    desk.show_moment(13 * S)
    row = row_of(panel, "side-port")
    assert (row.word, row.time) == ("running", "0:00:03")
    assert row_of(panel, "viscoelastic-in").word == "next"
    desk.show_moment(2 * S)
    assert row_of(panel, "side-port").word == "next"  # what the key would begin here


def test_a_return_and_an_unplanned_step_show_where_they_happened(host, desk_with, shown):
    desk = desk_with(
        steps=[
            span("a", 1, 4, step="side-port"),
            span("b", 5, 9, step="anterior-vitrectomy"),
            span("c", 33, 35, step="side-port"),
        ]
    )
    panel = shown(GuideList(host, desk))
    assert row_of(panel, "side-port").facts == "2 visits, again at 0:00:33"
    assert row_of(panel, "anterior-vitrectomy").time == "0:00:04"
    desk.undo()
    assert "anterior-vitrectomy" not in dict(panel.rows())


def test_instruments_and_remarks_stand_under_the_step(host, desk_with, shown):
    desk = desk_with(
        steps=[span("a", 0, 10, step="side-port")],
        instruments=[span("b", 2, 5, instrument="knife-side", hand="main")],
        remarks=[mark("c", 3, text="Good"), mark("d", 4, text="Calm")],
    )
    row = row_of(shown(GuideList(host, desk)), "side-port")
    assert (row.instruments, row.facts) == ("Side-port knife", "2 remarks")
    assert "sign c" in row.spoken


def test_idle_time_comes_after_the_marks_and_stays_away_where_nothing_is_marked(
    host, desk_with, shown, until
):
    desk = desk_with(steps=[span("a", 0, 20, step="side-port"), span("z", 20, 30, step="seal")])
    panel = shown(GuideList(host, desk))
    until(lambda: not panel._timer.isActive())
    assert row_of(panel, "side-port").idle == ""
    desk.show_moment(5 * S)
    marking.press_pause(desk)
    desk.show_moment(9 * S)
    marking.press_pause(desk)
    until(lambda: row_of(panel, "side-port").idle == "0:00:04")


def test_what_was_not_needed_says_so(host, desk_with, shown):
    desk = desk_with()
    panel = shown(GuideList(host, desk))
    marking.switch_not_needed(desk, "dye")
    assert row_of(panel, "dye").facts == "not needed"


def test_all_steps_unfold_by_their_tick_and_fold_again(host, desk_with, shown):
    desk = desk_with()
    panel = shown(GuideList(host, desk))
    panel._all.click()
    assert len(panel.rows()) == len(desk.guide.steps)
    panel._all.click()
    assert len(panel.rows()) == 11


def test_choosing_a_step_goes_to_its_next_visit_then_to_its_first(host, desk_with, shown):
    visits = [span("a", 1, 4, step="side-port"), span("b", 30, 35, step="side-port")]
    desk = desk_with(steps=visits)
    panel = shown(GuideList(host, desk))
    for us in (0, 10 * S, 40 * S):
        desk.show_moment(us)
        list_of(panel).itemClicked.emit(item_of(panel, "side-port"))
    assert host.player.went == [1 * S, 30 * S, 1 * S]


def test_choosing_a_step_that_is_not_marked_says_so(host, desk_with, shown):
    desk = desk_with()
    panel = shown(GuideList(host, desk))
    list_of(panel).itemClicked.emit(item_of(panel, "seal"))
    assert host.player.went == []
    assert desk.words.tone == "refused"


def test_arrow_keys_choose_in_the_list(host, desk_with, shown, press):
    desk = desk_with(steps=[span("a", 1, 4, step="side-port")])
    panel = shown(GuideList(host, desk))
    list_of(panel).setCurrentRow(1)
    list_of(panel).setFocus()
    press(panel, "Up")
    assert host.player.went == [1 * S]


def test_the_menu_begins_ends_loops_and_says_what_was_not_needed(host, desk_with, shown):
    desk = desk_with(steps=[span("a", 1, 4, step="side-port")])
    panel = shown(GuideList(host, desk))

    def deeds(step):
        return dict(panel.deeds(row_of(panel, step).line))

    assert list(deeds("seal")) == ["Begin it here", "It was not needed"]
    desk.show_moment(10 * S)
    deeds("seal")["Begin it here"]()
    desk.show_moment(20 * S)
    deeds("seal")["End it here"]()
    seal = desk.review.steps[-1]
    assert (seal.step, seal.start_us, seal.end_us) == ("seal", 10 * S, 20 * S)
    deeds("side-port")["Play it over and over"]()
    assert host.player.looped == [(1 * S, 4 * S, 2 * S)]
    deeds("side-port")["About it"]()
    assert (desk.selection, host.asked) == ((desk.review.steps[0].id,), ["about-mark"])
    deeds("cortex")["It was not needed"]()
    assert desk.review.not_needed == ("cortex",)
    assert "It was needed after all" in deeds("cortex")


def test_the_menu_key_opens_the_menu_of_the_current_row(host, desk_with, shown, qapp):
    panel = shown(GuideList(host, desk_with()))
    rows = list_of(panel)
    rows.setCurrentRow(2)
    event = QContextMenuEvent(QContextMenuEvent.Reason.Keyboard, QPoint(0, 0), QPoint(0, 0))
    QApplication.sendEvent(rows, event)
    [menu] = panel.findChildren(QMenu)
    assert [action.text() for action in menu.actions()] == ["Begin it here", "It was not needed"]
    menu.close()


def test_a_closed_review_can_be_walked_but_not_marked_from_the_menu(
    host, desk_with, shown, written
):
    written("T01", "teacher", steps=[span("a", 1, 4, step="side-port")])
    desk = desk_with()
    assert not desk.is_draft
    panel = shown(GuideList(host, desk))
    words = [label for label, _ in panel.deeds(row_of(panel, "side-port").line)]
    assert words == ["Play it over and over", "About it"]


def test_the_running_step_is_scrolled_to(host, desk_with, shown, until):
    spans = [span("a", 1, 4, step="side-port"), span("b", 50, 60, step="seal")]
    desk = desk_with(steps=spans)
    panel = shown(GuideList(host, desk), height=240)
    desk.show_moment(51 * S)
    rows = list_of(panel)

    def seen():
        return rows.viewport().rect().contains(rows.visualItemRect(item_of(panel, "seal")))

    until(seen)


def test_all_of_the_running_step_stays_in_view_when_it_gets_taller_or_the_list_shorter(
    host, desk_with, shown, until
):
    desk = desk_with(steps=[span("a", 1, 4, step="side-port"), span("b", 50, 60, step="seal")])
    desk.show_moment(51 * S)
    panel = shown(GuideList(host, desk), height=300)
    rows = list_of(panel)

    def height():
        return rows.visualItemRect(item_of(panel, "seal")).height()

    def seen():
        return rows.viewport().rect().contains(rows.visualItemRect(item_of(panel, "seal")))

    until(seen)
    low = height()
    held = [
        InstrumentSpan.model_validate(span(f"i{n}", 52, 55, instrument=one.id, hand="main"))
        for n, one in enumerate(desk.guide.instruments[:6])
    ]
    desk.edit(lambda review: add_all(review, "instruments", held), "hold")
    until(lambda: height() > low and seen())
    panel.resize(panel.width(), 240)
    until(lambda: rows.viewport().height() < 220 and seen())


def test_a_list_that_was_scrolled_elsewhere_stays_there_while_marking(
    host, desk_with, shown, until
):
    desk = desk_with(steps=[span("a", 1, 4, step="side-port"), span("b", 50, 60, step="seal")])
    panel = shown(GuideList(host, desk), height=240)
    desk.show_moment(51 * S)
    rows = list_of(panel)
    until(lambda: rows.verticalScrollBar().value() > 0)
    rows.verticalScrollBar().setValue(0)
    marking.switch_not_needed(desk, "dye")
    until(lambda: not panel._timer.isActive())
    assert rows.verticalScrollBar().value() == 0


def test_no_word_of_a_row_is_cut_at_any_text_size(host, desk_with, shown, qapp):
    desk = desk_with(
        steps=[
            span("a", 0, 10, step="nucleus-free"),
            *(span(f"s{n}", 12 + n, 12.5 + n, step="nucleus") for n in range(6)),
        ],
        instruments=[span("b", 2, 5, instrument="phaco-probe", hand="main")],
    )
    wrapped = int(Qt.TextFlag.TextWordWrap)
    for percent in (80, 100, 200):
        wear(qapp, LIGHT, percent)
        panel = shown(GuideList(host, desk), width=296)
        panel._all.click()
        rows = list_of(panel)
        metrics = QFontMetrics(rows.font())
        room = rows.viewport().width()
        for row in panel.said():
            item = item_of(panel, row.line.step.id)
            high = rows.visualItemRect(item).height()
            needed = sum(
                metrics.boundingRect(QRect(0, 0, room, 9999), wrapped, text).height()
                for text in (row.line.step.name, row.facts, row.instruments)
                if text
            )
            assert high >= needed
            laid = _laid(row, room, rows.font().toString())
            for box, text in ((laid.name, row.line.step.name), (laid.facts, row.facts)):
                words = [metrics.horizontalAdvance(word) for word in text.split()]
                assert box.width() >= max(words, default=0), text
            boxes = [box for box in (laid.name, laid.time, laid.word, laid.facts) if box.height()]
            assert not any(
                one.intersects(other) for one, other in combinations(boxes, 2) if one.width()
            ), row.spoken
    wear(qapp, LIGHT, 100)


def test_a_panel_that_is_put_away_listens_no_more(host, desk_with, qapp):
    desk = desk_with()
    panel = GuideList(host, desk)
    panel.stop()
    desk.show_moment(3 * S)
    marking.next_step(desk)
    assert ("side-port", "next") in panel.rows()
    panel.deleteLater()


def test_the_note_on_duration_stands_once_at_the_foot(host, desk_with, shown):
    panel = shown(GuideList(host, desk_with(steps=[span("a", 0, END_US / S, step="seal")])))
    words = [label.text() for label in panel.findChildren(QLabel)]
    assert words.count("Duration is not quality.") == 1
