"""The player with a made-up source and a clock that is moved by hand."""

from __future__ import annotations

import itertools
import random

import pytest
from made_source import MISSING, MadeSource, number_in

from aftercase.errors import RecordingMissing, RecordingUnreadable
from aftercase.media.pictureworker import PictureWorker
from aftercase.media.playback import BEHIND_US, Player
from aftercase.media.playstates import NEXT_STATE
from aftercase.media.source import OpenRecording, PictureAt, PicturesIn, Prepare

FRAME_US = 40_000
TICK_S = 0.004
AT_60 = [k * 1_000_000 // 60 for k in range(600)]


class NotedSound:
    """Notes what it is told."""

    def __init__(self):
        self.told = []
        self.volume = 0.0

    def open(self, parts):
        self.told.append(("open", len(parts)))

    def play(self, at_us, rate, clock):
        self.told.append(("play", at_us, rate))

    def rest(self):
        if self.told and self.told[-1] != ("rest",):
            self.told.append(("rest",))

    def set_volume(self, volume):
        self.volume = volume

    def close(self):
        self.told.append(("close",))


class Bench:
    """A player, its source and its time; `seen` is what a screen showed, tick by tick."""

    def __init__(self, source=None, **options):
        self.source = source or MadeSource()
        self.now_s = 100.0
        self.sound = NotedSound()
        self.worker = PictureWorker(self._made, threaded=False, **options)
        self.player = Player(self.worker, sound=self.sound, now=lambda: self.now_s)
        self.seen = []

    def _made(self, progress):
        self.source._progress = progress
        return self.source

    def open(self, *paths, bounds=None):
        if bounds is not None:
            self.player.set_bounds(*bounds)
        self.player.open(OpenRecording(1, paths or ("film.mp4",)))
        self.settle()
        return self.player

    def settle(self):
        """Let the worker do all it can and the player take it; no time passes."""
        for _ in range(3):
            self.work()
            self.look()

    def work(self):
        """Let the worker find all that there is room for, each thing seen as it comes."""
        while self.worker.work():
            self.look()

    def look(self):
        if self.player.tick() and self.player.shown is not None:
            self.seen.append(self.player.shown)

    def let_pass(self, seconds, *, decoding=True):
        """Let time pass tick by tick, with or without the worker at work."""
        self.seen = []
        for _ in range(round(seconds / TICK_S)):
            if decoding:
                self.work()
            self.look()
            self.now_s += TICK_S
        self.look()
        return self.seen

    def numbers(self):
        return [number for number, _ in itertools.groupby(number_in(one) for one in self.seen)]


@pytest.fixture
def bench():
    made = Bench()
    made.open()
    return made


@pytest.fixture
def player(bench):
    return bench.player


# Opening ----------------------------------------------------------------------------------


def test_with_nothing_open_every_order_is_without_effect():
    player = Bench().player
    player.play(1.0)
    player.step(1)
    player.go_to(80_000)
    player.jump(5)
    player.loop(0, 80_000)
    player.play_span(0, 80_000)
    player.rest()
    player.toggle()
    player.stop_loop()
    player.set_size(640, 360)
    player.want_full(True)
    player.tick()
    assert (player.state, player.shown, player.frames, player.is_exact) == (
        "empty", None, None, False
    )  # fmt: skip


def test_opening_shows_the_first_frame_at_rest(bench, player):
    assert (player.state, player.at_us, player.is_exact) == ("resting", 0, True)
    assert number_in(player.shown) == 0
    assert len(player.frames) == 250
    assert player.opening_share == 1.0
    assert bench.sound.told == [("open", 1)]


def test_until_it_is_open_it_is_opening():
    bench = Bench()
    bench.player.open(OpenRecording(1, ("film.mp4",)))
    assert bench.player.tick()
    assert bench.player.state == "opening"
    bench.player.play()
    bench.player.go_to(80_000)
    bench.settle()
    assert bench.player.state == "resting"


def test_a_film_that_is_not_there_is_told_and_another_can_be_opened():
    bench = Bench()
    player = bench.open(MISSING)
    assert player.state == "failed"
    assert isinstance(player.fault, RecordingMissing)
    assert (player.fault.hint, player.fault.path) == ("Look.", MISSING)
    bench.open("film.mp4")
    assert (player.state, player.fault, player.is_exact) == ("resting", None, True)


def test_another_recording_forgets_the_one_before(bench, player):
    player.go_to(4_000_000)
    player.open(OpenRecording(2, ("other.mp4",)))
    assert (player.shown, player.frames, player.at_us) == (None, None, 0)
    bench.settle()
    assert (player.state, number_in(player.shown)) == ("resting", 0)


def test_emptied_it_shows_nothing(bench, player):
    player.play(1.0)
    bench.let_pass(0.2)
    player.empty()
    bench.let_pass(0.2)
    assert (player.state, player.shown, player.frames) == ("empty", None, None)


def test_every_state_and_happening_of_the_table_is_one():
    states = {"empty", "opening", "resting", "playing", "failed"}
    assert {before for before, _ in NEXT_STATE} | set(NEXT_STATE.values()) == states


# Playing ----------------------------------------------------------------------------------


def test_every_frame_is_shown_once_at_its_own_time(bench, player):
    begun_s = bench.now_s
    player.play(1.0)
    for _ in range(1000):
        bench.work()
        player.tick()
        late_us = (bench.now_s - begun_s) * 1_000_000 - player.at_us
        assert 0 <= late_us < FRAME_US + 1_000_000 * TICK_S
        assert number_in(player.shown) * FRAME_US == player.at_us
        bench.look()
        bench.now_s += TICK_S
    assert player.n_late == 0


def test_at_a_quarter_of_the_speed_each_frame_stays_four_times_as_long(bench, player):
    player.play(0.25)
    bench.let_pass(1.6 - TICK_S)
    assert bench.numbers() == list(range(10))


def test_at_twice_the_speed_of_sixty_every_second_frame_is_shown(bench):
    bench = Bench(MadeSource(starts=AT_60))
    bench.open().play(2.0)
    bench.let_pass(2.0)
    assert bench.numbers() == list(range(0, 2 * len(bench.numbers()), 2))
    assert len(bench.numbers()) == pytest.approx(120, abs=1)


def test_the_clock_waits_for_the_first_picture(bench, player):
    player.play(1.0)
    bench.let_pass(3.0, decoding=False)
    assert player.at_us == 0
    bench.let_pass(0.2)
    assert bench.numbers() == list(range(6))


def test_resting_stays_on_the_frame_that_is_shown(bench, player):
    player.play(1.0)
    bench.let_pass(1.0)
    at_us = player.at_us
    player.toggle()
    bench.let_pass(0.5)
    assert (player.state, player.at_us, player.is_exact) == ("resting", at_us, True)
    player.toggle()
    bench.let_pass(0.1)
    assert player.state == "playing"
    assert bench.numbers()[0] == at_us // FRAME_US


def test_at_the_end_it_rests_on_the_last_frame_and_begins_anew(bench, player):
    player.go_to(9_800_000)
    bench.settle()
    player.play(1.0)
    bench.let_pass(0.5)
    assert bench.numbers() == [245, 246, 247, 248, 249]
    assert (player.state, player.at_us) == ("resting", 9_960_000)
    player.play()
    bench.let_pass(0.1)
    assert bench.numbers()[0] == 0


def test_a_frame_held_long_is_not_late(bench):
    held = Bench(MadeSource(starts=[0, 40_000, 6_000_000], end_us=6_040_000))
    player = held.open()
    player.play(1.0)
    held.let_pass(5.9)
    assert (held.numbers(), player.n_late) == ([0, 1], 0)
    held.let_pass(0.2)
    assert (player.state, player.at_us) == ("resting", 6_000_000)
    assert len(held.source.requests(PicturesIn)) == 1


def test_pictures_that_come_late_are_counted_and_caught_up_with():
    bench = Bench(queue_bytes=15)  # five pictures
    player = bench.open()
    player.play(1.0)
    bench.let_pass(0.1)
    bench.let_pass(0.4, decoding=False)
    assert player.n_late == 0, "what waited in the queue was in time"
    bench.let_pass(0.1)
    assert player.n_late == 3, "those shown until 0.36, 0.40 and 0.44 s, at 0.5 s"
    assert player.at_us == pytest.approx(600_000, abs=FRAME_US)
    assert len(bench.source.requests(PicturesIn)) == 1


def test_far_behind_it_goes_on_at_the_clock():
    bench = Bench(queue_bytes=1)
    player = bench.open()
    player.play(1.0)
    bench.let_pass(0.1)
    bench.let_pass(BEHIND_US / 1_000_000 + 0.5, decoding=False)
    bench.let_pass(0.1)
    assert player.at_us == pytest.approx(1_700_000, abs=2 * FRAME_US)
    assert len(bench.source.requests(PicturesIn)) == 2


def test_another_speed_goes_on_with_what_is_decoded(bench, player):
    player.play(1.0)
    bench.let_pass(1.0)
    at_us = player.at_us
    player.set_rate(0.5)
    bench.let_pass(1.0)
    assert len(bench.source.requests(PicturesIn)) == 1
    assert player.at_us == pytest.approx(at_us + 500_000, abs=FRAME_US)


def test_no_speed_is_no_order(bench, player):
    player.set_rate(0)
    player.play(0)
    assert player.rate == 1.0


def test_a_change_while_it_plays_keeps_the_place(bench, player):
    player.play(1.0)
    bench.let_pass(1.0)
    at_us = player.at_us
    player.set_size(640, 360)
    bench.let_pass(0.02)
    assert at_us <= player.at_us <= at_us + FRAME_US
    assert bench.source.requests(PicturesIn)[-1].max_side_px == 640


# Backwards and fast -----------------------------------------------------------------------


@pytest.mark.parametrize(("rate", "n_frames"), [(-1.0, 50), (-2.0, 100)])
def test_backwards_frames_fall_evenly_to_the_first(bench, player, rate, n_frames):
    player.go_to(n_frames * FRAME_US)
    bench.settle()
    player.play(rate)
    bench.let_pass(1.0)
    numbers = bench.numbers()
    steps = [before - after for before, after in itertools.pairwise(numbers)]
    assert set(steps) <= {1, 2}
    assert numbers[0] - numbers[-1] == pytest.approx(25 * -rate, abs=1)
    bench.let_pass(2.0)
    assert (player.state, player.at_us, player.is_exact) == ("resting", 0, True)
    assert not any(told[0] == "play" for told in bench.sound.told)


def test_backwards_asks_for_no_frame_twice_in_a_row(bench, player):
    player.go_to(2_000_000)
    bench.settle()
    bench.source.asked.clear()
    player.play(-0.25)
    bench.let_pass(1.6)
    asked = [request.us for request in bench.source.requests(PictureAt)]
    assert len(asked) == pytest.approx(11, abs=1)


def test_backwards_without_a_copy_the_frames_before_are_decoded_ahead(bench, player):
    player.go_to(2_000_000)
    bench.settle()
    bench.source.asked.clear()
    player.play(-1.0)
    bench.let_pass(0.4)
    assert {request.n_behind for request in bench.source.requests(Prepare)} == {16}


def test_at_four_times_the_copy_plays_and_at_rest_the_frame_itself_is_shown(bench, player):
    bench.source.copied = set(range(250))
    player.play(4.0)
    bench.let_pass(1.0)
    assert all(picture.from_copy for picture in bench.seen[1:])
    assert bench.numbers()[-1] == pytest.approx(100, abs=1)
    assert not player.is_exact
    player.rest()
    bench.settle()
    assert player.is_exact


def test_at_four_times_without_a_copy_frames_are_thinned_evenly(bench, player):
    player.play(4.0)
    bench.let_pass(1.0)
    numbers = bench.numbers()
    assert {b - a for a, b in itertools.pairwise(numbers)} == {2}
    assert numbers[-1] == pytest.approx(100, abs=2)


def test_a_copy_made_meanwhile_is_used_the_next_time(bench, player):
    player.play(4.0)
    bench.let_pass(0.2)
    player.rest()
    bench.settle()
    bench.source.copied = set(range(250))
    player.play(4.0)
    bench.let_pass(0.2)
    assert bench.seen[-1].from_copy


# Stretches and bounds ---------------------------------------------------------------------


def test_a_loop_is_played_again_and_again_with_its_lead_in(bench, player):
    player.loop(400_000, 600_000, 80_000)
    bench.let_pass(1.0)
    assert bench.numbers()[:14] == [*range(8, 15), *range(8, 15)]
    assert player.is_looping
    player.stop_loop()
    bench.let_pass(1.0)
    assert bench.numbers()[-1] > 15
    assert not player.is_looping


def test_a_loop_that_begins_within_a_frame_begins_with_that_frame(bench, player):
    player.loop(410_000, 490_000)
    bench.let_pass(0.3)
    assert bench.numbers()[:4] == [10, 11, 12, 10]


def test_a_loop_without_length_is_not_played(bench, player):
    player.loop(400_000, 400_000)
    assert (player.state, player.is_looping) == ("resting", False)


def test_a_span_is_played_once_and_rests_on_its_last_frame(bench, player):
    player.set_rate(-1.0)
    player.play_span(400_000, 600_000)
    bench.let_pass(0.5)
    assert bench.numbers() == list(range(10, 15))
    assert (player.state, player.at_us, player.is_looping) == ("resting", 560_000, False)


def test_leaving_a_loop_by_hand_ends_it(bench, player):
    player.loop(400_000, 600_000)
    bench.let_pass(0.1)
    player.go_to(480_000)
    assert player.is_looping
    player.go_to(2_000_000)
    bench.let_pass(0.1)
    assert not player.is_looping
    assert player.at_us >= 2_000_000


def test_nothing_outside_the_bounds_is_shown():
    bench = Bench()
    player = bench.open(bounds=(2_100_000, 2_500_000))
    assert player.bounds_us == (2_100_000, 2_500_000)
    assert number_in(player.shown) == 52
    for order in (
        lambda: player.go_to(0),
        lambda: player.go_to(9_000_000),
        lambda: player.step(-5),
        lambda: player.step(1000),
        lambda: player.jump(-5_000_000),
        lambda: player.play(1.0),
        lambda: player.play(-1.0),
        lambda: player.loop(0, 9_000_000, 5_000_000),
        lambda: player.play(4.0),
    ):
        order()
        bench.settle()
        bench.let_pass(1.0)
        assert all(52 <= number_in(picture) <= 62 for picture in bench.seen)
    assert player.shown is not None


def test_a_near_picture_outside_the_bounds_is_not_shown():
    """Frame 50 is the key; it is outside, and may be of another operation."""
    bench = Bench()
    player = bench.open(bounds=(2_100_000, 2_500_000))
    player.go_to(2_400_000)
    bench.settle()
    assert {number_in(picture) for picture in bench.seen} == {52, 60}


def test_bounds_set_later_hold_at_once(bench, player):
    player.set_bounds(2_000_000, 3_000_000)
    bench.settle()
    assert player.at_us == 2_000_000


# Going and stepping -----------------------------------------------------------------------


def test_going_shows_a_near_picture_and_then_the_frame_itself(bench, player):
    bench.seen = []
    player.go_to(2_410_000)
    assert (player.at_us, player.is_exact) == (2_400_000, False)
    bench.settle()
    assert [(number_in(p), p.nearby) for p in bench.seen] == [(50, True), (60, False)]
    asked = [request for request in bench.source.requests(PictureAt) if request.us == 2_400_000]
    assert [request.near_will_do for request in asked] == [True, False]
    assert player.is_exact


def test_the_near_picture_leaves_the_clock_on_the_wanted_frame(bench, player):
    player.go_to(2_400_000)
    bench.worker.work()
    player.tick()
    assert (number_in(player.shown), player.at_us, player.is_exact) == (50, 2_400_000, False)


def test_a_frame_at_hand_comes_at_once(bench, player):
    bench.source.at_hand = {60}
    bench.source.asked.clear()
    player.go_to(2_400_000)
    bench.settle()
    assert player.is_exact
    assert len(bench.source.requests(PictureAt)) == 1


def test_the_newest_wish_wins(bench, player):
    bench.source.asked.clear()
    for us in range(0, 4_000_000, 400_000):
        player.go_to(us, dragging=True)
    bench.settle()
    assert {request.us for request in bench.source.requests(PictureAt)} == {3_600_000}
    assert player.at_us == 3_600_000


def test_going_while_it_plays_plays_on_from_there(bench, player):
    player.play(1.0)
    bench.let_pass(0.3)
    player.go_to(2_400_000)
    bench.let_pass(0.2)
    assert bench.numbers()[:3] == [50, 60, 61], "the key first, then the frame itself"
    assert player.state == "playing"


def test_steps_go_frame_by_frame_and_stop_at_the_ends(bench, player):
    seen = []
    for n_frames in (1, 1, 5, -1, -100, -1, 1000, 1):
        player.step(n_frames)
        bench.settle()
        assert player.is_exact
        seen.append(number_in(player.shown))
    assert seen == [1, 2, 7, 6, 0, 0, 249, 249]


def test_a_step_while_it_plays_rests_first(bench, player):
    player.play(1.0)
    bench.let_pass(1.0)
    at_us = player.at_us
    player.step(1)
    bench.let_pass(0.3)
    assert (player.state, player.at_us) == ("resting", at_us + FRAME_US)


def test_frames_beside_the_shown_one_are_decoded_ahead(bench, player):
    def prepared(order):
        bench.source.asked.clear()
        order()
        bench.settle()
        [request] = bench.source.requests(Prepare)
        return request.us, request.n_behind, request.n_ahead

    assert prepared(lambda: player.go_to(2_000_000)) == (2_000_000, 8, 4)
    assert prepared(lambda: player.step(1)) == (2_040_000, 0, 4)
    assert prepared(lambda: player.step(-1)) == (2_000_000, 16, 0)


def test_pictures_are_asked_for_at_the_size_they_are_shown_at(bench, player):
    player.set_size(960, 700)
    bench.settle()
    player.want_full(True)
    bench.settle()
    player.set_size(960, 700)
    bench.settle()
    sides = [request.max_side_px for request in bench.source.requests(PictureAt)]
    assert sides == [None, 960, None]


# Faults -----------------------------------------------------------------------------------


def test_a_frame_that_cannot_be_read_is_told_and_one_can_go_elsewhere(bench, player):
    bench.source.failing = {60}
    player.go_to(2_400_000)
    bench.settle()
    assert isinstance(player.fault, RecordingUnreadable)
    assert (player.state, player.shown, player.at_us) == ("resting", None, 2_400_000)
    player.step(1)
    bench.settle()
    assert (player.fault, number_in(player.shown), player.is_exact) == (None, 61, True)


@pytest.mark.parametrize("rate", [1.0, -1.0])
def test_playing_into_one_rests_before_it(bench, player, rate):
    player.go_to(2_400_000)
    bench.settle()
    bench.source.failing = {65, 55}
    player.play(rate)
    bench.let_pass(1.0)
    assert player.state == "resting"
    assert player.fault is not None
    assert abs(player.at_us - 2_400_000) == 4 * FRAME_US


def test_a_fault_of_the_readers_own_is_raised_once_and_it_goes_on(bench, player):
    bench.source.breaking = {60}
    player.step(60)
    with pytest.raises(ValueError, match="made up"):
        bench.settle()
    assert (player.state, player.tick()) == ("resting", True)
    player.go_to(4_000_000)
    bench.settle()
    assert player.is_exact


# Sound ------------------------------------------------------------------------------------


def test_sound_is_played_from_the_first_shown_frame_and_rests_with_it(bench, player):
    player.set_volume(0.5)
    player.play(0.5)
    assert bench.sound.told[-1] == ("open", 1) or bench.sound.told[-1] == ("rest",)
    bench.let_pass(0.4)
    assert bench.sound.told[-1] == ("play", 0, 0.5)
    player.rest()
    assert bench.sound.told[-1] == ("rest",)
    player.close()
    assert bench.sound.told[-1] == ("close",)
    assert bench.sound.volume == 0.5
    assert bench.source.is_closed


# All of it at random ----------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(8))
def test_whatever_is_done_the_clock_tells_the_frame_on_the_screen(seed):
    """A thousand orders by chance, with a reader that is now quick and now slow."""
    chance = random.Random(seed)
    bench = Bench(queue_bytes=chance.choice([1, 15, 10_000]))
    bench.source.copied = set(range(100, 180))
    bench.source.failing = {33, 130}
    bounds = (800_000, 8_000_000)
    player = bench.open(bounds=bounds)
    orders = [
        lambda: player.play(chance.choice([0.25, 1, 2, 4, -1, -4])),
        player.rest,
        player.toggle,
        lambda: player.go_to(chance.randrange(-1, 11_000_000), dragging=chance.random() < 0.5),
        lambda: player.step(chance.randrange(-30, 30)),
        lambda: player.jump(chance.choice([-5, -1, 1, 5]) * 1_000_000),
        lambda: player.loop(*sorted(chance.choices(range(10_000_000), k=2)), 500_000),
        lambda: player.play_span(*sorted(chance.choices(range(10_000_000), k=2))),
        player.stop_loop,
        lambda: player.set_rate(chance.choice([0.5, 1, 3, -2])),
        lambda: player.set_size(chance.randrange(1, 2000), 500),
    ]
    for _ in range(1000):
        chance.choice(orders)()
        for _ in range(chance.randrange(12)):
            for _ in range(chance.choice([0, 1, 2, 8])):
                bench.worker.work()
            player.tick()
            check(player, bounds)
            bench.now_s += chance.choice([0, TICK_S, 0.03])
    player.rest()
    bench.settle()
    assert player.is_exact or player.fault is not None


def check(player, bounds):
    assert player.frames.start_of(player.at_us) == player.at_us
    assert bounds[0] <= player.at_us < bounds[1]
    picture = player.shown
    if picture is None:
        return
    start_us = picture.times.start_us
    assert number_in(picture) == player.frames.number_of(start_us)
    assert bounds[0] <= start_us < bounds[1]
    assert player.is_exact == (start_us == player.at_us and not picture.is_stopgap)
    if player.state == "playing" and player._clock.is_running and not picture.nearby:
        assert start_us == player.at_us
