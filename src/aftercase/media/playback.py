"""The player: what it does when, as a table; which picture is shown at which time of its clock.

It is ticked by whoever shows it and never waits. The frame on the screen is the frame of the
moment it tells: `at_us` is the start of the frame shown, and marks go there.

Longer than others: what is shown, the clock and what is ordered are one state, and every order
touches all three.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from aftercase.errors import AftercaseError, RecordingUnreadable
from aftercase.media.frameclock import FrameClock
from aftercase.media.parts import Difference, PartFacts, fitting_side_px
from aftercase.media.picture import Picture
from aftercase.media.pictureworker import Found, Open, PictureWorker, Run, Show
from aftercase.media.playclock import PlayClock
from aftercase.media.playstates import NEXT_STATE, Happening, State
from aftercase.media.process import ReaderProcess
from aftercase.media.soundtrack import Soundtrack
from aftercase.media.source import Failed, Opened, OpenRecording, Shown

SHOWN_FPS: Final = 60
"""More pictures a second than this are thinned out evenly."""

FASTEST_RUN: Final = 2.0
"""Above this speed the scrub copy plays, where there is one."""

BEHIND_US: Final = 400_000
"""A run whose pictures are this late is begun again at the clock."""

_PRIMING_S: Final = 0.5
_FRAMES_IN_A_SECOND_US: Final = 1_000_000


@dataclass
class _Stretch:
    """What is played: from, to, and whether again; lead-ins are in `start_us`."""

    start_us: int
    end_us: int
    again: bool


class Player:
    """Plays, steps and seeks in a recording; used by one thread.

    Args:
        worker: Has the reader; a process of its own where left out.
        sound: The film's sound; none where left out.
        now: The monotonic clock, in seconds.
    """

    def __init__(
        self,
        worker: PictureWorker | None = None,
        *,
        sound: Soundtrack | None = None,
        now: Callable[[], float] = time.monotonic,
    ) -> None:
        self._worker = worker or PictureWorker(ReaderProcess())
        self._sound = sound
        self._now = now
        self._clock = PlayClock(now)
        self.state: State = "empty"
        self.fault: AftercaseError | None = None
        self.frames: FrameClock | None = None
        self.differences: tuple[Difference, ...] = ()
        self.shown: Picture | None = None
        self.at_us = 0
        self.n_late = 0
        """Frames of the present run that were shown later than one frame's time after theirs."""
        self.rate = 1.0
        self._facts: tuple[PartFacts, ...] = ()
        self._bounds: tuple[int, int] | None = None
        self._stretch: _Stretch | None = None
        self._number = 0
        self._priming_until_s: float | None = None
        self._chases = False
        self._copy_known: bool | None = None
        self._size: tuple[int, int] | None = None
        self._full = False
        self._changed = False

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
        self._silence()
        self._happen("open")
        self.frames, self.shown, self.fault, self._facts = None, None, None, ()
        self._stretch, self._copy_known = None, None
        self._number = self._worker.order(Open(request))

    def empty(self) -> None:
        """Show nothing; the recording is forgotten."""
        self._silence()
        self._worker.stand()
        self.frames, self.shown = None, None
        self._happen("empty")

    def set_bounds(self, start_us: int, end_us: int) -> None:
        """Show nothing outside a stretch of the clock, ``[start, end)``."""
        self._bounds = (start_us, end_us)

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
        self.rate = rate
        self._changed = True
        if self.state == "playing":
            self._start(self.at_us)

    def play(self, rate: float | None = None) -> None:
        """Play on from the shown frame; at the end, from the start."""
        if rate is not None and rate:
            self.rate = rate
        if self.frames is None or self.state not in ("resting", "playing"):
            return
        start_us, end_us = self._played_us()
        at_us = self.at_us
        after_us = self.frames.next_start(at_us)
        if self.rate > 0 and (after_us is None or after_us >= end_us):
            at_us = start_us
        if self.rate < 0 and at_us <= start_us:
            at_us = self.frames.start_of(end_us - 1)
        self._happen("play")
        self._start(at_us)

    def rest(self) -> None:
        """Rest on the shown frame."""
        if self.state == "playing":
            self._silence()
            self._happen("rest")
            self._show(self.at_us, quick="exact")

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
        start_us, end_us = self.bounds_us
        at_us = self.frames.start_of(min(max(us, start_us), end_us - 1))
        if self.state == "playing":
            if self._stretch is not None and not self._within(at_us):
                self._stretch = None
            self._start(at_us)
            return
        self._show(at_us, quick="near", waits=dragging)

    def step(self, n_frames: int) -> None:
        """Go so many frames on, or back; a film that plays rests first."""
        if self.frames is None:
            return
        if self.state == "playing":
            self._silence()
            self._happen("rest")
        start_us, end_us = self.bounds_us
        at_us = self.frames.stepped(self.at_us, n_frames)
        at_us = min(max(at_us, self.frames.start_of(start_us)), self.frames.start_of(end_us - 1))
        self._show(at_us, quick="exact" if abs(n_frames) == 1 else "near")

    def jump(self, by_us: int) -> None:
        """Go so far on, or back."""
        self.go_to(self.at_us + by_us)

    def loop(self, start_us: int, end_us: int, lead_us: int = 0) -> None:
        """Play a stretch over and over, each time with a lead-in."""
        first_us, last_us = self.bounds_us
        self._play_stretch(max(first_us, start_us - lead_us), min(end_us, last_us), again=True)

    def play_span(self, start_us: int, end_us: int) -> None:
        """Play a stretch once and rest on its last frame."""
        first_us, last_us = self.bounds_us
        self._play_stretch(max(first_us, start_us), min(end_us, last_us), again=False)

    def stop_loop(self) -> None:
        """Play on beyond the stretch."""
        if self._stretch is not None:
            self._stretch = None
            self._changed = True
            if self.state == "playing":
                self._start(self.at_us)

    def set_volume(self, volume: float) -> None:
        """Let the film be heard, 0 to 1."""
        if self._sound is not None and hasattr(self._sound, "set_volume"):
            self._sound.set_volume(volume)

    def close(self) -> None:
        """Let the film and the sound go."""
        self._silence()
        if self._sound is not None:
            self._sound.close()
        self._worker.close()

    # Ticking ------------------------------------------------------------------------------

    def tick(self) -> bool:
        """Go on as far as the clock says, and claim that something changed since the last tick."""
        while (found := self._worker.peek()) is not None and self._is_due(found):
            taken = self._worker.take()
            if taken is not None and taken.number == self._number:
                self._take(taken)
        if self.state == "playing":
            self._go_on()
        changed, self._changed = self._changed, False
        return changed

    def _is_due(self, found: Found) -> bool:
        """Claim that something is to be shown now; pictures of a run wait for their time."""
        if self.state != "playing" or self._chases or not isinstance(found.response, Shown):
            return True
        self._end_priming()
        return found.response.picture.times.start_us <= self._clock.position_us()

    def _take(self, found: Found) -> None:
        response = found.response
        if isinstance(response, Opened):
            self._take_opened(response)
        elif isinstance(response, Failed):
            self._take_failed(response)
        elif isinstance(response, Shown):
            self._take_picture(response.picture)
        if self._chases and found.is_last and self.state == "playing":
            self._chase()

    def _take_opened(self, opened: Opened) -> None:
        self.frames = FrameClock.of_opened(opened)
        self._facts, self.differences = opened.parts, opened.differences
        self._happen("opened")
        if self._sound is not None:
            self._sound.open(opened.parts)
        self._show(self.frames.start_of(self.bounds_us[0]), quick="exact")

    def _take_failed(self, failed: Failed) -> None:
        self.fault = RecordingUnreadable(failed.message, hint=failed.hint, path=failed.path)
        self._changed = True
        if self.state == "opening":
            self._happen("refused")
        elif self.state == "playing":
            self._silence()
            self._happen("end")

    def _take_picture(self, picture: Picture) -> None:
        self.fault = None
        self.shown = picture
        self._changed = True
        if self.state == "playing":
            if self._clock.is_running and not self._chases:
                late_us = self._clock.position_us() - picture.times.end_us
                self.n_late += late_us > picture.times.end_us - picture.times.start_us
            if not picture.nearby:
                self.at_us = picture.times.start_us
            self._copy_known = picture.from_copy if self._chases else self._copy_known

    def _go_on(self) -> None:
        self._end_priming()
        if not self._clock.is_running or self.frames is None:
            return
        start_us, end_us = self._played_us()
        position_us = self._clock.position_us()
        if position_us >= end_us or position_us < start_us:
            self._reach_end()
        elif self._chases and self._copy_known is False and self.rate > 0:
            self._start(self.at_us)  # there is no copy: run, as fast as decoding allows
        elif not self._chases and position_us - self.at_us > self._patience_us():
            self._run_from(self.frames.start_of(position_us))

    def _patience_us(self) -> int:
        return int(BEHIND_US * max(1.0, abs(self.rate)))

    def _reach_end(self) -> None:
        assert self.frames is not None
        start_us, end_us = self._played_us()
        if self.is_looping:
            self._start(start_us if self.rate > 0 else self.frames.start_of(end_us - 1))
            return
        found = self._worker.peek()
        if (
            self.rate > 0
            and not self._chases
            and found is not None
            and found.number == self._number
        ):
            return  # the last pictures of the run are still on their way to the screen
        self._silence()
        self._happen("end")
        last_us = self.frames.start_of(end_us - 1 if self.rate > 0 else start_us)
        self._stretch = None
        self._show(last_us, quick="exact")

    # Inside -------------------------------------------------------------------------------

    def _happen(self, happening: Happening) -> None:
        self.state = NEXT_STATE.get((self.state, happening), self.state)
        self._changed = True

    def _played_us(self) -> tuple[int, int]:
        if self._stretch is not None:
            return self._stretch.start_us, self._stretch.end_us
        return self.bounds_us

    def _within(self, us: int) -> bool:
        start_us, end_us = self._played_us()
        return start_us <= us < end_us

    def _play_stretch(self, start_us: int, end_us: int, *, again: bool) -> None:
        if self.frames is None or end_us <= start_us:
            return
        self._stretch = _Stretch(start_us, end_us, again)
        self.rate = abs(self.rate)
        self._happen("play")
        self._start(self.frames.start_of(start_us))

    def _start(self, at_us: int) -> None:
        """Play from a frame at the present speed, once its picture is there."""
        self._silence()
        self.n_late = 0
        self._chases = self.rate < 0 or (self.rate > FASTEST_RUN and self._copy_known is not False)
        self._priming_until_s = self._now() + _PRIMING_S
        self.at_us = at_us
        if self._chases:
            self._number = self._worker.order(
                Show(at_us, self._side_px(), quick="copy", quick_alone=True)
            )
        else:
            self._run_from(at_us)

    def _run_from(self, at_us: int) -> None:
        _, end_us = self._played_us()
        self._number = self._worker.order(Run(at_us, end_us, self._side_px(), self._every(at_us)))

    def _every(self, at_us: int) -> int:
        """Return how many frames go to one that is shown, so that no more are than can be seen."""
        assert self.frames is not None
        in_second = self.frames.count_in(at_us, at_us + _FRAMES_IN_A_SECOND_US)
        return max(1, round(in_second * self.rate / SHOWN_FPS))

    def _chase(self) -> None:
        """Ask for the picture of the clock's moment, as soon as the one before is shown."""
        assert self.frames is not None
        start_us, end_us = self._played_us()
        wanted_us = min(max(self._clock.position_us(), start_us), end_us - 1)
        self._number = self._worker.order(
            Show(self.frames.start_of(wanted_us), self._side_px(), quick="copy", quick_alone=True)
        )

    def _end_priming(self) -> None:
        """Let the clock run as soon as there is a picture to show, or it takes too long."""
        if self._priming_until_s is None:
            return
        found = self._worker.peek()
        is_there = (
            self.shown is not None and self._chases and self.shown.times.start_us == self.at_us
        )
        if found is not None or is_there or self._now() >= self._priming_until_s:
            self._priming_until_s = None
            self._clock.start(self.at_us, self.rate)
            if self._sound is not None and self.rate > 0:
                self._sound.play(self.at_us, self.rate, self._clock)

    def _silence(self) -> None:
        self._priming_until_s = None
        if self._clock.is_running:
            self._clock.stop()
        if self._sound is not None:
            self._sound.rest()

    def _show(self, at_us: int, *, quick: str, waits: bool = False) -> None:
        assert self.frames is not None
        self.at_us = at_us
        self._changed = True
        side_px = self._side_px()
        self._number = self._worker.order(Show(at_us, side_px, quick=quick, waits=waits))

    def _show_again(self) -> None:
        """Decode the shown frame anew, because its size changed."""
        if self.frames is None:
            return
        if self.state == "playing":
            self._start(self.at_us)
        elif self.state == "resting":
            self._show(self.at_us, quick="exact")

    def _side_px(self) -> int | None:
        """Return the longer side pictures are wanted at; None for as they are."""
        if self._full or self._size is None or not self._facts:
            return None
        return fitting_side_px(self._facts[0], self._size, turned=self._turned)

    @property
    def _turned(self) -> bool:
        return self.shown is not None and self.shown.pixels.turn_deg in (90, 270)
