"""A broken guide names the place and the fault; a sequence is read as it is written."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from aftercase.model.guide import Guide
from aftercase.model.guide_rules import (
    Either,
    Maybe,
    One,
    Repeated,
    Row,
    parse_sequence,
    problems,
    steps_of_sequence,
)

Change = Callable[[dict[str, Any]], object]


def small_guide() -> dict[str, Any]:
    return {
        "id": "knot",
        "guide_version": "1.0",
        "name": "Knot",
        "steps": [
            {"id": "load", "name": "Load", "strip_label": "Load", "main": ["holder"]},
            {"id": "tie", "name": "Tie", "strip_label": "Tie", "events": ["slip-off"]},
            {"id": "throw", "name": "Throw", "strip_label": "Throw", "parent": "tie"},
        ],
        "instruments": [{"id": "holder", "name": "Holder"}],
        "events": [{"id": "slip-off", "name": "Slips off", "event_class": "slip"}],
        "techniques": [{"id": "by-hand", "name": "By hand", "sequence": "(throw)*"}],
        "order": [{"kind": "strict", "step": "tie", "not_before": ["load"]}],
        "tasks": [{"id": "t", "about": "a", "task": "b", "met_when": "c", "drills": ["tie"]}],
        "usual_ranges": [{"id": "length", "measure": "m", "usual": "u"}],
        "header_lists": [{"field": "hand", "words": [{"id": "right", "name": "Right"}]}],
        "density": {"id": "own", "name": "Own", "values": [{"id": "1", "name": "soft"}]},
    }


def found(change: Change) -> list[tuple[str, str]]:
    raw = small_guide()
    change(raw)
    return [(one.place, one.what) for one in problems(Guide.model_validate(raw))]


def test_a_guide_without_steps_is_no_guide():
    guide = Guide(id="empty", guide_version="1.0", name="Empty", steps=())
    assert [(one.place, one.what) for one in problems(guide)] == [
        ("steps", "a guide needs at least one step")
    ]


def test_a_sound_guide_has_no_problems():
    assert found(lambda raw: None) == []


BROKEN: list[tuple[str, Change, str, str]] = [
    (
        "unknown parent",
        lambda raw: raw["steps"][2].update(parent="tei"),
        "steps/2/parent",
        "“tei” is not a step",
    ),
    (
        "part of itself",
        lambda raw: raw["steps"][2].update(parent="throw"),
        "steps/2/parent",
        "“throw” is itself a part of “throw”",
    ),
    (
        "unknown main instrument",
        lambda raw: raw["steps"][0].update(main=["holder", "hold"]),
        "steps/0/main",
        "“hold” is not",
    ),
    (
        "unknown second instrument",
        lambda raw: raw["steps"][1].update(second=["x"]),
        "steps/1/second",
        "“x” is not",
    ),
    (
        "unknown event",
        lambda raw: raw["steps"][1].update(events=["slip"]),
        "steps/1/events",
        "“slip” is not",
    ),
    (
        "unknown critical word",
        lambda raw: raw["steps"][0].update(critical="maybe"),
        "steps/0/critical",
        "yes, local, no",
    ),
    (
        "unknown hour of a step",
        lambda raw: raw["steps"][0].update(event_hour="yes"),
        "steps/0/event_hour",
        "no, whole, halves, span",
    ),
    (
        "step twice",
        lambda raw: raw["steps"].append(dict(raw["steps"][0])),
        "steps/3",
        "“load” stands in this list twice",
    ),
    (
        "unknown hand",
        lambda raw: raw["instruments"][0].update(hand="third"),
        "instruments/0/hand",
        "“third” is not one of main, second",
    ),
    (
        "unknown class",
        lambda raw: raw["events"][0].update(event_class="error"),
        "events/0/event_class",
        "“error” is not one of action, slip, complication, rescue, outside",
    ),
    ("unknown hour", lambda raw: raw["events"][0].update(hour="yes"), "events/0/hour", "“yes”"),
    (
        "unreadable sequence",
        lambda raw: raw["techniques"][0].update(sequence="(throw"),
        "techniques/0/sequence",
        "a bracket is not closed",
    ),
    (
        "unknown step in a sequence",
        lambda raw: raw["techniques"][0].update(sequence="throw, cut, cut"),
        "techniques/0/sequence",
        "“cut” is not in this guide",
    ),
    (
        "unknown instrument of a technique",
        lambda raw: raw["techniques"][0].update(second=["x"]),
        "techniques/0/second",
        "“x” is not",
    ),
    (
        "unknown order kind",
        lambda raw: raw["order"][0].update(kind="always"),
        "order/0/kind",
        "strict, usual",
    ),
    ("unknown order step", lambda raw: raw["order"][0].update(step="x"), "order/0/step", "“x”"),
    (
        "unknown earlier step",
        lambda raw: raw["order"][0].update(not_before=["x"]),
        "order/0/not_before",
        "“x” is not",
    ),
    (
        "a step that waits for itself",
        lambda raw: raw["order"][0].update(not_before=["tie"]),
        "order/0/not_before",
        "cannot wait for itself",
    ),
    (
        "unknown technique of a rule",
        lambda raw: raw["order"][0].update(techniques=["x"]),
        "order/0/techniques",
        "“x” is not",
    ),
    ("unknown drill", lambda raw: raw["tasks"][0].update(drills=["x"]), "tasks/0/drills", "“x”"),
    (
        "unknown technique of a range",
        lambda raw: raw["usual_ranges"][0].update(techniques=["x"]),
        "usual_ranges/0/techniques",
        "“x” is not",
    ),
    (
        "unknown source",
        lambda raw: raw["events"][0].update(source="hearsay"),
        "events/0/source",
        "“hearsay” is not one of common-practice",
    ),
    (
        "header list twice",
        lambda raw: raw["header_lists"].append(raw["header_lists"][0]),
        "header_lists/1",
        "“hand” stands in this list twice",
    ),
    (
        "header word twice",
        lambda raw: raw["header_lists"][0]["words"].append({"id": "right", "name": "R"}),
        "header_lists/0/words/1",
        "“right” stands",
    ),
    (
        "density value twice",
        lambda raw: raw["density"]["values"].append({"id": "1", "name": "hard"}),
        "density/values/1",
        "“1” stands",
    ),
]


@pytest.mark.parametrize(
    ("change", "place", "what"), [row[1:] for row in BROKEN], ids=[row[0] for row in BROKEN]
)
def test_a_broken_guide_names_the_place_and_the_fault(change: Change, place: str, what: str):
    (only,) = found(change)
    assert only[0] == place
    assert what in only[1]


def test_steps_that_are_parts_of_each_other_are_both_named():
    places = [place for place, _ in found(lambda raw: raw["steps"][1].update(parent="throw"))]
    assert places == ["steps/1/parent", "steps/2/parent"]


def test_a_drill_of_another_guide_is_not_looked_for_here():
    assert found(lambda raw: raw["tasks"][0].update(drills=["x"], drill_guide="practice")) == []


def test_words_of_a_newer_minor_version_are_not_judged():
    def newer(raw: dict[str, Any]) -> None:
        raw["version"] = "1.1"
        raw["events"][0]["event_class"] = "near-miss"

    assert found(newer) == []


def test_ids_of_a_newer_minor_version_still_have_to_exist():
    def newer(raw: dict[str, Any]) -> None:
        raw["version"] = "1.1"
        raw["steps"][2]["parent"] = "x"

    assert [place for place, _ in found(newer)] == ["steps/2/parent"]


def test_an_empty_sequence_is_an_empty_row():
    assert parse_sequence("") == parse_sequence("  ") == Row(())


def test_one_step_is_that_step():
    assert parse_sequence("groove") == One("groove")
    assert parse_sequence("((groove))") == One("groove")


def test_a_comma_follows_and_a_bar_chooses_and_the_bar_binds_weakest():
    a, b, c = One("a"), One("b"), One("c")
    assert parse_sequence("a, b | c") == Either((Row((a, b)), c))
    assert parse_sequence("a, (b | c)") == Row((a, Either((b, c))))


def test_marks_stand_behind_a_step_or_a_bracket():
    tree = parse_sequence("clear?, (hold, chop?)*")
    assert tree == Row((Maybe(One("clear")), Repeated(Row((One("hold"), Maybe(One("chop")))))))


def test_spaces_do_not_matter():
    assert parse_sequence("a,(b|c)*,d?") == parse_sequence(" a , ( b | c ) * , d ? ")


def test_the_steps_of_a_sequence_keep_their_order_and_their_repeats():
    assert steps_of_sequence(parse_sequence("a, (b, a)*, c?")) == ("a", "b", "a", "c")
    assert steps_of_sequence(Row(())) == ()


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("(a", "not closed"),
        ("a)", "“)” does not fit at place 2"),
        ("a b", "“b” does not fit at place 2"),
        ("a,", "missing before “the end”"),
        (", a", "missing before “,”"),
        ("a | | b", "missing before “|”"),
        ("()", "missing before “)”"),
        ("*", "missing before “*”"),
        ("a**", "“*” does not fit"),
        ("a; b", "cannot be read"),
        ("Groove", "cannot be read"),
        ("a-", "cannot be read"),
        ("(" * 500 + "a" + ")" * 500, "nested deeper than 20"),
    ],
)
def test_an_unreadable_sequence_says_where(text: str, fault: str):
    with pytest.raises(ValueError, match=re.escape(fault)):
        parse_sequence(text)
