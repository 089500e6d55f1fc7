"""Damaged films: what is lost is told with its place, what is beside it is right."""

from itertools import pairwise

import pytest

from aftercase.media.losses import Loss, losses_of
from aftercase.media.recording import open_recording
from aftercase.media.watch import Watch, WorkCancelled

FRAME_US = 40_000


@pytest.mark.parametrize(
    "name", ["25_closed", "open_group_h264", "ts_clock_restarts", "ts_no_key_at_start", "one_frame"]
)
def test_a_whole_film_has_no_losses(made, name):
    assert losses_of(made(name).path) == []


def test_overwritten_data_hurts_no_more_than_its_group(made):
    losses = losses_of(made("damaged_middle").path)
    # By hand: groups have 12 pictures of 40 ms, and the damage lies between 45 % and 50 % of the
    # bytes of 80 pictures, in the fourth group, which is shown from 1.44 s to 1.92 s.
    assert losses[0].start_us >= 1_440_000
    assert losses[-1].end_us == 1_920_000
    assert any(loss.lost for loss in losses)
    assert sum(loss.n_frames for loss in losses) <= 12
    assert all(before.end_us <= after.start_us for before, after in pairwise(losses))
    assert all(loss.end_us - loss.start_us == loss.n_frames * FRAME_US for loss in losses)


def test_missing_data_of_a_stream_are_told_though_every_picture_decodes(made):
    losses = losses_of(made("ts_hole").path)
    assert losses
    assert not any(loss.lost for loss in losses)


@pytest.mark.parametrize("name", ["faststart_cut", "fragmented_cut", "avi_without_index"])
def test_a_cut_film_loses_its_last_picture_only(made, name):
    path = made(name).path
    with open_recording([path]) as recording:
        last = recording.last_frame()
    assert losses_of(path) == [Loss(last.start_us, last.end_us, 1, lost=True)]


def test_a_recording_tells_the_losses_met_so_far(made):
    path = made("damaged_middle").path
    with open_recording([path]) as recording:
        recording.picture_at(0)
        assert recording.losses(0) == []
        pictures = list(recording.pictures_in(0, recording.end_us))
        assert recording.losses(0) == losses_of(path)
        told = {loss.start_us for loss in recording.losses(0)}
    suffered = [p.times.start_us for p in pictures if p.damaged or p.doubtful]
    assert told <= set(suffered)
    assert len(suffered) == sum(loss.n_frames for loss in losses_of(path))


def test_a_picture_reached_by_a_jump_is_as_doubtful_as_in_order(made):
    path = made("damaged_middle").path
    with open_recording([path]) as recording:
        in_order = {p.times.start_us: p.doubtful for p in recording.pictures_in(0, 3_200_000)}
    for start in list(in_order)[30:52:3]:
        with open_recording([path]) as recording:
            assert recording.picture_at(start).doubtful == in_order[start]


def test_looking_for_losses_can_be_stopped(made):
    with pytest.raises(WorkCancelled):
        losses_of(made("25_closed").path, watch=Watch(cancelled=lambda: True))


def test_looking_for_losses_tells_how_far_it_is(made):
    told = []
    losses_of(made("25_closed").path, watch=Watch(lambda done, total: told.append((done, total))))
    assert told[-1] == (100, 100)


@pytest.mark.parametrize("name", ["turned_90", "turned_180", "turned_270", "mirrored"])
def test_the_stand_in_of_a_lost_picture_is_turned_like_the_others(made, run_ffmpeg, tmp_path, name):
    whole, cut = tmp_path / "whole.mp4", tmp_path / "cut.mp4"
    run_ffmpeg("-i", made(name).path, "-c", "copy", "-movflags", "+faststart", whole)
    cut.write_bytes(whole.read_bytes()[: whole.stat().st_size * 6 // 10])
    with open_recording([cut]) as recording:
        last = recording.picture_at(recording.end_us - 1)
        first = recording.picture_at(0)
    assert last.damaged
    assert not first.damaged
    turned = (first.pixels.turn_deg, first.pixels.mirrored)
    assert turned != (0, False)
    assert (last.pixels.turn_deg, last.pixels.mirrored) == turned
