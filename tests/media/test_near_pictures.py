"""What is shown while the frame itself is on its way, and what is decoded ahead of need.

On every kind of film a near picture says its own number, which must be the one that the
independent list has for the time the picture gives.
"""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from aftercase.errors import RecordingMissing
from aftercase.media.recording import open_recording
from aftercase.media.watch import Watch, WorkCancelled

N_SEEKS = 25


def stopping_after(n):
    """A watch that stops the work after so many frames."""
    left = iter(range(n))
    return Watch(cancelled=lambda: next(left, None) is None)


@pytest.fixture
def numbers_at(film, truth_of):
    truth = truth_of(film)
    pairs = zip(truth.starts_us, truth.numbers, strict=True)
    return {start: number for start, number in pairs if number is not None}


def test_a_near_picture_is_what_it_says_it_is(film, numbers_at, read_number):
    chance = random.Random(30)
    starts = list(numbers_at)
    with open_recording([film.path]) as recording:
        for _ in range(N_SEEKS):
            us = chance.choice(starts)
            near = recording.picture_at(us, near_will_do=True)
            if not (near.damaged or near.doubtful):
                assert read_number(near) == numbers_at.get(near.times.start_us)
            assert near.nearby == (near.times.start_us != us)
            exact = recording.picture_at(us)
            assert exact.times.start_us == us
            assert not exact.nearby
            assert read_number(exact) == numbers_at[us]


@pytest.fixture
def long_groups(made):
    """150 frames at 29.97 a second, keys at 0 and 90."""
    with open_recording([made("2997_long_groups").path]) as recording:
        yield recording


def starts_of(recording):
    return recording.starts_us().tolist()


def n_decoded(recording, monkeypatch):
    """Count the frames that come out of the decoder from now on."""
    [part] = recording._parts
    count = []
    decode = part.decoder._film.decode

    def counted(packet, number, **how):
        frames = decode(packet, number, **how)
        count.extend(frames)
        return frames

    monkeypatch.setattr(part.decoder._film, "decode", counted)
    return count


@pytest.mark.parametrize(("row", "key"), [(30, 0), (44, 0), (46, 90), (80, 90), (120, 90)])
def test_it_is_the_nearest_key_be_it_before_or_after(long_groups, read_number, row, key):
    near = long_groups.picture_at(starts_of(long_groups)[row], near_will_do=True)
    assert (read_number(near), near.nearby) == (key, True)


def test_a_key_itself_is_exact_at_once(long_groups, read_number):
    near = long_groups.picture_at(starts_of(long_groups)[90], near_will_do=True)
    assert (read_number(near), near.nearby) == (90, False)


def test_a_frame_a_few_on_from_the_last_is_decoded_rather(long_groups, read_number):
    starts = starts_of(long_groups)
    long_groups.picture_at(starts[30])
    near = long_groups.picture_at(starts[34], near_will_do=True)
    assert (read_number(near), near.nearby) == (34, False)


def test_what_is_kept_is_shown_rather(long_groups, read_number):
    starts = starts_of(long_groups)
    long_groups.picture_at(starts[60])
    long_groups.picture_at(starts[120])
    near = long_groups.picture_at(starts[60], near_will_do=True)
    assert (read_number(near), near.nearby) == (60, False)


def test_a_near_picture_is_never_given_for_the_frame_itself(long_groups, read_number):
    starts = starts_of(long_groups)
    for row in (40, 41, 130, 131):
        long_groups.picture_at(starts[row], near_will_do=True)
        assert read_number(long_groups.picture_at(starts[row])) == row


def test_the_same_key_is_decoded_once_while_a_hand_drags(long_groups, monkeypatch):
    starts = starts_of(long_groups)
    entered = []
    film = long_groups._parts[0].decoder._film
    enter = film.enter
    monkeypatch.setattr(film, "enter", lambda entry: entered.append(entry) or enter(entry))
    for row in (110, 115, 120, 125):
        assert long_groups.picture_at(starts[row], near_will_do=True).nearby
    assert len(entered) == 1
    assert not long_groups.picture_at(starts[30], near_will_do=True).times.start_us
    assert len(entered) == 2


