"""The same asked of a film in four ways: ours, bare PyAV, cv2.VideoCapture, the ffmpeg program.

PyAV is used as carefully as a person would who knows the film: seek to the key before, decode on
until the stamp is the wanted one. cv2 and the ffmpeg program are asked the way their manuals say.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any, Protocol

import av
import cv2
import numpy as np
from films import MadeFilm

from aftercase.media.recording import open_recording

Rgb = np.ndarray


class Way(Protocol):
    """One way of reading a film; pictures are arrays of height x width x 3, R, G, B."""

    name: str

    def frame(self, row: int) -> Rgb:
        """Return one frame."""

    def run(self, first: int, n: int, width_px: int | None) -> Iterator[Rgb]:
        """Yield frames in order, shrunk to a width if it is given."""

    def close(self) -> None:
        """Close the film."""


class Ours:
    name = "ours"

    def __init__(self, film: MadeFilm, cache: Path | None = None) -> None:
        self._recording = open_recording([film.path], cache=cache)
        self.starts_us = self._recording.starts_us().tolist()

    def frame(self, row: int, *, copy_will_do: bool = False) -> Rgb:
        us = self.starts_us[row]
        return as_array(self._recording.picture_at(us, copy_will_do=copy_will_do))

    def run(self, first: int, n: int, width_px: int | None) -> Iterator[Rgb]:
        begin_us, end_us = self.starts_us[first], self.starts_us[first + n]
        for picture in self._recording.pictures_in(begin_us, end_us, max_side_px=width_px):
            yield as_array(picture)

    def close(self) -> None:
        self._recording.close()


class BarePyAV:
    name = "bare PyAV"

    def __init__(self, film: MadeFilm) -> None:
        self._container = av.open(str(film.path))
        self._stream = self._container.streams.video[0]
        self._stream.thread_type = "AUTO"
        self._pts = sorted(p.pts for p in self._container.demux(self._stream) if p.size)

    def frame(self, row: int) -> Rgb:
        return self._decoded(row).to_ndarray(format="rgb24")

    def decode_only(self, row: int) -> None:
        self._decoded(row)

    def run(self, first: int, n: int, width_px: int | None) -> Iterator[Rgb]:
        frame = self._decoded(first)
        frames = self._container.decode(self._stream)
        for left in range(n, 0, -1):
            if width_px is None:
                yield frame.to_ndarray(format="rgb24")
            else:
                height_px = frame.height * width_px // frame.width
                small = frame.reformat(width_px, height_px, "rgb24")
                yield small.to_ndarray()
            if left > 1:
                frame = next(frames)

    def close(self) -> None:
        self._container.close()

    def _decoded(self, row: int) -> Any:
        self._container.seek(self._pts[row], stream=self._stream)
        for frame in self._container.decode(self._stream):
            if frame.pts == self._pts[row]:
                return frame
        raise LookupError(row)


class Cv2:
    name = "cv2.VideoCapture"

    def __init__(self, film: MadeFilm) -> None:
        self._capture = cv2.VideoCapture(str(film.path))

    def frame(self, row: int) -> Rgb:
        self._capture.set(cv2.CAP_PROP_POS_FRAMES, row)
        return self._next()

    def run(self, first: int, n: int, width_px: int | None) -> Iterator[Rgb]:
        self._capture.set(cv2.CAP_PROP_POS_FRAMES, first)
        for _ in range(n):
            picture = self._next()
            if width_px is not None:
                size = (width_px, picture.shape[0] * width_px // picture.shape[1])
                picture = cv2.resize(picture, size, interpolation=cv2.INTER_AREA)
            yield picture

    def close(self) -> None:
        self._capture.release()

    def _next(self) -> Rgb:
        read, picture = self._capture.read()
        if not read:
            raise LookupError("cv2 gave no picture")
        return cv2.cvtColor(picture, cv2.COLOR_BGR2RGB)


class FfmpegProgram:
    """A program that is started anew for each question."""

    name = "ffmpeg program"

    def __init__(self, film: MadeFilm) -> None:
        self._film = film

    def frame(self, row: int) -> Rgb:
        return next(iter(self.run(row, 1, None)))

    def run(self, first: int, n: int, width_px: int | None) -> Iterator[Rgb]:
        width, height = 1920, 1080
        scale = []
        if width_px is not None:
            width, height = width_px, height * width_px // width
            scale = ["-vf", f"scale={width}:{height}"]
        # Half a frame early: what is shown from there on begins with the wanted frame.
        at_s = float(max(Fraction(0), Fraction(2 * first - 1, 2 * self._film.fps)))
        command = ["ffmpeg", "-v", "error", "-nostdin", "-ss", f"{at_s:.6f}"]
        command += ["-i", str(self._film.path), "-frames:v", str(n), *scale]
        command += ["-f", "rawvideo", "-pix_fmt", "rgb24", "-"]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as program:
            assert program.stdout is not None
            for _ in range(n):
                raw = program.stdout.read(3 * width * height)
                yield np.frombuffer(raw, np.uint8).reshape(height, width, 3)

    def close(self) -> None:
        """Nothing stays open."""


def as_array(picture: Any) -> Rgb:
    """Return a picture of ours as the others give theirs."""
    pixels = picture.pixels
    rows = np.frombuffer(pixels.rgb, np.uint8).reshape(pixels.height_px, pixels.stride_bytes)
    return rows[:, : 3 * pixels.width_px].reshape(pixels.height_px, pixels.width_px, 3)


def demuxed_by_pyav(film: MadeFilm) -> int:
    """Return how many packets reading a film through finds."""
    with av.open(str(film.path)) as container:
        stream = container.streams.video[0]
        return sum(1 for packet in container.demux(stream) if packet.size)


def opened_by_pyav(film: MadeFilm) -> None:
    """Open a film and list nothing."""
    av.open(str(film.path)).close()


def listed_by_ffprobe(film: MadeFilm) -> int:
    """Return how many packets the ffprobe program lists."""
    command = ["ffprobe", "-v", "error", "-select_streams", "v:0", "-of", "json"]
    command += ["-show_entries", "packet=pts,flags", str(film.path)]
    said = subprocess.run(command, capture_output=True, check=True).stdout
    return len(json.loads(said)["packets"])


def opened_by_cv2(film: MadeFilm) -> int:
    """Return how many frames cv2 counts, by the header alone."""
    capture = cv2.VideoCapture(str(film.path))
    n_frames = int(capture.get(cv2.CAP_PROP_FRAME_COUNT))
    capture.release()
    return n_frames


def decode_by_ffmpeg(film: MadeFilm) -> None:
    """Decode a whole film with the ffmpeg program and throw the pictures away."""
    command = ["ffmpeg", "-v", "error", "-nostdin", "-i", str(film.path), "-an", "-f", "null", "-"]
    subprocess.run(command, check=True)
