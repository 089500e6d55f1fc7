"""The player: what it does when, as a table; which picture is shown at which time of its clock.

It is ticked by whoever shows it and never waits. The frame on the screen is the frame of the
moment it tells: `at_us` is the start of the frame shown, and marks go there.

There are two ways of playing. A *run* decodes every frame in order and shows each at its time. A
*chase* shows the frame of the clock's moment, then that of the moment it is by then: backwards,
and where frames come faster than they can be decoded.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Final

from aftercase.clock import SECOND_US
from aftercase.errors import AftercaseError
from aftercase.media.frameclock import FrameClock
from aftercase.media.parts import Difference, PartFacts, fitting_side_px
from aftercase.media.picture import Picture
from aftercase.media.pictureworker import (
    Broken,
    Found,
    Open,
    Order,
    PictureWorker,
    Quick,
    Run,
    Show,
)
from aftercase.media.playclock import PlayClock
from aftercase.media.playstates import NEXT_STATE, Happening, State, Stretch
from aftercase.media.soundtrack import Silence, Soundtrack
from aftercase.media.source import Failed, Opened, OpenRecording, Response, Shown, fault_of

SHOWN_FPS: Final = 60
"""More pictures a second than this are thinned out evenly."""

FASTEST_RUN: Final = 2.0
"""Above this speed the scrub copy plays, where there is one."""

BEHIND_US: Final = SECOND_US
"""A run whose pictures are this late is begun again at the clock: catching up by decoding takes
longer than that."""

_N_AHEAD, _N_BEHIND = 4, 8
"""Frames decoded around one that was gone to: a hand often goes on from there frame by frame."""

_N_BEHIND_WHILE_GOING_BACK: Final = 16
"""Half a second of frames: the block before them takes longer to decode than any other step."""


class Player:
    """Plays, steps and seeks in a recording; used by one thread.

    Args:
        worker: Has the reader; one in a process of its own where left out.
        sound: The film's sound; none where left out.
        now: The monotonic clock, in seconds.

    Attributes:
        state: What it does.
        fault: Why there is no picture; None where there is one, or one is on its way.
        frames: All frames; None until a recording is open.
        differences: Of the recording's files from what was stored of them.
        shown: The picture on the screen.
        at_us: Start of the frame on the screen. While its picture is on its way, `is_exact` is
            false.
        rate: Speed; negative backwards.
        n_late: Frames of the present run that came later than a frame's time after their own.
    """

    def __init__(
        self,
        worker: PictureWorker | None = None,
        *,
        sound: Soundtrack | None = None,
        now: Callable[[], float] = time.monotonic,
    ) -> None:
        self._worker = worker or PictureWorker()
        self._sound = sound or Silence()
        self._clock = PlayClock(now)
        self.state: State = "empty"
        self.fault: AftercaseError | None = None
        self.frames: FrameClock | None = None
        self.differences: tuple[Difference, ...] = ()
        self.shown: Picture | None = None
        self.at_us = 0
        self.rate = 1.0
        self.n_late = 0
        self._facts: tuple[PartFacts, ...] = ()
        self._bounds: tuple[int, int] | None = None
        self._stretch: Stretch | None = None
        self._number = 0
        self._is_answered = True
        self._run_from_us = 0
        self._chases = False
        self._has_copy: bool | None = None
        self._size: tuple[int, int] | None = None
        self._full = False
        self._changed = False
        self._told_share = 0.0

    # What is shown ------------------------------------------------------------------------

    @property
    def is_exact(self) -> bool:
        """Claim that the picture on the screen is the very frame of `at_us`, decoded."""
        picture = self.shown
        return (
            picture is not None
            and not (picture.from_copy or picture.nearby)
            and picture.times.start_us == self.at_us
        )

    @property
    def is_looping(self) -> bool:
        """Claim that a stretch is played over and over."""
        return self._stretch is not None and self._stretch.again

    @property
    def opening_share(self) -> float:
        """How much of a recording that opens has been read, 0 to 1."""
        return self._worker.opening_share

    @property
    def bounds_us(self) -> tuple[int, int]:
        """The stretch nothing outside of which is shown, ``[start, end)``."""
        if self.frames is None:
            return self._bounds or (0, 1)
        start_us, end_us = self._bounds or (self.frames.start_us, self.frames.end_us)
        return max(start_us, self.frames.start_us), min(end_us, self.frames.end_us)

    def on_woken(self, told: Callable[[], None]) -> None:
        """Have something called, on another thread, whenever `tick` has something to do."""
        self._worker.on_found(told)

    # Orders -------------------------------------------------------------------------------

    def open(self, request: OpenRecording) -> None:
        """Open a recording instead of the one that is open."""
        self._forget()
        self._happen("open")
        self._order(Open(request))

    def empty(self) -> None:
        """Show nothing; the recording is forgotten."""
        self._forget()
        self._number = self._worker.stand()
        self._happen("empty")

    def set_bounds(self, start_us: int, end_us: int) -> None:
        """Show nothing outside a stretch of the clock, ``[start, end)``."""
        self._bounds = (start_us, end_us)
        if self.frames is not None and self._bounded(self.at_us) != self.at_us:
            self.go_to(self.at_us)

    def set_size(self, width_px: int, height_px: int) -> None:
        """Take note of the size pictures are shown at, in the screen's own pixels."""
        if (width_px, height_px) != self._size:
            self._size = (width_px, height_px)
            self._show_again()

    def want_full(self, full: bool) -> None:
        """Decode at full size, because the picture is enlarged."""
        if full != self._full:
            self._full = full
            self._show_again()

    def set_rate(self, rate: float) -> None:
        """Choose the speed; a film that plays goes on at it, negative backwards."""
        if rate == self.rate or not rate:
            return
        before = self._pace
        self.rate = rate
        self._changed = True
        if self.state != "playing":
            return
        if before == self._pace and not self._chases:
            if self._clock.is_running:
                self._begin_at(self._clock.position_us())
        else:
            self._start(self.at_us)

    def play(self, rate: float | None = None) -> None:
        """Play on from the shown frame; at the end, from the start."""
        self.rate = rate or self.rate
        if self.frames is None or self.state not in ("resting", "playing"):
            return
        start_us, end_us = self._played_us
        at_us = self.at_us
        after_us = self.frames.next_start(at_us)
        if self.rate > 0 and (after_us is None or after_us >= end_us):
            at_us = self.frames.start_of(start_us)
        if self.rate < 0 and at_us <= start_us:
            at_us = self.frames.start_of(end_us - 1)
        self._has_copy = None  # it may have been made since
        self._happen("play")
        self._start(at_us)

    def rest(self) -> None:
        """Rest on the shown frame."""
        if self.state == "playing":
            self._silence()
            self._happen("rest")
            self._show(self.at_us)

    def toggle(self) -> None:
        """Play if it rests, rest if it plays."""
        if self.state == "playing":
            self.rest()
        else:
            self.play(abs(self.rate))

    def go_to(self, us: int, *, dragging: bool = False) -> None:
        """Go to the frame shown at a moment; while a hand drags, a quick picture will do."""
        if self.frames is None:
            return
        at_us = self._bounded(us)
        if self.state == "playing":
            if self._stretch is not None and not self._stretch.has(at_us):
                self._stretch = None
            self._start(at_us, quick_first=True)
        else:
            self._show(at_us, "near", waits=dragging)

    def step(self, n_frames: int) -> None:
        """Go so many frames on, or back; a film that plays rests first."""
        if self.frames is None:
            return
        if self.state == "playing":
            self._silence()
            self._happen("rest")
        at_us = self._bounded(self.frames.stepped(self.at_us, n_frames))
        quick: Quick = "exact" if abs(n_frames) == 1 else "near"
        if n_frames < 0:
            self._show(at_us, quick, n_behind=_N_BEHIND_WHILE_GOING_BACK, n_ahead=0)
        else:
            self._show(at_us, quick, n_behind=0)

    def jump(self, by_us: int) -> None:
        """Go so far on, or back."""
        self.go_to(self.at_us + by_us)

    def loop(self, start_us: int, end_us: int, lead_us: int = 0) -> None:
        """Play a stretch over and over, each time with a lead-in."""
        self._play_stretch(Stretch(start_us - lead_us, end_us, again=True))

    def play_span(self, start_us: int, end_us: int) -> None:
        """Play a stretch once and rest on its last frame."""
        self._play_stretch(Stretch(start_us, end_us, again=False))

    def stop_loop(self) -> None:
        """Play on beyond the stretch."""
        if self._stretch is not None:
            self._stretch = None
            self._changed = True
            if self.state == "playing":
                self._start(self.at_us)

    def set_volume(self, volume: float) -> None:
        """Let the film be heard, 0 to 1."""
        self._sound.set_volume(volume)

    def close(self) -> None:
        """Let the film and the sound go."""
        self._silence()
        self._sound.close()
        self._worker.close()

    # Ticking ------------------------------------------------------------------------------

    def tick(self) -> bool:
        """Go on as far as the clock says, and claim that something changed since the last tick."""
        while (found := self._worker.peek()) is not None and self._is_due(found.response):
            self._worker.take()
            if found.number == self._number:
                self._take(found)
        if self.state == "playing" and self._clock.is_running:
            self._go_on()
        share = self.opening_share
        changed = self._changed or share != self._told_share
        self._changed, self._told_share = False, share
        return changed

    def _is_due(self, response: Response | Broken) -> bool:
        """Claim that something is to be shown now; pictures of a run wait for their time."""
        is_timed = self.state == "playing" and not self._chases
        if not is_timed or not isinstance(response, Shown) or _is_quick(response.picture):
            return True
        start_us = response.picture.times.start_us
        if not self._clock.is_running:
            self._begin_at(start_us)
        return start_us <= self._clock.position_us()

    def _take(self, found: Found) -> None:
        self._is_answered = found.is_last
        response = found.response
        if isinstance(response, Opened):
            self._take_opened(response)
        elif isinstance(response, Shown):
            self._take_picture(response.picture)
        elif isinstance(response, Failed):
            self._stop_for(fault_of(response))
        elif isinstance(response, Broken):
            self._stop_for(None)
            raise response.error

    def _take_opened(self, opened: Opened) -> None:
        self.frames = FrameClock.of_opened(opened)
        self._facts, self.differences = opened.parts, opened.differences
        self._happen("opened")
        self._sound.open(opened.parts)
        self._show(self._bounded(self.bounds_us[0]))

    def _stop_for(self, fault: AftercaseError | None) -> None:
        """Show no picture, or go on no further, because of a fault."""
        self.fault = fault
        self._changed = True
        if self.state == "opening":
            self._happen("refused")
        elif self.state == "playing":
            self._silence()
            self._happen("end")
        else:
            self.shown = None  # what was shown is not what the clock says

    def _take_picture(self, picture: Picture) -> None:
        if picture.nearby and self._bounded(picture.times.start_us) != picture.times.start_us:
            return  # another operation's, perhaps
        self.fault, self.shown = None, picture
        self._changed = True
        if self.state != "playing" or picture.nearby:
            return
        self.at_us = picture.times.start_us
        if self._chases:
            self._has_copy = picture.from_copy
            if not self._clock.is_running:
                self._begin_at(self.at_us)
        elif self._clock.is_running:
            length_us = picture.times.end_us - picture.times.start_us
            self.n_late += self._clock.position_us() - picture.times.end_us > length_us

    def _go_on(self) -> None:
        assert self.frames is not None
        position_us = self._clock.position_us()
        start_us, end_us = self._played_us
        if self._chases and self._has_copy is False and self.rate > 0:
            self._start(self.at_us)  # a run, as fast as decoding allows
        elif not start_us <= position_us < end_us:
            self._reach_end(position_us)
        elif self._chases:
            wanted_us = self.frames.start_of(position_us)
            if self._is_answered and wanted_us != self.at_us:
                self._chase(wanted_us)
        elif self._is_far_behind(position_us):
            self._run(self.frames.start_of(position_us))

    def _is_far_behind(self, position_us: int) -> bool:
        shown_until_us = 0 if self.shown is None else self.shown.times.end_us
        behind_us = position_us - max(shown_until_us, self._run_from_us)
        return not self._is_answered and behind_us > BEHIND_US * max(1.0, self.rate)

    def _reach_end(self, position_us: int) -> None:
        assert self.frames is not None
        start_us, end_us = self._played_us
        first_us, last_us = self.frames.start_of(start_us), self.frames.start_of(end_us - 1)
        if self.is_looping:
            self._start(first_us if self.rate > 0 else last_us)
        elif self._chases or self._is_answered or self._is_far_behind(position_us):
            self._silence()
            self._happen("end")
            self._stretch = None
            self._show(last_us if self.rate > 0 else first_us)

    # Inside -------------------------------------------------------------------------------

    def _happen(self, happening: Happening) -> None:
        self.state = NEXT_STATE.get((self.state, happening), self.state)
        self._changed = True

    def _forget(self) -> None:
        self._silence()
        self.frames, self.shown, self.fault, self._stretch = None, None, None, None
        self._facts, self.differences, self.at_us = (), (), 0

    @property
    def _played_us(self) -> tuple[int, int]:
        start_us, end_us = self.bounds_us
        if self._stretch is None:
            return start_us, end_us
        return max(start_us, self._stretch.start_us), min(end_us, self._stretch.end_us)

    def _bounded(self, us: int) -> int:
        """Return the start of the frame shown at a moment, or at the nearest that may be shown."""
        assert self.frames is not None
        start_us, end_us = self.bounds_us
        return self.frames.start_of(min(max(us, start_us), end_us - 1))

    def _play_stretch(self, stretch: Stretch) -> None:
        if self.frames is None:
            return
        before, self._stretch = self._stretch, stretch
        start_us, end_us = self._played_us
        if end_us <= start_us:
            self._stretch = before
            return
        self.rate = abs(self.rate)
        self._happen("play")
        self._start(self.frames.start_of(start_us))

    def _start(self, at_us: int, *, quick_first: bool = False) -> None:
        """Play from a frame at the present speed, once its picture is there."""
        self._silence()
        self.n_late = 0
        self.at_us = at_us
        self._changed = True
        self._chases = self.rate < 0 or (self.rate > FASTEST_RUN and self._has_copy is not False)
        if self._chases:
            self._chase(at_us)
        else:
            self._run(at_us, quick_first=quick_first)

    def _run(self, at_us: int, *, quick_first: bool = False) -> None:
        end_us = self._played_us[1]
        self._run_from_us = at_us
        self._order(Run(at_us, end_us, self._side_px, self._pace, quick_first))

    def _chase(self, at_us: int) -> None:
        n_behind = _N_BEHIND_WHILE_GOING_BACK if self._has_copy is False else 0
        self._order(Show(at_us, self._side_px, "copy", quick_alone=True, n_behind=n_behind))

    @property
    def _pace(self) -> int:
        """How many frames go to one that is shown, so that no more are than can be seen."""
        if self.frames is None:
            return 1
        in_second = self.frames.count_in(self.at_us, self.at_us + SECOND_US)
        return max(1, round(in_second * self.rate / SHOWN_FPS))

    def _begin_at(self, at_us: int) -> None:
        """Let the clock run from a moment whose picture is there."""
        self._clock.start(at_us, self.rate)
        if self.rate > 0:
            self._sound.play(at_us, self.rate, self._clock)

    def _silence(self) -> None:
        self._clock.stop()
        self._sound.rest()

    def _show(
        self,
        at_us: int,
        quick: Quick = "exact",
        *,
        waits: bool = False,
        n_behind: int = _N_BEHIND,
        n_ahead: int = _N_AHEAD,
    ) -> None:
        self.at_us = at_us
        self._changed = True
        self._order(
            Show(at_us, self._side_px, quick, waits=waits, n_behind=n_behind, n_ahead=n_ahead)
        )

    def _show_again(self) -> None:
        """Decode the shown frame anew, because its size changed."""
        if self.state == "playing":
            self._start(self.at_us)
        elif self.state == "resting":
            self._show(self.at_us)

    def _order(self, order: Order) -> None:
        self._number = self._worker.order(order)
        self._is_answered = False

    @property
    def _side_px(self) -> int | None:
        """The longer side pictures are wanted at; None for as they are."""
        if self._full or self._size is None or not self._facts:
            return None
        turned = self.shown is not None and self.shown.pixels.turn_deg in (90, 270)
        return fitting_side_px(self._facts[0], self._size, turned=turned)


def _is_quick(picture: Picture) -> bool:
    """Claim that a picture is not an exact one, and only shown until that comes."""
    return picture.from_copy or picture.nearby