def test_steps_to_prepared_frames_decode_nothing(long_groups, monkeypatch, read_number):
    starts = starts_of(long_groups)
    long_groups.picture_at(starts[100])
    assert long_groups.prepare(starts[100], n_behind=16, n_ahead=4) == 20
    decoded = n_decoded(long_groups, monkeypatch)
    for row in [*range(100, 83, -1), *range(84, 105)]:
        assert read_number(long_groups.picture_at(starts[row])) == row
    assert decoded == []


def test_going_back_frame_by_frame_decodes_each_group_once(long_groups, monkeypatch, read_number):
    """As a hand that holds the key down: one step, then what is prepared meanwhile."""
    starts = starts_of(long_groups)
    long_groups.picture_at(starts[140])
    decoded = n_decoded(long_groups, monkeypatch)
    for row in range(139, -1, -1):
        assert read_number(long_groups.picture_at(starts[row])) == row
        long_groups.prepare(starts[row], n_behind=16, n_ahead=0)
    assert len(decoded) < 3 * 150


def test_prepared_frames_are_cut_to_what_is_there_and_what_there_is_room_for(
    long_groups, monkeypatch
):
    starts = starts_of(long_groups)
    assert long_groups.prepare(starts[2], n_behind=16, n_ahead=0) == 2
    assert long_groups.prepare(starts[-1], n_behind=0, n_ahead=4) == 0
    picture_bytes = len(long_groups.picture_at(0).pixels.rgb)
    monkeypatch.setattr(long_groups._pictures[0]._cache, "_limit_bytes", 8 * picture_bytes)
    assert long_groups.prepare(starts[60], n_behind=16, n_ahead=4) == 4 + 2


def test_decoding_stops_midway_and_goes_on_from_there(long_groups, monkeypatch, read_number):
    us = starts_of(long_groups)[80]
    decoded = n_decoded(long_groups, monkeypatch)
    with pytest.raises(WorkCancelled):
        long_groups.picture_at(us, watch=stopping_after(40))
    before = len(decoded)
    assert 40 <= before < 60
    assert read_number(long_groups.picture_at(us)) == 80
    assert len(decoded) < 100, "it was not begun anew"


def test_a_range_and_preparing_stop_midway_too(long_groups, read_number):
    starts = starts_of(long_groups)
    with pytest.raises(WorkCancelled):
        list(long_groups.pictures_in(starts[80], starts[90], watch=stopping_after(40)))
    with pytest.raises(WorkCancelled):
        long_groups.prepare(starts[80], n_behind=16, n_ahead=0, watch=stopping_after(5))
    assert read_number(long_groups.picture_at(starts[79])) == 79


def test_every_second_frame_of_a_range_is_sent_and_all_are_decoded(long_groups, read_number):
    starts = starts_of(long_groups)
    thinned = long_groups.pictures_in(starts[10], starts[20], every=3)
    assert [read_number(picture) for picture in thinned] == [10, 13, 16, 19]


def test_neighbours_reach_into_the_parts_beside(made, read_number):
    path = made("25_closed").path
    with open_recording([path, path]) as recording:
        joint_us = recording.facts[1].start_us
        recording.picture_at(joint_us)
        assert recording.prepare(joint_us, n_behind=3, n_ahead=0) == 3
        assert recording.prepare(joint_us - 1, n_behind=0, n_ahead=2) == 2
        kept = recording._pictures[0]
        assert all(kept.is_kept(row, None) for row in (97, 98, 99))
        assert not kept.is_kept(0, None), "a block before the joint is kept, not the whole part"


def test_beside_a_missing_part_there_is_nothing_to_prepare(made, tmp_path):
    path = made("25_closed").path
    with open_recording([path, path]) as whole:
        stored = [replace(whole.facts[0], path=str(tmp_path / "gone.mp4")), whole.facts[1]]
    with open_recording([stored[0].path, path], stored=stored) as recording:
        joint_us = recording.facts[1].start_us
        assert recording.prepare(joint_us, n_behind=16, n_ahead=1) == 1
        for ask in (
            lambda: recording.prepare(0, n_behind=1, n_ahead=1),
            lambda: recording.picture_at(0, near_will_do=True),
        ):
            with pytest.raises(RecordingMissing):
                ask()
