"""The table of actions; menus, keys, help and docs come from it."""

import re
from pathlib import Path

from aftercase.session.actions.sheet import keys_page
from aftercase.session.actions.table import ACTIONS, SIGNS, Clash, clashes, keys_of, signs_for

# Keys by which films are commonly shuttled and cut; ours are our own.
SHUTTLE_AND_CUT = {"J", "K", "L", "I", "O"}


def test_no_word_stands_for_two_actions() -> None:
    ids = [action.id for action in ACTIONS]
    assert len(set(ids)) == len(ids)
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", one) for one in ids)


def test_no_key_does_two_things_in_one_room() -> None:
    assert clashes({}) == ()


def test_a_chosen_key_that_is_taken_is_named_with_whom_it_belongs_to() -> None:
    assert clashes({"takeover": "0"}) == (Clash("0", "pause", "takeover"),)


def test_the_same_key_may_serve_two_rooms() -> None:
    by_id = {action.id: action for action in ACTIONS}
    assert by_id["step"].keys == by_id["only-step"].keys == ("S",)


def test_an_empty_choice_takes_the_key_away() -> None:
    undo = next(action for action in ACTIONS if action.id == "undo")
    assert keys_of(undo, {"undo": ""}) == ()
    assert keys_of(undo, {"undo": "F9"}) == ("F9",)
    assert keys_of(undo, {}) == ("U", "Ctrl+Z")


def test_every_action_says_what_it_does_in_a_sentence() -> None:
    for action in ACTIONS:
        assert action.label[0].isupper(), action.id
        assert action.help.endswith("."), action.id
        assert action.rooms, action.id


def test_the_three_keys_to_learn_are_one_key_each() -> None:
    by_id = {action.id: action for action in ACTIONS}
    for one in ("next-step", "pause", "takeover", "undo"):
        assert "+" not in by_id[one].keys[0]


def test_nothing_is_shuttled_or_cut_by_single_letters() -> None:
    assert not {key for action in ACTIONS for key in action.keys} & SHUTTLE_AND_CUT


def test_second_keys_follow_the_guide_and_never_repeat() -> None:
    signs = signs_for(tuple(f"step-{n}" for n in range(70)))
    assert list(signs.values()) == list(SIGNS)
    assert signs["step-0"] == "a"
    assert "step-69" not in signs


def test_the_page_of_keys_is_what_the_table_says() -> None:
    page = Path(__file__).parents[3] / "docs" / "teach" / "keys.md"
    assert page.read_text(encoding="utf-8") == keys_page()
