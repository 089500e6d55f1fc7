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
from dataclasses import replace
from typing import Final

from aftercase.clock import SECOND_US
from aftercase.errors import AftercaseError
from aftercase.media.frameclock import FrameClock
from aftercase.media.parts import Difference
from aftercase.media.picture import Picture
from aftercase.media.pictureorders import PictureOrders
from aftercase.media.pictureworker import Broken, PictureWorker, Quick
from aftercase.media.playclock import PlayClock
from aftercase.media.playrange import PlayRange, Stretch
from aftercase.media.playstates import NEXT_STATE, Happening, State
from aftercase.media.soundtrack import Silence, Soundtrack
from aftercase.media.source import Failed, Opened, OpenRecording, Response, Shown, fault_of

SHOWN_FPS: Final = 60
"""More pictures a second than this are thinned out evenly."""

FASTEST_RUN: Final = 2.0
"""Above this speed the scrub copy plays, where there is one."""

BEHIND_US: Final = SECOND_US
"""A run whose pictures are this late is begun again at the clock: catching up by decoding takes
longer than that."""


class Player:
    """Plays, steps and seeks in a recording; used by one thread.

    Args:
        worker: Has the reader; one in a process of its own where left out.
        sound: The film's sound; none where left out.
        now: The monotonic clock, in seconds.

    Attributes:
        state: What it does.
        fault: Why there is no picture; None where there is one, or one is on its way.
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
        self._orders = PictureOrders(worker or PictureWorker())
        self._sound = sound or Silence()
        self._clock = PlayClock(now)
        self.state: State = "empty"
        self.fault: AftercaseError | None = None
        self.differences: tuple[Difference, ...] = ()
        self.shown: Picture | None = None
        self.at_us = 0
        self.rate = 1.0
        self.n_late = 0
        self._bounds: tuple[int, int] | None = None
        self._range: PlayRange | None = None
        self._run_from_us = 0
        self._chases = False
        self._has_copy: bool | None = None
        self._changed = False

    # What is shown ------------------------------------------------------------------------

    @property
    def frames(self) -> FrameClock | None:
        """All frames of the recording; None until one is open."""
        return self._range.frames if self._range else None

    @property
    def is_exact(self) -> bool:
        """Claim that the picture on the screen is the very frame of `at_us`, decoded."""
        picture = self.shown
        at_us = None if picture is None or picture.is_stopgap else picture.times.start_us
        return at_us == self.at_us

    @property
    def is_looping(self) -> bool:
        """Claim that a stretch is played over and over."""
        stretch = self._range.stretch if self._range else None
        return stretch is not None and stretch.again

    @property
    def opening_share(self) -> float:
        """How much of a recording that opens has been read, 0 to 1."""
        return self._orders.opening_share

    @property
    def bounds_us(self) -> tuple[int, int]:
        """The stretch nothing outside of which is shown, ``[start, end)``."""
        return self._range.bounds_us if self._range else self._bounds or (0, 1)

    def on_woken(self, told: Callable[[], None]) -> None:
        """Have something called, on another thread, whenever `tick` has something to do."""
        self._orders.on_found(told)

    # Orders -------------------------------------------------------------------------------

    def open(self, request: OpenRecording) -> None:
        """Open a recording instead of the one that is open."""
        self._forget()
        self._happen("open")
        self._orders.open(request)

    def empty(self) -> None:
        """Show nothing; the recording is forgotten."""
        self._forget()
        self._orders.stand()
        self._happen("empty")

    def set_bounds(self, start_us: int, end_us: int) -> None:
        """Show nothing outside a stretch of the clock, ``[start, end)``."""
        self._bounds = (start_us, end_us)
        if self._range is not None:
            self._range = replace(self._range, bounds=self._bounds)
            if self._range.bounded(self.at_us) != self.at_us:
                self.go_to(self.at_us)

    def set_size(self, width_px: int, height_px: int) -> None:
        """Take note of the size pictures are shown at, in the screen's own pixels."""
        if self._orders.set_room(width_px, height_px):
            self._show_again()

    def want_full(self, full: bool) -> None:
        """Decode at full size, because the picture is enlarged."""
        if self._orders.set_full(full):
            self._show_again()

    def set_rate(self, rate: float) -> None:
        """Choose the speed; a film that plays goes on at it, negative backwards."""
        if rate == self.rate or not rate:
            return
        before = self._manner
        self.rate = rate
        self._changed = True
        if self.state != "playing":
            return
        if before != self._manner or self._chases:
            self._start(self.at_us)
        elif self._clock.is_running:
            self._begin_at(self._clock.position_us())

    def play(self, rate: float | None = None) -> None:
        """Play on from the shown frame; at the end, from the start."""
        self.rate = rate or self.rate
        if self._range is not None and self.state in ("resting", "playing"):
            self._has_copy = None  # it may have been made since
            self._happen("play")
            self._start(self._range.played_from(self.at_us, self.rate))

    def rest(self) -> None:
        """Rest on the shown frame."""
        if self.state == "playing":
            self._silence()
            self._happen("rest")
            self._show(self.at_us, "exact")

    def toggle(self) -> None:
        """Play if it rests, rest if it plays."""
        if self.state == "playing":
            self.rest()
        else:
            self.play(abs(self.rate))

    def go_to(self, us: int, *, dragging: bool = False) -> None:
        """Go to the frame shown at a moment; while a hand drags, a quick picture will do."""
        if self._range is None:
            return
        at_us = self._range.bounded(us)
        if self.state == "playing":
            if not self._range.is_played(at_us):
                self._range = replace(self._range, stretch=None)
            self._start(at_us, quick_first=True)
        else:
            self._show(at_us, "near", waits=dragging)

    def step(self, n_frames: int) -> None:
        """Go so many frames on, or back; a film that plays rests first."""
        if self._range is None:
            return
        if self.state == "playing":
            self._silence()
            self._happen("rest")
        at_us = self._range.bounded(self._range.frames.stepped(self.at_us, n_frames))
        self._put_at(at_us)
        quick: Quick = "exact" if abs(n_frames) == 1 else "near"
        self._orders.step_to(at_us, quick, forward=n_frames > 0)

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
        if self._range and self._range.stretch:
            self._range = replace(self._range, stretch=None)
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
        self._orders.close()

    # Ticking ------------------------------------------------------------------------------

    def tick(self) -> bool:
        """Go on as far as the clock says, and claim that something changed since the last tick."""
        while (found := self._orders.peek()) is not None and self._is_due(found.response):
            self._orders.take()
            self._take(found.response)
        if self.state == "playing" and self._clock.is_running and self._range is not None:
            self._go_on(self._range)
        changed, self._changed = self._changed or self.state == "opening", False
        return changed

    def _is_due(self, response: Response | Broken) -> bool:
        """Claim that something is to be shown now; pictures of a run wait for their time."""
        is_timed = self.state == "playing" and not self._chases
        if not is_timed or not isinstance(response, Shown) or response.picture.is_stopgap:
            return True
        start_us = response.picture.times.start_us
        if not self._clock.is_running:
            self._begin_at(start_us)
        return start_us <= self._clock.position_us()

    def _take(self, response: Response | Broken) -> None:
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
        self._range = PlayRange(FrameClock.of_opened(opened), self._bounds)
        self.differences = opened.differences
        self._happen("opened")
        self._sound.open(opened.parts)
        self._show(self._range.first_us, "exact")

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
        start_us = picture.times.start_us
        if picture.nearby and self._range and self._range.bounded(start_us) != start_us:
            return  # of another operation, perhaps
        self.fault, self.shown = None, picture
        self._changed = True
        if self.state != "playing" or picture.nearby:
            return
        self.at_us = start_us
        if self._chases:
            self._has_copy = picture.from_copy
            if not self._clock.is_running:
                self._begin_at(self.at_us)
        elif self._clock.is_running:
            length_us = picture.times.end_us - start_us
            self.n_late += self._clock.position_us() - picture.times.end_us > length_us

    def _go_on(self, played: PlayRange) -> None:
        position_us = self._clock.position_us()
        if self._chases and self._has_copy is False and self.rate > 0:
            self._start(self.at_us)  # a run, as fast as decoding allows
        elif not played.is_played(position_us):
            self._reach_end(played, position_us)
        elif self._chases:
            wanted_us = played.frames.start_of(position_us)
            if self._orders.is_answered and wanted_us != self.at_us:
                self._orders.chase(wanted_us, by_copy=self._has_copy is not False)
        elif self._is_far_behind(position_us):
            self._run(played.frames.start_of(position_us))

    def _is_far_behind(self, position_us: int) -> bool:
        shown_until_us = 0 if self.shown is None else self.shown.times.end_us
        behind_us = position_us - max(shown_until_us, self._run_from_us)
        return not self._orders.is_answered and behind_us > BEHIND_US * max(1.0, self.rate)

    def _reach_end(self, played: PlayRange, position_us: int) -> None:
        if self.is_looping:
            self._start(played.first_us if self.rate > 0 else played.last_us)
        elif self._chases or self._orders.is_answered or self._is_far_behind(position_us):
            self._silence()
            self._happen("end")
            self._range = replace(played, stretch=None)
            self._show(played.last_us if self.rate > 0 else played.first_us, "exact")

    # Inside -------------------------------------------------------------------------------

    def _happen(self, happening: Happening) -> None:
        self.state = NEXT_STATE.get((self.state, happening), self.state)
        self._changed = True

    def _forget(self) -> None:
        self._silence()
        self._range, self.shown, self.fault = None, None, None
        self.differences, self.at_us = (), 0

    def _play_stretch(self, stretch: Stretch) -> None:
        wanted = replace(self._range, stretch=stretch) if self._range else None
        if wanted and wanted.played_us[0] < wanted.played_us[1]:
            self._range, self.rate = wanted, abs(self.rate)
            self._happen("play")
            self._start(wanted.first_us)

    def _start(self, at_us: int, *, quick_first: bool = False) -> None:
        """Play from a frame at the present speed, once its picture is there."""
        self._silence()
        self.n_late = 0
        self._put_at(at_us)
        self._chases, _ = self._manner
        if self._chases:
            self._orders.chase(at_us, by_copy=self._has_copy is not False)
        else:
            self._run(at_us, quick_first=quick_first)

    def _run(self, at_us: int, *, quick_first: bool = False) -> None:
        assert self._range is not None
        self._run_from_us = at_us
        end_us = self._range.played_us[1]
        self._orders.run(at_us, end_us, self._manner[1], quick_first=quick_first)

    @property
    def _manner(self) -> tuple[bool, int]:
        """Whether to chase at the present speed, and how many frames go to one that is shown."""
        chases = self.rate < 0 or (self.rate > FASTEST_RUN and self._has_copy is not False)
        pace = self.frames.pace(self.at_us, self.rate, SHOWN_FPS) if self.frames else 1
        return chases, pace

    def _begin_at(self, at_us: int) -> None:
        """Let the clock run from a moment whose picture is there."""
        self._clock.start(at_us, self.rate)
        if self.rate > 0:
            self._sound.play(at_us, self.rate, self._clock)

    def _silence(self) -> None:
        self._clock.stop()
        self._sound.rest()

    def _put_at(self, at_us: int) -> None:
        self.at_us = at_us
        self._changed = True

    def _show(self, at_us: int, quick: Quick, *, waits: bool = False) -> None:
        self._put_at(at_us)
        self._orders.go_to(at_us, quick, waits=waits)

    def _show_again(self) -> None:
        """Decode the shown frame anew, because its size changed."""
        if self.state == "playing":
            self._start(self.at_us)
        elif self.state == "resting":
            self._show(self.at_us, "exact")
