"""Carries a recording's sound to a device in step with the play clock.

What is written next is always what the clock will show when it is heard; sound that is too late
for that is skipped. Until a device moves it is given silence, so that nothing is heard out of step
however late it starts, and whatever it has not played after a stall is thrown away.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from aftercase.clock import SECOND_US
from aftercase.media.parts import PartFacts
from aftercase.media.playclock import PlayClock
from aftercase.media.sound import SoundBlock
from aftercase.media.soundout import BYTES_PER_FRAME, CHANNELS, RATE_HZ, SoundOut
from aftercase.media.soundprocess import SoundProcess, SoundSupply
from aftercase.media.tempo import FASTEST, SLOWEST

AHEAD_US: Final = 200_000
"""Sound written before it is heard: as long as the one who ticks may be held up."""

_WAKING_US: Final = 60_000
"""Silence written at first to a device that does not move yet; more when it goes on not to."""

_STALLED_S: Final = 0.15
"""A device with sound to play that says nothing new for this long stands still."""

IN_STEP_US: Final = 40_000
"""Sound heard farther off than this is thrown away."""

_NEXT_THROW_S: Final = 1.0
"""Not more often, lest a device that tells badly where it is is never heard at all."""

_BENT_US: Final = 20_000
"""Sound that goes on and is nearer than this to its moment is left to the bending of the clock."""

_BEGIN_ANEW_US: Final = 2 * SECOND_US
"""Sound later than this is begun anew instead of being read and skipped."""

_BEGUN_AHEAD_US: Final = 100_000


class _Stretch(NamedTuple):
    """What was written from some frame on: the recording's moment, None for silence."""

    frame: int
    at_us: float | None


class _Written:
    """What was written to a device since it was flushed."""

    def __init__(self) -> None:
        self.n_frames = 0
        self._stretches: deque[_Stretch] = deque()

    @property
    def ends_in_sound(self) -> bool:
        """Claim that what was written last was no silence of our own."""
        return bool(self._stretches) and self._stretches[-1].at_us is not None

    def add(self, n_frames: int, at_us: float | None) -> None:
        """Take note of sound from a moment on, or of silence."""
        self._stretches.append(_Stretch(self.n_frames, at_us))
        self.n_frames += n_frames

    def queued_us(self, played_us: float) -> float:
        """Return how much was not played yet, in microseconds of hearing; 0 for part of a frame."""
        left_us = self.n_frames * SECOND_US / RATE_HZ - played_us
        return left_us if left_us >= SECOND_US / RATE_HZ else 0.0

    def moment_at(self, played_us: float, rate: float) -> float | None:
        """Return the moment heard after so much was played; None for silence or nothing left."""
        frame = played_us * RATE_HZ / SECOND_US
        while len(self._stretches) > 1 and self._stretches[1].frame <= frame:
            self._stretches.popleft()
        if frame < 0 or not self.queued_us(played_us):
            return None
        begun, at_us = self._stretches[0]
        if at_us is None:
            return None
        return at_us + (frame - begun) * rate * SECOND_US / RATE_HZ


@dataclass
class _Device:
    """What is known of a device since it was flushed.

    Attributes:
        played_us: What it said last.
        said_s: When that was new.
        is_moving: It has begun to play.
    """

    said_s: float
    played_us: int = 0
    is_moving: bool = False


MakeSupply = Callable[[Sequence[PartFacts]], SoundSupply]


