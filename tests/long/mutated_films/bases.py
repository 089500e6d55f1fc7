"""The whole films that mutated ones are made from: small, of every container and coding.

Made with PyAV alone and without threads, so that the same version makes the same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

WIDTH_PX, HEIGHT_PX = 160, 96
RATE = Fraction(25)


@dataclass(frozen=True)
class Base:
    """How a whole film is made.

    Args:
        container: Name of the muxer.
        codec: Name of the encoder.
        options: The encoder's.
        muxing: The muxer's.
        pixels: Form of the pixels.
        sound: Whether there is a sound stream too.
    """

    container: str
    codec: str
    options: dict[str, str] = field(default_factory=dict)
    muxing: dict[str, str] = field(default_factory=dict)
    pixels: str = "yuv420p"
    sound: bool = False


# One thread each, as x264 makes other bytes when its threads meet otherwise.
X264 = {
    "preset": "veryfast",
    "g": "12",
    "bf": "2",
    "x264-params": "threads=1:lookahead-threads=1:sync-lookahead=0:mbtree=0",
}
X265 = {"preset": "ultrafast", "x265-params": "pools=none:frame-threads=1:keyint=12:log-level=0"}
OPEN = {"preset": "ultrafast", "x265-params": X265["x265-params"] + ":open-gop=1:bframes=3"}
MPEG = {"g": "12", "bf": "2", "b": "400k"}
FRAGMENTS = {"movflags": "frag_keyframe+empty_moov+default_base_moof"}

BASES = {
    "mp4_h264": Base("mp4", "libx264", X264),
    "mp4_h264_sound": Base("mp4", "libx264", X264, {"movflags": "faststart"}, sound=True),
    "mp4_fragmented": Base("mp4", "libx264", X264, FRAGMENTS),
    "mp4_hevc_open": Base("mp4", "libx265", OPEN),
    "mov_hevc_10bit": Base("mov", "libx265", X265, pixels="yuv420p10le"),
    "mkv_h264": Base("matroska", "libx264", X264, sound=True),
    "webm_vp9": Base("webm", "libvpx-vp9", {"cpu-used": "8", "deadline": "realtime", "g": "20"}),
    "ts_h264": Base("mpegts", "libx264", X264),
    "ts_mpeg2": Base("mpegts", "mpeg2video", {**MPEG, "flags": "+ildct+ilme"}),
    "ps_mpeg2": Base("vob", "mpeg2video", MPEG),
    "avi_mjpeg": Base("avi", "mjpeg", pixels="yuvj420p", sound=True),
    "avi_mpeg4": Base("avi", "mpeg4", MPEG),
}


def made(name: str, n_frames: int, folder: Path) -> Path:
    """Return a whole film, made if it is not there yet."""
    path = folder / f"{name}.{n_frames}"
    if not path.exists():
        write(BASES[name], n_frames, path)
    return path


def write(base: Base, n_frames: int, path: Path) -> None:
    """Encode a film."""
    options = {"fflags": "+bitexact", **base.muxing}
    with av.open(str(path), "w", format=base.container, options=options) as container:
        picture = container.add_stream(base.codec, rate=RATE, options=dict(base.options))
        picture.width, picture.height, picture.pix_fmt = WIDTH_PX, HEIGHT_PX, base.pixels
        picture.codec_context.thread_count = 1
        sound = None
        if base.sound:
            sound = container.add_stream("mp2", rate=48000)
            sound.codec_context.bit_rate = 64_000
        for frame in pictures(base.pixels, n_frames):
            container.mux(picture.encode(frame))
        container.mux(picture.encode(None))
        if sound is not None:
            for samples in tones(n_frames):
                container.mux(sound.encode(samples))
            container.mux(sound.encode(None))


def pictures(pixels: str, n_frames: int) -> Iterator[av.VideoFrame]:
    """Yield pictures in which everything moves a little."""
    noise = np.random.default_rng(3).integers(0, 12, (HEIGHT_PX, WIDTH_PX))
    for number in range(n_frames):
        across = np.arange(WIDTH_PX)[None, :] + 3 * number
        down = np.arange(HEIGHT_PX)[:, None] + number
        grey = 110 + 40 * np.sin(across / 19) + 30 * np.cos(down / 11) + np.roll(noise, number)
        frame = av.VideoFrame.from_ndarray(grey.astype(np.uint8), format="gray")
        frame = frame.reformat(format=pixels)
        frame.pts, frame.time_base = number, 1 / RATE
        yield frame


def tones(n_frames: int) -> Iterator[av.AudioFrame]:
    """Yield as much sound as there is picture."""
    step = 1152
    for start in range(0, int(n_frames / RATE * 48000), step):
        wave = 8000 * np.sin(np.arange(start, start + step) / 20)
        samples = wave.astype(np.int16)[None, :]
        frame = av.AudioFrame.from_ndarray(samples, format="s16", layout="mono")
        frame.sample_rate, frame.pts, frame.time_base = 48000, start, Fraction(1, 48000)
        yield frame


def packet_spans(path: Path) -> list[tuple[int, int]]:
    """Return where the packets of a film's picture stand in the file, as far as it says."""
    with av.open(str(path)) as container:
        packets = container.demux(container.streams.video[0])
        return [(p.pos, p.pos + p.size) for p in packets if p.size and p.pos is not None]
