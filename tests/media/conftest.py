"""Films made for the tests, every picture carrying its own number.

The number is burnt in as sixteen cells along the top edge: a white and a black guard, ten bits,
four check bits. It survives compression and tells which picture was delivered independently of
any time stamp.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from pathlib import Path

import av
import numpy as np
import pytest

WIDTH_PX, HEIGHT_PX = 256, 144
N_CELLS = 16
FFMPEG, FFPROBE = shutil.which("ffmpeg"), shutil.which("ffprobe")


def check_bits(number: int) -> int:
    return (number ^ number >> 4 ^ number >> 8 ^ 0b1010) & 15


def grey_picture(number: int, width_px: int = WIDTH_PX, height_px: int = HEIGHT_PX) -> np.ndarray:
    """A picture whose top edge says its number, over a pattern that moves."""
    across = np.arange(width_px)[None, :] + 3 * number
    down = np.arange(height_px)[:, None] + number
    picture = (110 + 40 * np.sin(across / 19) + 30 * np.cos(down / 11)).astype(np.uint8)
    bits = [1, 0, *(number >> bit & 1 for bit in range(9, -1, -1))]
    bits += [check_bits(number) >> bit & 1 for bit in range(3, -1, -1)]
    edges = np.linspace(0, width_px, N_CELLS + 1).round().astype(int)
    for bit, left, right in zip(bits, edges[:-1], edges[1:], strict=True):
        picture[: height_px // 8, left:right] = 235 if bit else 16
    return picture


def number_in(grey: np.ndarray) -> int | None:
    """The number a picture says; None where guards or check bits are broken."""
    height, width = grey.shape
    centres = ((np.arange(N_CELLS) + 0.5) * width / N_CELLS).astype(int)
    half = max(1, width // N_CELLS // 5)
    band = grey[height // 32 : height // 8 - height // 32]
    levels = np.array([band[:, c - half : c + half].mean() for c in centres])
    if levels[0] - levels[1] < 60:
        return None
    bits = levels > (levels[0] + levels[1]) / 2
    number = int("".join("01"[int(bit)] for bit in bits[2:12]), 2)
    check = int("".join("01"[int(bit)] for bit in bits[12:]), 2)
    return number if check == check_bits(number) else None


def number_of(picture) -> int | None:
    """The number that a delivered picture says."""
    pixels = picture.pixels
    rows = np.frombuffer(pixels.rgb, np.uint8).reshape(pixels.height_px, pixels.stride_bytes)
    rgb = rows[:, : 3 * pixels.width_px].reshape(pixels.height_px, pixels.width_px, 3)
    return number_in(rgb.mean(axis=2))


def encode(
    path: Path,
    stamps: Iterable[int],
    time_base: Fraction,
    *,
    first_number: int = 0,
    options: dict[str, str] | None = None,
) -> Path:
    """Write an H.264 film with PyAV; one picture per stamp, in the given time base."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=Fraction(30))
        stream.width, stream.height, stream.pix_fmt = WIDTH_PX, HEIGHT_PX, "yuv420p"
        stream.codec_context.time_base = time_base
        stream.options = {"preset": "veryfast", "g": "12", "bf": "2", **(options or {})}
        for number, stamp in enumerate(stamps, first_number):
            frame = av.VideoFrame.from_ndarray(grey_picture(number), format="gray")
            frame = frame.reformat(format="yuv420p")
            frame.pts, frame.time_base = stamp, time_base
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def ffmpeg(*arguments: str | Path, pictures: Iterable[np.ndarray] = ()) -> None:
    if FFMPEG is None:
        pytest.skip("the ffmpeg program is not installed")
    command = [FFMPEG, "-v", "error", "-y", *map(str, arguments)]
    raw = b"".join(picture.tobytes() for picture in pictures)
    subprocess.run(command, input=raw, check=True, stderr=subprocess.DEVNULL)


