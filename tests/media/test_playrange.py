"""What may be shown and what is played, on frames of 40 thousandths, by hand."""

import pytest

from aftercase.media.frameclock import FrameClock
from aftercase.media.playrange import PlayRange, Stretch

FRAMES = FrameClock.without_film(400_000)


def test_without_bounds_all_is_shown_and_played():
    whole = PlayRange(FRAMES)
    assert whole.bounds_us == whole.played_us == (0, 400_000)
    assert (whole.first_us, whole.last_us) == (0, 360_000)


@pytest.mark.parametrize(
    ("bounds", "within"),
    [
        ((80_000, 200_000), (80_000, 200_000)),
        ((-50, 900_000), (0, 400_000)),
        ((500_000, 900_000), (399_999, 400_000)),  # a case's window past a film that was cut
        ((90_000, 90_000), (90_000, 90_001)),
    ],
)
def test_bounds_are_within_the_film_and_never_empty(bounds, within):
    assert PlayRange(FRAMES, bounds).bounds_us == within


def test_nothing_outside_the_bounds_can_be_gone_to():
    span = PlayRange(FRAMES, (90_000, 200_000))
    assert [span.bounded(us) for us in (0, 85_000, 120_000, 199_999, 200_000, 390_000)] == [
        80_000, 80_000, 120_000, 160_000, 160_000, 160_000
    ]  # fmt: skip


def test_a_stretch_is_cut_to_the_bounds():
    span = PlayRange(FRAMES, (80_000, 200_000), Stretch(0, 130_000, again=True))
    assert span.played_us == (80_000, 130_000)
    assert span.last_us == 120_000
    outside = PlayRange(FRAMES, (80_000, 200_000), Stretch(240_000, 280_000, again=True))
    assert outside.played_us[0] >= outside.played_us[1]


def test_the_frame_a_stretch_begins_in_is_played_whole():
    span = PlayRange(FRAMES, None, Stretch(90_000, 130_000, again=True))
    assert [span.is_played(us) for us in (79_999, 80_000, 129_999, 130_000)] == [
        False, True, True, False
    ]  # fmt: skip


def test_playing_from_the_end_begins_at_the_other():
    span = PlayRange(FRAMES, (80_000, 200_000))
    forward = [span.played_from(at_us, 1.0) for at_us in (80_000, 120_000, 160_000)]
    backward = [span.played_from(at_us, -1.0) for at_us in (80_000, 120_000, 160_000)]
    assert forward == [80_000, 120_000, 80_000]
    assert backward == [160_000, 120_000, 160_000]
