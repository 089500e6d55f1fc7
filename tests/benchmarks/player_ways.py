"""Players driven as a hand drives them: ours, Qt's QMediaPlayer, and cv2.VideoCapture.

Each gives a full R, G, B picture. Ours decodes in a process of its own and is ticked as the window
ticks it; QMediaPlayer is asked in Qt's event loop; cv2 is called and waited for.
"""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import cv2
import numpy as np
from films import MadeFilm

from aftercase.media.picture import Picture
from aftercase.media.playback import Player
from aftercase.media.source import OpenRecording

GIVE_UP_S = 10.0
TICK_S = 0.004
Rgb = np.ndarray


@dataclass(frozen=True)
class Came:
    """When pictures came after a wish, in seconds; the exact one is in `picture`."""

    first_s: float
    exact_s: float
    picture: Rgb


@dataclass(frozen=True)
class Seen:
    """A frame that was on the screen while playing: its number, and when it came, in seconds."""

    row: int
    at_s: float


class Way(Protocol):
    """One way of playing a film whose frames are evenly spaced."""

    name: str

    def go(self, row: int) -> Came:
        """Go to a frame and wait for its picture."""

    def step(self, n_frames: int) -> Came:
        """Go one frame on or back and wait for its picture."""

    def idle(self, seconds: float) -> None:
        """Let time pass as a hand does between two keys."""

    def play(self, row: int, rate: float, seconds: float) -> list[Seen]:
        """Play from a frame for a while."""

    def close(self) -> None:
        """Close the film."""


class Ours:
    name = "ours"

    def __init__(self, film: MadeFilm, cache: Path) -> None:
        self._woken = threading.Event()
        self.player = Player()
        self.player.on_woken(self._woken.set)
        self.player.open(OpenRecording(1, (str(film.path),), cache=str(cache)))
        self._until(lambda: self.player.is_exact)
        assert self.player.frames is not None
        self.frames = self.player.frames
        self.starts_us = self.frames.starts_in(0, self.frames.end_us).tolist()

    def go(self, row: int, *, dragging: bool = False) -> Came:
        return self._came(lambda: self.player.go_to(self.starts_us[row], dragging=dragging))

    def drag(self, row: int) -> float:
        """Drag to a frame; return when a picture of about there came."""
        before, begun_s = self.player.shown, time.perf_counter()
        self.player.go_to(self.starts_us[row], dragging=True)
        self._until(lambda: self.player.shown is not before)
        return time.perf_counter() - begun_s

    def step(self, n_frames: int) -> Came:
        return self._came(lambda: self.player.step(n_frames))

    def idle(self, seconds: float) -> None:
        give_up_s = time.perf_counter() + seconds
        while (left_s := give_up_s - time.perf_counter()) > 0:
            self._tick(min(TICK_S, left_s))

    def play(self, row: int, rate: float, seconds: float) -> list[Seen]:
        self.go(row)
        self.idle(0.3)
        seen: list[Seen] = []
        stood = self.player.shown  # it came before there was a time it could be late for
        self.player.play(rate)
        give_up_s = time.perf_counter() + seconds
        while time.perf_counter() < give_up_s and self.player.state == "playing":
            if self._tick(TICK_S) and self.player.shown not in (None, stood):
                number = self.frames.number_of(self.player.shown.times.start_us)
                seen.append(Seen(number, time.perf_counter()))
        self.player.rest()
        self._until(lambda: self.player.is_exact)
        return seen

    def close(self) -> None:
        self.player.close()

    def _came(self, wish: Callable[[], None]) -> Came:
        before, begun_s = self.player.shown, time.perf_counter()
        wish()
        self._until(lambda: self.player.shown is not before)
        first_s = time.perf_counter() - begun_s
        self._until(lambda: self.player.is_exact)
        exact_s = time.perf_counter() - begun_s
        assert self.player.shown is not None
        return Came(first_s, exact_s, as_array(self.player.shown))

    def _until(self, holds: Callable[[], bool]) -> None:
        give_up_s = time.perf_counter() + GIVE_UP_S
        while not holds():
            self._tick(0.5)
            if time.perf_counter() > give_up_s:
                raise TimeoutError("our player shows nothing")

    def _tick(self, wait_s: float) -> bool:
        self._woken.wait(wait_s)
        self._woken.clear()
        return self.player.tick()