def coded(
    path: Path,
    *arguments: str | Path,
    n: int = 80,
    first: int = 0,
    rate: str = "25",
    size: tuple[int, int] = (WIDTH_PX, HEIGHT_PX),
    inputs: tuple[str | Path, ...] = (),
) -> Path:
    """Pipe numbered pictures into the ffmpeg program."""
    width, height = size
    ffmpeg(
        *("-f", "rawvideo", "-pix_fmt", "gray", "-s", f"{width}x{height}", "-r", rate),
        *("-i", "-", *inputs, "-pix_fmt", "yuv420p", *arguments, path),
        pictures=(grey_picture(first + k, width, height) for k in range(n)),
    )
    return path


X264 = ("-c:v", "libx264", "-preset", "veryfast", "-g", "12", "-bf", "2")


def base(folder: Path, n: int = 80) -> Path:
    """The plain film that the others are cut, damaged and repacked from."""
    path = folder / f"base{n}.mp4"
    return path if path.exists() else coded(path, *X264, n=n)


def repacked(folder: Path, name: str, *arguments: str | Path) -> Path:
    path = folder / name
    ffmpeg("-i", base(folder), "-c", "copy", *arguments, path)
    return path


def joined(path: Path, *pieces: bytes) -> Path:
    path.write_bytes(b"".join(pieces))
    return path


def even(n: int, step: int = 1, start: int = 0) -> tuple[int, ...]:
    return tuple(start + k * step for k in range(n))


def dropped_stamps(n: int) -> tuple[int, ...]:
    """Steps of 1, 2, 3 or 6 thirtieths of a second, in 1/90000."""
    steps = [3000 * (1, 1, 2, 1, 3, 1, 1, 6)[k % 8] for k in range(n - 1)]
    return (0, *np.cumsum(steps).tolist())


