"""Facts of films, against how they were made."""

from fractions import Fraction

import pytest

from aftercase.media.facts import describe


@pytest.mark.parametrize(
    ("name", "n_frames", "rate", "constant"),
    [
        ("25_closed", 100, 25, True),
        ("2997_long_groups", 150, 30000 / 1001, True),
        ("5994", 120, 60000 / 1001, True),
        ("variable_60_then_15", 90, None, False),
        ("variable_drops", 90, None, False),
        ("one_frame", 1, None, True),
    ],
)
def test_frames_and_rate_are_measured(made, name, n_frames, rate, constant):
    facts = describe(made(name).path)
    assert facts.n_frames == n_frames
    assert facts.constant_rate is constant
    if rate is not None:
        assert facts.frames_per_second == pytest.approx(rate, rel=1e-9)


def test_a_variable_rate_is_the_mean_over_the_film(made):
    # By hand: 45 steps of 1/60 s and 44 of 4/60 s hold 89 steps.
    facts = describe(made("variable_60_then_15").path)
    assert facts.frames_per_second == pytest.approx(89 / (45 / 60 + 44 * 4 / 60))


def test_one_frame_has_no_rate(made):
    assert describe(made("one_frame").path).frames_per_second is None


def test_rounded_stamps_are_not_called_variable(made):
    facts = describe(made("ms_rounding").path)
    assert facts.constant_rate
    assert (facts.container, facts.codec) == ("Matroska", "h264")


def test_container_codec_size_sound_and_first_stamp(made):
    facts = describe(made("25_closed").path)
    assert (facts.container, facts.codec, facts.has_sound) == ("MP4", "h264", False)
    assert (facts.width_px, facts.height_px) == (256, 144)
    assert facts.duration_us == 4_000_000
    assert facts.longest_group == 12
    assert describe(made("sound_longer").path).has_sound
    late = describe(made("ts_late").path)
    assert late.first_pts * late.time_base >= 3600
    assert late.container == "MPEG transport stream"


def test_a_length_is_the_pictures_and_not_the_sounds(made):
    assert describe(made("sound_longer").path).duration_us == 2_000_000


def test_a_restarted_clock_and_missing_stamps_are_said(made):
    assert describe(made("ts_clock_restarts").path).n_segments == 2
    assert not describe(made("bare_stream").path).stamped


def test_shape_on_the_screen(made, tmp_path, run_ffmpeg):
    film, turned = tmp_path / "wide.mp4", tmp_path / "turned.mp4"
    run_ffmpeg("-i", made("25_closed").path, "-vf", "setsar=16/11", "-frames:v", "2", film)
    run_ffmpeg("-i", film, "-c", "copy", "-metadata:s:v", "rotate=90", turned)
    facts = describe(turned)
    assert facts.pixel_aspect == Fraction(16, 11)
    assert facts.turn_deg in (90, 270)
    assert (facts.display_width_px, facts.display_height_px) == (144, 372)
