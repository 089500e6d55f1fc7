"""Places are set, moved and taken back: what is kept of it, and what is refused."""

from __future__ import annotations

import pytest

from aftercase.model.measure import BASES, MEASURE_KINDS, Calibration, Measure
from aftercase.model.measure_rules import points_wanted
from aftercase.model.picture import PicturePoint
from aftercase.session.actions.table import ACTIONS
from aftercase.session.pointing import (
    SETS,
    TOOLS,
    Pointing,
    into,
    pointing_of,
    why_no_point,
    with_moved,
    with_point,
    without_last,
)

FRAME_US = 40_000
LEFT_ALONE = set("jklio")
"""Keys by which films are commonly shuttled and cut."""


def at(x, y, frame=0, part=0):
    return PicturePoint(x=x, y=y, part=part, at_us=frame * FRAME_US)


def pointed(word, *places):
    pointing = Pointing(TOOLS[word])
    for place in places:
        assert not why_no_point(pointing, place)
        pointing = with_point(pointing, place)
    return pointing


def test_there_is_a_tool_for_every_ruler_and_every_measure_each_with_a_key_of_its_own():
    assert set(TOOLS) == {*BASES, *MEASURE_KINDS}
    keys = [tool.key for tool in TOOLS.values()]
    assert len(set(keys)) == len(keys)
    assert not LEFT_ALONE & set(keys)


def test_nothing_pointed_at_belongs_to_no_frame_and_is_not_whole():
    pointing = pointed("length")
    assert (pointing.at_us, pointing.is_whole, pointing.is_full) == (None, False, False)
    assert pointing.is_on(0)
    assert without_last(pointing) == pointing


def test_the_first_place_binds_it_to_its_frame():
    pointing = pointed("length", at(0.1, 0.2, 7))
    assert (pointing.at_us, pointing.points) == (7 * FRAME_US, ((0.1, 0.2),))
    assert "0:00:00.280" in why_no_point(pointing, at(0.3, 0.2, 8))
    assert why_no_point(pointing, at(0.3, 0.2, 7, part=1))


def test_a_length_has_two_places_and_a_third_is_refused():
    pointing = pointed("length", at(0.1, 0.2), at(0.3, 0.2))
    assert pointing.is_whole
    assert pointing.is_full
    assert "all its places" in why_no_point(pointing, at(0.5, 0.2))


@pytest.mark.parametrize("word", TOOLS)
def test_it_is_whole_with_as_many_places_as_the_format_wants(word):
    least, _ = points_wanted(word)
    frames = range(least) if word == "tip-path" else [0] * least
    places = [at(0.1 * (n + 1), 0.2 + 0.1 * (n % 2), frame) for n, frame in enumerate(frames)]
    assert not pointed(word, *places[:-1]).is_whole
    assert pointed(word, *places).is_whole


def test_the_last_place_is_taken_back_and_the_last_of_all_frees_the_frame():
    pointing = pointed("ring", at(0.1, 0.1, 3), at(0.2, 0.1, 3))
    once = without_last(pointing)
    assert once.points == ((0.1, 0.1),)
    assert without_last(once).at_us is None


def test_a_place_is_moved_and_the_others_stay():
    pointing = pointed("path", at(0.1, 0.1), at(0.2, 0.1), at(0.3, 0.1))
    assert with_moved(pointing, 1, (0.2, 0.5)).points == ((0.1, 0.1), (0.2, 0.5), (0.3, 0.1))


def test_a_tip_is_set_once_a_frame_in_the_order_of_the_film_and_anew_on_the_same_frame():
    pointing = pointed("tip-path", at(0.2, 0.2, 5), at(0.4, 0.2, 9), at(0.3, 0.2, 7))
    assert pointing.times_us == (5 * FRAME_US, 7 * FRAME_US, 9 * FRAME_US)
    assert [x for x, _ in pointing.points] == [0.2, 0.3, 0.4]
    again = with_point(pointing, at(0.35, 0.2, 7))
    assert [x for x, _ in again.points] == [0.2, 0.35, 0.4]
    earlier = with_point(again, at(0.1, 0.2, 2))
    assert earlier.at_us == 2 * FRAME_US
    assert earlier.shown_on(7 * FRAME_US) == ((2, (0.35, 0.2)),)


def test_a_tip_stays_in_its_part():
    assert why_no_point(pointed("tip-path", at(0.2, 0.2)), at(0.2, 0.2, 3, part=1))


def test_a_capsulorhexis_takes_what_it_is_measured_against_after_its_edge():
    edge = [at(0.4, 0.4), at(0.6, 0.4), at(0.5, 0.6)]
    pointing = into(pointed("capsulorhexis", *edge), "limbus")
    pointing = with_point(pointing, at(0.5, 0.5))
    assert (pointing.around, pointing.around_what) == (((0.5, 0.5),), "limbus")
    as_pupil = into(pointing, "pupil")
    assert (as_pupil.around, as_pupil.around_what) == ((), "pupil")
    optic = with_point(into(as_pupil, "optic-edge"), at(0.3, 0.3))
    assert (optic.optic, len(optic.points)) == (((0.3, 0.3),), 3)


def test_every_set_belongs_to_a_field_of_the_format():
    for word, choices in SETS.items():
        for one, _ in choices:
            assert Pointing(TOOLS[word], into=one).field in Measure.model_fields


def test_a_kept_one_is_taken_up_as_it_was():
    measure = Measure(
        id="m" * 26, kind="tip-path", at_us=40_000, points=((0.1, 0.1), (0.2, 0.2)),
        times_us=(40_000, 80_000), plane="behind-cornea", threshold_mm_s=2.0, note="left hand",
    )  # fmt: skip
    taken = pointing_of(measure)
    assert (taken.record_id, taken.at_us, taken.times_us) == ("m" * 26, 40_000, (40_000, 80_000))
    assert (taken.ruler, taken.plane, taken.threshold_mm_s) == (None, "behind-cornea", 2.0)
    ruler = Calibration(
        id="c" * 26, start_us=0, end_us=80_000, basis="optic", at_us=0,
        points=((0.1, 0.1), (0.2, 0.2)), size_mm=5.5, size_from="maker",
    )  # fmt: skip
    assert (pointing_of(ruler).size_mm, pointing_of(ruler).size_from) == (5.5, "maker")


def test_a_kind_of_a_later_version_can_be_looked_at():
    measure = Measure(id="m" * 26, kind="spiral", at_us=0, points=((0.1, 0.1),))
    assert pointing_of(measure).tool.label == "spiral"


def test_measuring_has_a_key_that_shuttles_no_film():
    keys = {action.id: action.keys for action in ACTIONS}
    assert keys["measure"] == ("M",)
    assert keys["eye-lies"] == ("V",)
