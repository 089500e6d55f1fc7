"""Films whose clock is the difficulty: start, rate, jumps, stamps missing or equal."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from made_films.boxes import with_edits
from made_films.making import X264, base, coded, even, ffmpeg, joined, repacked, sound
from made_films.numbered import HEIGHT_PX, WIDTH_PX, grey_picture

LATE = ("-muxpreload", "0", "-muxdelay", "0", "-output_ts_offset")
TS_PACKET = 188


def dropped_stamps(n: int) -> tuple[int, ...]:
    """Steps of 1, 2, 3 or 6 thirtieths of a second, in 1/90000."""
    steps = [3000 * (1, 1, 2, 1, 3, 1, 1, 6)[k % 8] for k in range(n - 1)]
    return (0, *np.cumsum(steps).tolist())


def slowing_stamps(n: int) -> tuple[int, ...]:
    """60 pictures a second, from half way on 15, in 1/90000."""
    steps = [1500 if k < n // 2 else 6000 for k in range(n - 1)]
    return (0, *np.cumsum(steps).tolist())


def held_stamps(n: int) -> tuple[int, ...]:
    """25 pictures a second; one of them stays for 20 seconds."""
    return tuple(k + (500 if k >= n // 2 else 0) for k in range(n))


def ts(folder: Path, name: str, *arguments: str, first: int = 0, n: int = 60, **kwargs) -> Path:
    return coded(folder / name, *X264, "-g", "25", *arguments, n=n, first=first, **kwargs)


def ms_rounding(folder: Path) -> Path:
    return coded(folder / "ms.mkv", *X264, "-g", "30", "-bf", "3", rate="30000/1001", n=90)


def edit_list_cut(folder: Path) -> Path:
    return repacked(folder, "cut.mp4", before=("-ss", "0.70"))


def edit_list_delay(folder: Path) -> Path:
    path = folder / "delay.mp4"
    ffmpeg(
        *("-itsoffset", "1.5", "-i", base(), *sound(4), "-map", "0:v", "-map", "1:a"),
        *("-c:v", "copy", path),
    )
    return path


def edit_list_of_two(folder: Path) -> Path:
    """Pictures 10 to 29 and 50 to 69; both pieces begin inside a group of 12."""
    return joined(
        folder / "pieces.mp4", with_edits(base().read_bytes(), [(10, 20), (50, 20)], rate=25)
    )


def negative_start(folder: Path) -> Path:
    options = ("-avoid_negative_ts", "disabled", "-output_ts_offset", "-0.5")
    return repacked(folder, "negative.mkv", *options)


def ts_late(folder: Path) -> Path:
    return ts(folder, "late.ts", *LATE, "3600", n=80)


def ts_wrap(folder: Path) -> Path:
    return ts(folder, "wrap.ts", *LATE, "95442", n=80)


def ts_clock_restarts(folder: Path) -> Path:
    pieces = (ts(folder, "r1.ts"), ts(folder, "r2.ts", first=60))
    return joined(folder / "restart.ts", *(piece.read_bytes() for piece in pieces))


def ts_clock_jumps(folder: Path) -> Path:
    pieces = (ts(folder, "j1.ts"), ts(folder, "j2.ts", *LATE, "600", first=60))
    return joined(folder / "jump.ts", *(piece.read_bytes() for piece in pieces))


def ts_same_twice(folder: Path) -> Path:
    return joined(folder / "twice.ts", ts(folder, "once.ts").read_bytes() * 2)


def ps_clock_restarts(folder: Path) -> Path:
    """Two takes of a disc recorder joined byte by byte."""
    mpeg2 = ("-c:v", "mpeg2video", "-g", "15", "-bf", "2", "-q:v", "3", "-f", "vob")
    pieces = [coded(folder / f"v{k}.vob", *mpeg2, n=45, first=45 * k) for k in range(2)]
    return joined(folder / "takes.vob", *(piece.read_bytes() for piece in pieces))


def sound_first(folder: Path) -> Path:
    """Sound starts a second before the picture, in a container without edit lists."""
    path = folder / "sound_first.ts"
    ffmpeg(
        *("-itsoffset", "1", "-i", base(), *sound(4), "-map", "0:v", "-map", "1:a"),
        *("-c:v", "copy", path),
    )
    return path


def equal_stamps(folder: Path) -> Path:
    """Three pictures repeat the stamp of the one shown before them."""
    path = folder / "equal.mkv"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=Fraction(25))
        stream.width, stream.height, stream.pix_fmt = WIDTH_PX, HEIGHT_PX, "yuv420p"
        stream.codec_context.time_base = Fraction(1, 1000)
        stream.options = {"preset": "veryfast", "g": "12", "bf": "0"}
        for number, stamp in enumerate(even(60, 40)):
            frame = av.VideoFrame.from_ndarray(grey_picture(number), format="gray")
            frame = frame.reformat(format="yuv420p")
            frame.pts, frame.time_base = stamp, Fraction(1, 1000)
            for packet in stream.encode(frame):
                if packet.pts in (800, 840, 1400):
                    packet.pts = packet.dts = packet.pts - (80 if packet.pts == 840 else 40)
                container.mux(packet)
        container.mux(stream.encode(None))
    return path


def some_without_stamps(folder: Path) -> Path:
    """A transport stream in which every seventh picture comes without time stamps."""
    content = bytearray(ts(folder, "all.ts", "-bf", "2").read_bytes())
    n_pictures = 0
    for start in range(0, len(content), TS_PACKET):
        picture_id, begins = content[start + 2], content[start + 1] & 0x40
        if picture_id != 0 or content[start + 1] & 0x1F != 1 or not begins:
            continue  # the program writes pictures as packets 0x100
        payload = start + 4
        if content[start + 3] & 0x20:
            payload += 1 + content[payload]
        n_pictures += 1
        if n_pictures % 7 == 0:
            length = content[payload + 8]
            content[payload + 7] &= 0x3F
            content[payload + 9 : payload + 9 + length] = b"\xff" * length
    return joined(folder / "some.ts", bytes(content))


def bare_stream(folder: Path) -> Path:
    return coded(folder / "bare.h264", *X264, "-f", "h264")


def huge_timescale(folder: Path) -> Path:
    """Seconds in parts of a hundred millionth, as some encoders write."""
    scale = ("-video_track_timescale", "100000000")
    return coded(folder / "huge.mp4", *X264, *scale, rate="60000/1001")


def negative_offsets(folder: Path) -> Path:
    return repacked(folder, "offsets.mp4", "-movflags", "negative_cts_offsets")