class QtsPlayer:
    name = "QMediaPlayer"

    def __init__(self, film: MadeFilm) -> None:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        from PyQt6.QtCore import QUrl
        from PyQt6.QtGui import QGuiApplication
        from PyQt6.QtMultimedia import QMediaPlayer, QVideoSink

        self._app = QGuiApplication.instance() or QGuiApplication(["benchmark"])
        self._fps, self._row = film.fps, 0
        self._frames: list[tuple[int, float, Rgb | None]] = []
        self._wants_pictures = True
        self._player, self._sink = QMediaPlayer(), QVideoSink()
        self._sink.videoFrameChanged.connect(self._take)
        self._player.setVideoSink(self._sink)
        self._player.setSource(QUrl.fromLocalFile(str(film.path)))
        self._player.pause()
        self._until(lambda: bool(self._frames))

    def go(self, row: int) -> Came:
        self._frames.clear()
        self._row = row
        begun_s = time.perf_counter()
        self._player.setPosition(self._middle_ms(row))
        self._until(lambda: any(number == row for number, _, _ in self._frames))
        picture = next(one for one in self._frames if one[0] == row)
        assert picture[2] is not None
        return Came(self._frames[0][1] - begun_s, picture[1] - begun_s, picture[2])

    def step(self, n_frames: int) -> Came:
        return self.go(self._row + n_frames)

    def idle(self, seconds: float) -> None:
        give_up_s = time.perf_counter() + seconds
        while time.perf_counter() < give_up_s:
            self._app.processEvents()
            time.sleep(0.001)

    def play(self, row: int, rate: float, seconds: float) -> list[Seen]:
        self.go(row)
        self.idle(0.3)
        self._frames.clear()
        self._wants_pictures = False
        self._player.setPlaybackRate(rate)
        self._player.play()
        self.idle(seconds)
        self._player.pause()
        self._player.setPlaybackRate(1.0)
        seen = [Seen(number, at_s) for number, at_s, _ in self._frames]
        self.idle(0.2)
        self._wants_pictures = True
        return seen

    def close(self) -> None:
        self._player.stop()
        self.idle(0.1)
        self._player.setVideoSink(None)

    def _take(self, frame: object) -> None:
        if not frame.isValid():  # type: ignore[attr-defined]
            return
        row = round(frame.startTime() * self._fps / 1_000_000)  # type: ignore[attr-defined]
        picture = _rgb_of(frame.toImage()) if self._wants_pictures else None  # type: ignore[attr-defined]
        self._frames.append((row, time.perf_counter(), picture))

    def _middle_ms(self, row: int) -> int:
        return (2 * row + 1) * 1000 // (2 * self._fps)

    def _until(self, holds: Callable[[], bool]) -> None:
        give_up_s = time.perf_counter() + GIVE_UP_S
        while not holds():
            self._app.processEvents()
            time.sleep(0.0005)
            if time.perf_counter() > give_up_s:
                raise TimeoutError("QMediaPlayer shows nothing")


class Cv2:
    name = "cv2.VideoCapture"

    def __init__(self, film: MadeFilm) -> None:
        self._capture = cv2.VideoCapture(str(film.path))
        self._fps, self._row, self._next_row = film.fps, 0, 0
        self._read()

    def go(self, row: int) -> Came:
        begun_s = time.perf_counter()
        if row != self._next_row:
            self._capture.set(cv2.CAP_PROP_POS_FRAMES, row)
        self._row = self._next_row = row
        picture = self._read()
        took_s = time.perf_counter() - begun_s
        return Came(took_s, took_s, picture)

    def step(self, n_frames: int) -> Came:
        return self.go(self._row + n_frames)

    def idle(self, seconds: float) -> None:
        time.sleep(seconds)

    def play(self, row: int, rate: float, seconds: float) -> list[Seen]:
        """Read each frame of those that are due, and wait where it is too early."""
        self.go(row)
        begun_s = time.perf_counter()
        seen: list[Seen] = []
        while (passed_s := time.perf_counter() - begun_s) < seconds:
            early_s = (self._next_row - row) / (self._fps * rate) - passed_s
            if early_s > 0:
                time.sleep(early_s)
            self._read()
            seen.append(Seen(self._next_row - 1, time.perf_counter()))
        return seen

    def close(self) -> None:
        self._capture.release()

    def _read(self) -> Rgb:
        read, picture = self._capture.read()
        if not read:
            raise LookupError("cv2 gave no picture")
        self._next_row += 1
        return cv2.cvtColor(picture, cv2.COLOR_BGR2RGB)


def as_array(picture: Picture) -> Rgb:
    """Return a picture of ours as an array."""
    pixels = picture.pixels
    rows = np.frombuffer(pixels.rgb, np.uint8).reshape(pixels.height_px, pixels.stride_bytes)
    return rows[:, : 3 * pixels.width_px].reshape(pixels.height_px, pixels.width_px, 3)


def _rgb_of(image: object) -> Rgb:
    from PyQt6.QtGui import QImage

    image = image.convertToFormat(QImage.Format.Format_RGB888)  # type: ignore[attr-defined]
    bits = image.constBits().asstring(image.sizeInBytes())
    rows = np.frombuffer(bits, np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3)
