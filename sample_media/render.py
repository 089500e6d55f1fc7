"""Render an invented practice-eye session: the film, and beside it what is true of every frame.

python sample_media/render.py                       the demo: seed 1
python sample_media/render.py --seed 5 --eye left --seat superior --into FOLDER --name five
python sample_media/render.py --benchmark           frames rendered and encoded a second
"""

from __future__ import annotations

import argparse
import tempfile
import time
from fractions import Fraction
from pathlib import Path

from theatre.camera import Camera
from theatre.film import filmed
from theatre.session import staged
from theatre.settings import FAULTS, NOMINAL_LENGTH_S, Settings
from theatre.truth import json_text, table_bytes

HERE = Path(__file__).parent


def main() -> None:
    arguments = _arguments()
    settings = _settings(arguments)
    if arguments.benchmark:
        print(_speed(settings))
        return
    session = staged(settings)
    arguments.into.mkdir(parents=True, exist_ok=True)
    base = arguments.into / arguments.name
    Path(f"{base}.truth.json").write_text(json_text(session), encoding="utf-8")
    Path(f"{base}.frames.csv.gz").write_bytes(table_bytes(session))
    if not arguments.truth_only:
        started = time.perf_counter()
        film = Path(f"{base}.mp4")
        filmed(Camera(session), film, crf=arguments.crf)
        seconds = time.perf_counter() - started
        print(
            f"{film}: {settings.n_frames} frames in {seconds:.1f} s "
            f"({settings.n_frames / seconds:.1f} a second), {film.stat().st_size / 1e6:.2f} MB"
        )


def _settings(arguments: argparse.Namespace) -> Settings:
    faults = {"all": FAULTS, "none": ()}.get(arguments.faults)
    return Settings(
        seed=arguments.seed,
        eye=arguments.eye,
        seat=arguments.seat,
        mirror=arguments.mirror,
        turn_deg=arguments.turn,
        width_px=arguments.size[0],
        height_px=arguments.size[1],
        rate=arguments.rate,
        length_s=arguments.length,
        faults=tuple(arguments.faults.split(",")) if faults is None else faults,
    )


def _speed(settings: Settings) -> str:
    """Return how fast a short film of the settings is rendered and encoded."""
    short = Settings(**{**vars(settings), "length_s": 24.0})
    started = time.perf_counter()
    camera = Camera(staged(short))
    ready = time.perf_counter()
    for frame in range(short.n_frames):
        camera.picture(frame)
    drawn = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        filmed(camera, Path(folder) / "benchmark.mp4")
    done = time.perf_counter()
    return (
        f"{short.width_px} x {short.height_px}, {short.n_frames} frames: "
        f"set up in {ready - started:.1f} s, "
        f"drawn at {short.n_frames / (drawn - ready):.1f} a second, "
        f"drawn and encoded at {short.n_frames / (done - drawn):.1f} a second"
    )


def _size(text: str) -> tuple[int, int]:
    width, _, height = text.partition("x")
    return int(width), int(height)


def _arguments() -> argparse.Namespace:
    default = Settings()
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--seed", type=int, default=default.seed)
    parser.add_argument("--eye", choices=("right", "left"), default=default.eye)
    parser.add_argument("--seat", choices=("temporal", "superior"), default=default.seat)
    parser.add_argument("--mirror", action="store_true", help="the camera flips left and right")
    parser.add_argument(
        "--turn", type=float, default=0.0, help="camera's turn in degrees, clockwise"
    )
    parser.add_argument("--size", type=_size, default=(default.width_px, default.height_px))
    parser.add_argument("--rate", type=Fraction, default=default.rate, help="e.g. 25 or 30000/1001")
    parser.add_argument("--length", type=float, default=NOMINAL_LENGTH_S, help="seconds")
    parser.add_argument("--faults", default="all", help=f"all, none, or some of {','.join(FAULTS)}")
    parser.add_argument("--crf", type=float, default=29.3, help="higher is a smaller film")
    parser.add_argument("--into", type=Path, default=HERE)
    parser.add_argument("--name", default="demo")
    parser.add_argument("--truth-only", action="store_true", help="do not render the film")
    parser.add_argument("--benchmark", action="store_true", help="measure and print the speed")
    return parser.parse_args()


if __name__ == "__main__":
    main()