class SoundFeeder:
    """Plays a recording's sound on a device; used by one thread, which ticks it while it plays.

    It is silent until a volume is set.

    Args:
        out: The device.
        make_supply: Makes what reads a recording's sound.
        now: Monotonic seconds.
        delay_us: How much later the device is heard than it says, as wireless ones are.
    """

    def __init__(
        self,
        out: SoundOut,
        *,
        make_supply: MakeSupply = SoundProcess,
        now: Callable[[], float] = time.monotonic,
        delay_us: int = 0,
    ) -> None:
        self._out = out
        self._make_supply = make_supply
        self._now = now
        self._delay_us = delay_us
        self._parts: tuple[PartFacts, ...] = ()
        self._supply: SoundSupply | None = None
        self._clock: PlayClock | None = None
        self._volume = 0.0
        self._is_begun = self._is_open = False
        self._held: SoundBlock | None = None
        self._written = _Written()
        self._device = _Device(now())
        self._thrown_s = now() - _NEXT_THROW_S

    def open(self, parts: Sequence[PartFacts]) -> None:
        """Get ready to play the sound of a recording, instead of the one before."""
        self.rest()
        self._let_go()
        self._parts = tuple(parts)
        self._get_ready()

    def set_volume(self, volume: float) -> None:
        """Let the film be heard, 0 (nothing is read or played) to 1."""
        self._volume = min(1.0, max(0.0, volume))
        self._out.volume = self._volume
        if not self._volume:
            self._hush()
        self._get_ready()

    def play(self, at_us: int, rate: float, clock: PlayClock) -> None:
        """Play beside a clock that has just started; speeds without sound are silent.

        Args:
            at_us: Where the clock started.
            rate: Its speed.
            clock: It is told what is heard.
        """
        self._hush()
        self._clock = clock if SLOWEST <= rate <= FASTEST else None
        self._begin(at_us)
        self.tick()

    def rest(self) -> None:
        """Be silent."""
        self._hush()
        self._clock = None

    def tick(self) -> None:
        """Write what is to be heard next, and tell the clock what is heard; never waits."""
        if self._clock is None or not self._clock.is_running:
            return
        if not self._is_begun:
            self._begin(self._clock.position_us() + int(_BEGUN_AHEAD_US * self._clock.rate))
        if self._is_begun and not self._out.is_silent:
            self._listen(self._clock)
            self._write(self._clock)

    def close(self) -> None:
        """Let the recording and the device go."""
        self.rest()
        self._let_go()
        self._out.close()

    # Reading ------------------------------------------------------------------------------

    def _get_ready(self) -> None:
        """Have the recording's sound at hand if it is to be heard."""
        if self._supply is None and self._parts and self._volume and not self._out.is_silent:
            self._supply = self._make_supply(self._parts)

    def _let_go(self) -> None:
        if self._supply is not None:
            self._supply.close()
            self._supply = None

    def _begin(self, at_us: int) -> None:
        """Have the sound read from a moment on, if any is to be heard."""
        self._get_ready()
        if self._clock is None or self._supply is None or not self._volume:
            return
        if self._is_open:
            self._out.resume()
        self._supply.begin(at_us, self._clock.rate)
        self._is_begun, self._held = True, None

    def _hush(self) -> None:
        """Throw away what is not played yet and play no more."""
        if self._is_open:
            self._throw_away()
            self._out.pause()
        self._is_begun, self._held = False, None

    # The device ---------------------------------------------------------------------------

    def _listen(self, clock: PlayClock) -> None:
        """Take note of what the device played, and let the clock know."""
        played_us, device = self._out.heard_us() if self._is_open else None, self._device
        if played_us is None:
            if device.is_moving:
                self._throw_away()  # it is gone, or another one takes its place
        elif played_us != device.played_us:
            self._device = _Device(self._now(), played_us, is_moving=True)
            self._tell(clock, played_us)
        elif not self._written.queued_us(played_us):
            device.said_s = self._now()  # it stands still because it has nothing to play
        elif device.is_moving and self._now() - device.said_s > _STALLED_S:
            self._throw_away()
        if not self._device.is_moving:
            clock.heard(None)

    def _tell(self, clock: PlayClock, played_us: int) -> None:
        moment_us = self._written.moment_at(played_us, clock.rate)
        if moment_us is None:
            clock.heard(None)
            return
        moment_us -= self._delay_us * clock.rate
        off_us = (moment_us - clock.position_us()) / clock.rate
        if abs(off_us) > IN_STEP_US and self._now() - self._thrown_s > _NEXT_THROW_S:
            self._thrown_s = self._now()
            self._throw_away()
        else:
            clock.heard(round(moment_us))

    def _throw_away(self) -> None:
        self._out.flush()
        self._written = _Written()
        self._device = _Device(self._now())

    # Writing ------------------------------------------------------------------------------

    def _write(self, clock: PlayClock) -> None:
        if not self._hold():
            return  # nothing was read yet, or the film has no sound: the device is let alone
        if not self._is_open:
            self._out.open(RATE_HZ, CHANNELS)
            self._is_open = True
            self._throw_away()
        since_us = (self._now() - self._device.said_s) * SECOND_US
        if not self._device.is_moving:  # `said_s` is when it was last emptied
            wanted_us = min(AHEAD_US, _WAKING_US + since_us)
            self._write_silence(wanted_us - self._written.queued_us(0))
            return
        played_us = self._device.played_us + since_us
        while (queued_us := self._written.queued_us(played_us)) < AHEAD_US:
            if not self._write_next(clock, queued_us):
                return

    def _write_next(self, clock: PlayClock, queued_us: float) -> bool:
        """Write the sound of the moment that the clock shows when it is heard; false if none is."""
        wanted_us = clock.position_us() + (queued_us + self._delay_us) * clock.rate
        if not self._skip_to(wanted_us, clock.rate):
            return False
        assert self._held is not None
        early_us = (self._held.at_us - wanted_us) / clock.rate
        if early_us > self._near_us():
            return self._write_silence(min(early_us, AHEAD_US))
        taken = self._out.write(self._held.pcm) // BYTES_PER_FRAME
        self._written.add(taken, self._held.at_us)
        is_whole = taken * BYTES_PER_FRAME == len(self._held.pcm)
        self._held = _later(self._held, taken, clock.rate)
        return is_whole

    def _write_silence(self, us: float) -> bool:
        n_frames = int(us * RATE_HZ / SECOND_US)
        if n_frames <= 0:
            return False
        taken = self._out.write(bytes(n_frames * BYTES_PER_FRAME)) // BYTES_PER_FRAME
        self._written.add(taken, None)
        return taken == n_frames

    def _hold(self) -> bool:
        """Have a block at hand; false while there is none."""
        if self._held is None and self._supply is not None:
            self._held = self._supply.take()
        return self._held is not None

    def _skip_to(self, wanted_us: float, rate: float) -> bool:
        """Have sound at hand that is not too late for a moment; false while there is none."""
        while self._hold():
            assert self._held is not None
            late_us = (wanted_us - self._held.at_us) / rate
            if late_us < self._near_us():
                return True
            if late_us > _BEGIN_ANEW_US:
                self._begin(int(wanted_us + _BEGUN_AHEAD_US * rate))
                return False
            n_frames = len(self._held.pcm) // BYTES_PER_FRAME
            self._held = _later(self._held, min(n_frames, int(late_us * RATE_HZ / SECOND_US)), rate)
        return False

    def _near_us(self) -> float:
        """Return how far off sound may be; sound that begins does so on the frame."""
        return _BENT_US if self._written.ends_in_sound else SECOND_US / RATE_HZ


def _later(block: SoundBlock, n_frames: int, rate: float) -> SoundBlock | None:
    """Return what is left of a block after some frames; None for nothing."""
    left = block.pcm[n_frames * BYTES_PER_FRAME :]
    if not left:
        return None
    return SoundBlock(block.at_us + int(n_frames * rate * SECOND_US / RATE_HZ), left)
