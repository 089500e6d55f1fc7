"""Films whose truth is known: rendered sessions, whole and short, and one with more faults each."""

from __future__ import annotations

import random
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np

ROOT = Path(__file__).parents[2]
RENDERER = ROOT / "sample_media" / "render.py"
DEMO = ROOT / "sample_media" / "demo"

SESSIONS = {
    4: ("--eye", "left"),
    5: ("--seat", "superior"),
    6: ("--eye", "left", "--seat", "superior", "--mirror"),
    7: ("--turn", "20"),
    8: ("--eye", "left", "--turn", "160", "--mirror"),
}
"""How the seeds differ besides in what is drawn by chance; others are as the demo is."""

SHORT = ("--rate", "5", "--size", "480x270", "--faults", "none")
FROZEN_S, BRIGHT_S, LEFT_OUT_S = 2.0, 2.0, 8.0
BRIGHTER, DIMMER = 2.6, 0.78


@dataclass(frozen=True)
class Fault:
    """What was done to a film: kind, and from when to when it is to be seen on it."""

    kind: str
    start_s: float
    end_s: float


@dataclass(frozen=True)
class Broken:
    """A film with faults that the renderer lacks."""

    path: Path
    faults: tuple[Fault, ...]
    length_s: float


def session_film(folder: Path, seed: int) -> Path:
    """Return a whole session's film without its suffix; its truth lies beside it."""
    if seed == 1:
        return DEMO
    return _rendered(folder / f"seed{seed}", ("--seed", str(seed), *SESSIONS.get(seed, ())))


def hours_films(folder: Path) -> list[Path]:
    """Return short films: both eyes, both seats, mirrored or not, and two turns of the camera."""
    ways = {
        f"{eye}-{seat}{'-mirrored' * mirrored}": (
            *("--eye", eye, "--seat", seat),
            *(["--mirror"] * mirrored),
        )
        for eye in ("right", "left")
        for seat in ("temporal", "superior")
        for mirrored in (False, True)
    }
    ways |= {f"right-temporal-turn-{turn}": ("--turn", str(turn)) for turn in (20, 160)}
    return [
        _rendered(folder / f"hours-{name}", ("--seed", "4", *SHORT, *way))
        for name, way in ways.items()
    ]


def broken_film(whole: Path) -> Broken:
    """Return a session's film once more with a stretch left out, one frozen, and two of light.

    In each fifth of the film but the last one thing happens, where chance says by the film's name.
    """
    chance = random.Random(whole.name)
    path = whole.with_name(f"{whole.name}-broken.mp4")
    with av.open(f"{whole}.mp4") as film:
        stream = film.streams.video[0]
        n_frames, rate = stream.frames, float(stream.average_rate)
    at = [n_frames * (k + chance.uniform(0.25, 0.6)) / 5 / rate for k in range(4)]
    cut_s, frozen_s, bright_s, switched_s = (round(one * rate) / rate for one in at)
    shift_s = -LEFT_OUT_S
    faults = (
        Fault("cut", cut_s, cut_s),
        Fault("frozen", frozen_s + shift_s, frozen_s + shift_s + FROZEN_S),
        Fault("over-exposed", bright_s + shift_s, bright_s + shift_s + BRIGHT_S),
        Fault("light-switched", switched_s + shift_s, switched_s + shift_s),
    )
    if not path.is_file():
        _break(whole, path, (cut_s, frozen_s, bright_s, switched_s))
    return Broken(path, faults, n_frames / rate - LEFT_OUT_S)


def _break(whole: Path, path: Path, at_s: tuple[float, float, float, float]) -> None:
    cut_s, frozen_s, bright_s, switched_s = at_s
    part = path.with_name(f"unfinished-{path.name}")
    with av.open(f"{whole}.mp4") as film, av.open(str(part), "w") as out:
        source = film.streams.video[0]
        stream = out.add_stream("libx264", rate=source.average_rate, options={"crf": "24"})
        stream.width, stream.height, stream.pix_fmt = source.width, source.height, "yuv420p"
        held = None
        for frame in film.decode(source):
            second = float(frame.time)
            if cut_s <= second < cut_s + LEFT_OUT_S:
                continue
            pixels = frame.to_ndarray(format="rgb24")
            if frozen_s <= second < frozen_s + FROZEN_S:
                held = pixels if held is None else held
                pixels = held
            gain = BRIGHTER if bright_s <= second < bright_s + BRIGHT_S else 1.0
            gain *= DIMMER if second >= switched_s else 1.0
            lit = np.clip(pixels * gain, 0, 255).astype(np.uint8)
            out.mux(stream.encode(av.VideoFrame.from_ndarray(lit, format="rgb24")))
        out.mux(stream.encode(None))
    part.replace(path)


def _rendered(base: Path, how: tuple[str, ...]) -> Path:
    if not Path(f"{base}.mp4").is_file():
        command = [sys.executable, str(RENDERER), "--into", str(base.parent), "--name", base.name]
        subprocess.run([*command, *how], check=True)
    return base
