from __future__ import annotations

import tracemalloc

from aftercase.edit import records
from aftercase.edit.history import MOST_LEVELS, History
from aftercase.model.review import InstrumentSpan, Review

MOST_BYTES = 40_000_000


def states(history):
    return [level.state for level in history.past], history.present


def test_a_fresh_history_has_nothing_to_undo_or_redo():
    history = History("a")
    assert history.undone() is history
    assert history.redone() is history
    assert (history.undo_label, history.redo_label) == (None, None)


def test_undo_and_redo_go_through_the_states_and_name_the_edit():
    history = History("a").edited("b", "write b").edited("c", "write c")
    assert (history.undo_label, history.redo_label) == ("write c", None)
    back = history.undone()
    assert (back.present, back.undo_label, back.redo_label) == ("b", "write b", "write c")
    assert back.undone().present == "a"
    assert back.redone() == history
    assert back.undone().redone().redone() == history


def test_a_history_is_never_changed():
    history = History("a").edited("b", "write b")
    before = states(history)
    history.edited("c", "write c")
    history.undone().edited("d", "write d")
    assert states(history) == before


def test_an_edit_that_changes_nothing_leaves_no_level():
    history = History("a")
    assert history.edited("a", "nothing") is history


def test_an_edit_after_undo_forgets_what_was_undone():
    history = History("a").edited("b", "write b").undone().edited("c", "write c")
    assert history.redone() is history
    assert history.undone().present == "a"


def test_typing_in_one_field_is_undone_as_one():
    history = History("").edited("x", "before")
    for text in ("h", "he", "hel"):
        history = history.edited(text, "type", merge_key="remark 1")
    assert history.present == "hel"
    assert history.undone().present == "x"
    assert history.undone().redone().present == "hel"


def test_typing_in_two_fields_is_undone_field_by_field():
    history = History("")
    for text, key in (("a", "1"), ("ab", "1"), ("abc", "2"), ("abcd", "1")):
        history = history.edited(text, "type", merge_key=key)
    assert states(history) == (["", "ab", "abc"], "abcd")


def test_edits_without_a_key_are_never_merged():
    history = History(0)
    for number in (1, 2, 3):
        history = history.edited(number, "count")
    assert states(history) == ([0, 1, 2], 3)


def test_the_oldest_level_goes_when_there_are_more_than_500():
    history = History(0)
    for number in range(1, MOST_LEVELS + 11):
        history = history.edited(number, "count")
    assert len(history.past) == MOST_LEVELS == 500
    for _ in range(MOST_LEVELS):
        history = history.undone()
    assert history.present == 10
    assert history.undone() is history
    for _ in range(MOST_LEVELS):
        history = history.redone()
    assert history.present == MOST_LEVELS + 10


def test_500_levels_of_2000_spans_are_small():
    spans = tuple(
        InstrumentSpan(
            id=f"id{number:024d}", instrument="knife", start_us=number * 10, end_us=number * 10 + 9
        )
        for number in range(2000)
    )
    review = Review(id=f"id{5000:024d}", case=f"id{5001:024d}", reviewer="T1", instruments=spans)
    tracemalloc.start()
    history = History(review)
    for number in range(MOST_LEVELS):
        changed = records.change(history.present, spans[number * 3].id, note=f"note {number}")
        history = history.edited(changed, "note")
    used_bytes, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    print(f"500 levels of 2,000 spans: {used_bytes / 1e6:.1f} MB")
    assert len(history.past) == MOST_LEVELS
    assert used_bytes < MOST_BYTES