def slowing_stamps(n: int) -> tuple[int, ...]:
    """60 pictures a second, from half way on 15, in 1/90000."""
    steps = [1500 if k < n // 2 else 6000 for k in range(n - 1)]
    return (0, *np.cumsum(steps).tolist())


def cover(folder: Path) -> Path:
    path = folder / "cover.png"
    ffmpeg("-f", "lavfi", "-i", "color=red:s=600x600", "-frames:v", "1", path)
    return path


def ts(folder: Path, name: str, *arguments: str, first: int = 0, n: int = 60, **kwargs) -> Path:
    return coded(folder / name, *X264, "-g", "25", *arguments, n=n, first=first, **kwargs)


def no_key_at_start(folder: Path) -> Path:
    whole = ts(folder, "whole.ts", n=80).read_bytes()
    cut = (int(len(whole) * 0.15) // 188) * 188
    return joined(folder / "no_key.ts", whole[: 3 * 188], whole[cut:])


def damaged(folder: Path) -> Path:
    content = bytearray(base(folder).read_bytes())
    start, stop = int(len(content) * 0.45), int(len(content) * 0.5)
    content[start:stop] = np.random.default_rng(5).bytes(stop - start)
    return joined(folder / "damaged.mp4", bytes(content))


def equal_stamps(folder: Path) -> Path:
    """Three pictures repeat the stamp of the one shown before them."""
    path = folder / "equal.mkv"
    stamps = even(60, 40)
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=Fraction(25))
        stream.width, stream.height, stream.pix_fmt = WIDTH_PX, HEIGHT_PX, "yuv420p"
        stream.codec_context.time_base = Fraction(1, 1000)
        stream.options = {"preset": "veryfast", "g": "12", "bf": "0"}
        for number, stamp in enumerate(stamps):
            frame = av.VideoFrame.from_ndarray(grey_picture(number), format="gray")
            frame = frame.reformat(format="yuv420p")
            frame.pts, frame.time_base = stamp, Fraction(1, 1000)
            for packet in stream.encode(frame):
                if packet.pts in (800, 840, 1400):
                    packet.pts = packet.dts = packet.pts - (80 if packet.pts == 840 else 40)
                container.mux(packet)
        container.mux(stream.encode(None))
    return path


def fragmented(folder: Path) -> Path:
    flags = "frag_keyframe+empty_moov+default_base_moof"
    return repacked(folder, "fragmented.mp4", "-movflags", flags)


def cut(path: Path, whole: Path, share: float) -> Path:
    content = whole.read_bytes()
    return joined(path, content[: int(len(content) * share)])


def faststart_cut(folder: Path) -> Path:
    whole = repacked(folder, "faststart.mp4", "-movflags", "+faststart")
    return cut(folder / "faststart_cut.mp4", whole, 0.62)


def avi_without_index(folder: Path) -> Path:
    whole = coded(folder / "mjpeg.avi", "-c:v", "mjpeg", "-q:v", "3", n=50)
    return cut(folder / "no_index.avi", whole, 0.9)


def first_picture_other_format(folder: Path) -> Path:
    pieces = []
    for name, form, first, n in (("a", "yuvj422p", 0, 1), ("b", "yuvj420p", 1, 29)):
        path = folder / f"pixels_{name}.avi"
        coded(path, "-c:v", "mjpeg", "-q:v", "3", "-pix_fmt", form, n=n, first=first)
        pieces.append(path)
    names = folder / "pixels.txt"
    names.write_text("".join(f"file '{piece}'\n" for piece in pieces))
    path = folder / "pixels.avi"
    ffmpeg("-f", "concat", "-safe", "0", "-i", names, "-c", "copy", path)
    return path


def sound(seconds: int) -> tuple[str, ...]:
    return ("-f", "lavfi", "-i", f"sine=d={seconds}")


N29, N59 = Fraction(1001, 30000), Fraction(1001, 60000)
TICK = Fraction(1, 90000)
OPEN_GOP = "open-gop=1:keyint=24:min-keyint=24:bframes=3"
LATE = ("-muxpreload", "0", "-muxdelay", "0", "-output_ts_offset")


@dataclass(frozen=True)
class Plan:
    """A film made with PyAV alone, whose true stamps are those it was made with."""

    stamps: tuple[int, ...]
    time_base: Fraction
    options: dict[str, str] = field(default_factory=dict)


# The films that have to be right first; tested without any other program too.
PLANS = {
    "25_closed": Plan(even(100), Fraction(1, 25)),
    "2997_long_groups": Plan(even(150), N29, {"g": "90", "bf": "3", "b-pyramid": "normal"}),
    "5994": Plan(even(120), N59, {"g": "30", "bf": "3"}),
    "variable_drops": Plan(dropped_stamps(90), TICK),
    "variable_60_then_15": Plan(slowing_stamps(90), TICK),
    "late_start": Plan(even(75, 1001, 45045), Fraction(1, 30000)),
    "no_b_frames": Plan(even(60), Fraction(1, 25), {"bf": "0", "g": "10"}),
    "one_frame": Plan((0,), Fraction(1, 25)),
}

OTHER_FILMS: dict[str, Callable[[Path], Path]] = {
    "ms_rounding": lambda f: coded(
        f / "ms.mkv", *X264, "-g", "30", "-bf", "3", rate="30000/1001", n=90
    ),
    "open_group_h264": lambda f: coded(
        f / "open.mp4", "-c:v", "libx264", "-x264-params", OPEN_GOP, n=100
    ),
    "open_group_hevc": lambda f: coded(
        f / "open_hevc.mp4", "-c:v", "libx265", "-x265-params", "open-gop=1:keyint=24:log-level=0"
    ),
    "edit_list_cut": lambda f: (
        ffmpeg("-ss", "0.70", "-i", base(f), "-c", "copy", f / "cut.mp4"),
        f / "cut.mp4",
    )[1],
    "edit_list_delay": lambda f: (
        ffmpeg(
            *("-itsoffset", "1.5", "-i", base(f), *sound(4), "-map", "0:v", "-map", "1:a"),
            *("-c:v", "copy", f / "delay.mp4"),
        ),
        f / "delay.mp4",
    )[1],
    "negative_start": lambda f: repacked(
        f, "negative.mkv", "-avoid_negative_ts", "disabled", "-output_ts_offset", "-0.5"
    ),
    "ts_late": lambda f: ts(f, "late.ts", *LATE, "3600", n=80),
    "ts_wrap": lambda f: ts(f, "wrap.ts", *LATE, "95442", n=80),
    "ts_clock_restarts": lambda f: joined(
        f / "restart.ts",
        ts(f, "r1.ts").read_bytes(),
        ts(f, "r2.ts", first=60).read_bytes(),
    ),
    "ts_clock_jumps": lambda f: joined(
        f / "jump.ts",
        ts(f, "j1.ts").read_bytes(),
        ts(f, "j2.ts", *LATE, "600", first=60).read_bytes(),
    ),
    "ts_same_twice": lambda f: joined(f / "twice.ts", ts(f, "once.ts").read_bytes() * 2),
    "ts_no_key_at_start": no_key_at_start,
    "program_stream": lambda f: coded(
        f / "ps.mpg", "-c:v", "mpeg2video", "-g", "15", "-bf", "2", "-q:v", "3", "-f", "vob"
    ),
    "mpeg2_interlaced": lambda f: coded(
        f / "mpeg2.ts", "-c:v", "mpeg2video", "-flags", "+ildct+ilme", "-q:v", "3", "-bf", "2"
    ),
    "h264_interlaced": lambda f: coded(
        f / "tff.mp4", *X264, "-x264-params", "tff=1", "-flags", "+ildct+ilme"
    ),
    "avi_b_frames": lambda f: coded(f / "b.avi", "-c:v", "mpeg4", "-bf", "2", "-q:v", "3"),
    "avi_without_index": avi_without_index,
    "faststart_cut": faststart_cut,
    "fragmented": fragmented,
    "fragmented_cut": lambda f: cut(f / "fragmented_cut.mp4", fragmented(f), 0.7),
    "damaged_middle": damaged,
    "ten_bit": lambda f: coded(
        f / "ten.mp4", "-c:v", "libx265", "-x265-params", "log-level=0", "-pix_fmt", "yuv420p10le"
    ),
    "odd_size": lambda f: coded(f / "odd.mp4", *X264, "-pix_fmt", "yuv444p", size=(227, 161)),
    "cover_first_mp4": lambda f: (
        ffmpeg(
            *("-i", cover(f), "-i", base(f), "-map", "0", "-map", "1", "-c", "copy"),
            *("-disposition:v:0", "attached_pic", f / "cover.mp4"),
        ),
        f / "cover.mp4",
    )[1],
    "cover_first_mkv": lambda f: (
        ffmpeg(
            *("-i", cover(f), "-i", base(f), "-map", "0", "-map", "1"),
            *("-c:v:0", "mjpeg", "-c:v:1", "copy", f / "cover.mkv"),
        ),
        f / "cover.mkv",
    )[1],
    "two_films": lambda f: (
        ffmpeg(
            *("-f", "lavfi", "-i", "testsrc2=s=64x36:d=2", "-i", base(f), "-map", "0", "-map"),
            *("1", "-c:v:0", "libx264", "-c:v:1", "copy", "-disposition:v:0", "0"),
            *("-disposition:v:1", "default", f / "two.mp4"),
        ),
        f / "two.mp4",
    )[1],
    "size_changes": lambda f: joined(
        f / "size.ts",
        ts(f, "s1.ts", *LATE, "0", n=50).read_bytes(),
        ts(f, "s2.ts", *LATE, "2.08", first=50, n=50, size=(128, 72)).read_bytes(),
    ),
    "sound_longer": lambda f: coded(f / "sound.mp4", *X264, n=50, inputs=sound(4)),
    "bare_stream": lambda f: coded(f / "bare.h264", *X264, "-f", "h264"),
    "intra_refresh": lambda f: coded(
        f / "refresh.mp4", *X264, "-g", "60", "-bf", "0", "-x264-params", "intra-refresh=1", n=110
    ),
    "equal_stamps": equal_stamps,
    "pixels_change": first_picture_other_format,
    "vp9_hidden_pictures": lambda f: coded(
        f / "vp9.webm",
        *("-c:v", "libvpx-vp9", "-auto-alt-ref", "1", "-lag-in-frames", "16", "-b:v", "200k"),
        *("-deadline", "realtime", "-cpu-used", "8"),
        n=60,
    ),
    "dv": lambda f: coded(f / "tape.dv", "-target", "pal-dv", n=12, size=(720, 576)),
}

STREAM_OF = {"cover_first_mkv": 1, "two_films": 1}


@dataclass(frozen=True)
class MadeFilm:
    """A film under test, and which of its streams is the film."""

    name: str
    path: Path
    stream: int


@dataclass(frozen=True)
class Truth:
    """What other programs say of a film: each decoded picture's own number and its stamp."""

    time_base: Fraction
    numbers: tuple[int | None, ...]
    stamps: tuple[int | None, ...]


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "film" in metafunc.fixturenames:
        metafunc.parametrize("film", [*PLANS, *OTHER_FILMS], indirect=True)
    if "planned" in metafunc.fixturenames:
        metafunc.parametrize("planned", list(PLANS), indirect=True)


@pytest.fixture(scope="session")
def film_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("films")


@pytest.fixture(scope="session")
def made(film_folder: Path) -> Callable[[str], MadeFilm]:
    @cache
    def film_of(name: str) -> MadeFilm:
        if name in PLANS:
            plan = PLANS[name]
            path = film_folder / f"{name}.mp4"
            encode(path, plan.stamps, plan.time_base, options=plan.options)
        else:
            path = OTHER_FILMS[name](film_folder)
        return MadeFilm(name, path, STREAM_OF.get(name, 0))

    return film_of


@pytest.fixture
def film(request: pytest.FixtureRequest, made: Callable[[str], MadeFilm]) -> MadeFilm:
    return made(request.param)


@pytest.fixture
def planned(request: pytest.FixtureRequest, made: Callable[[str], MadeFilm]) -> tuple[Path, Plan]:
    return made(request.param).path, PLANS[request.param]


@pytest.fixture(scope="session")
def truth_of() -> Callable[[MadeFilm], Truth]:
    """The independent list: stamps by ffprobe, pictures by the ffmpeg program."""

    @cache
    def truth(film: MadeFilm) -> Truth:
        if FFMPEG is None or FFPROBE is None:
            pytest.skip("ffprobe and ffmpeg are not installed")
        probe = [FFPROBE, "-v", "quiet", "-of", "json", "-select_streams", str(film.stream)]
        probe += ["-show_streams", "-show_frames", "-show_entries"]
        probe += ["stream=time_base:frame=pts,best_effort_timestamp", str(film.path)]
        said = json.loads(subprocess.run(probe, capture_output=True, check=False).stdout)
        decode = [FFMPEG, "-v", "quiet", "-i", str(film.path), "-map", f"0:{film.stream}"]
        decode += ["-fps_mode", "passthrough", "-vf", f"scale={WIDTH_PX}:{HEIGHT_PX}"]
        decode += ["-f", "rawvideo", "-pix_fmt", "gray", "-"]
        raw = subprocess.run(decode, capture_output=True, check=False).stdout
        pictures = np.frombuffer(raw, np.uint8).reshape(-1, HEIGHT_PX, WIDTH_PX)
        return Truth(
            Fraction(said["streams"][0]["time_base"]),
            tuple(number_in(picture) for picture in pictures),
            tuple(f.get("pts", f.get("best_effort_timestamp")) for f in said["frames"]),
        )

    return truth


@pytest.fixture(scope="session")
def read_number() -> Callable[..., int | None]:
    return number_of


@pytest.fixture(scope="session")
def encoded() -> Callable[..., Path]:
    return encode


@pytest.fixture(scope="session")
def run_ffmpeg() -> Callable[..., None]:
    return ffmpeg
