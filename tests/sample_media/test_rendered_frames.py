"""The drawn frames and the films show what the truth says."""

import csv
import dataclasses
import gzip
import json
from fractions import Fraction
from pathlib import Path

import av
import cv2
import numpy as np
import pytest
from theatre.camera import Camera
from theatre.film import filmed
from theatre.session import staged
from theatre.settings import Settings
from theatre.truth import COLUMNS, frame_rows, json_text

DEMO = Path(__file__).parents[2] / "sample_media"
SMALL = Settings(seed=2, width_px=384, height_px=216, length_s=40.0)
TINY = Settings(seed=4, width_px=192, height_px=108, rate=Fraction(25, 2), length_s=20.0)
WAYS = [
    (eye, seat, mirror)
    for eye in ("right", "left")
    for seat in ("temporal", "superior")
    for mirror in (False, True)
]


@pytest.fixture(scope="module")
def small():
    session = staged(SMALL)
    rows = [dict(zip(COLUMNS, row, strict=True)) for row in frame_rows(session)]
    return Camera(session), rows


@pytest.fixture(scope="module")
def demo_rows():
    with gzip.open(DEMO / "demo.frames.csv.gz", "rt", newline="") as lines:
        return list(csv.DictReader(lines))


def quiet_frames(rows, step=40):
    """Return frames that are sharp, lit and without instruments."""
    quiet = [
        n
        for n, row in enumerate(rows)
        if not (row["instruments"] or row["coming_or_going"] or row["black"])
        and float(row["blur_px"]) == 0
    ]
    return quiet[::step]


def profile(picture, row, name, shares, angles):
    """Return the picture along rays that cross an ellipse of the truth at share 1."""
    x, y, long_px, short_px, tilt_deg = (
        float(row[f"{name}_{key}"]) for key in ("x_px", "y_px", "long_px", "short_px", "deg")
    )
    tilt = np.radians(tilt_deg)
    along = np.array([np.sin(tilt), -np.cos(tilt)])
    across = np.array([-along[1], along[0]])
    unit = long_px * np.cos(angles)[:, None] * along + short_px * np.sin(angles)[:, None] * across
    points = np.array([x, y]) + shares[None, :, None] * unit[:, None, :]
    maps = points.astype(np.float32)
    return cv2.remap(picture.astype(np.float32), maps[..., 0], maps[..., 1], cv2.INTER_LINEAR)


RAYS = np.radians(np.arange(0, 360, 5))


def edge_errors(picture, row, name):
    """Return how far the steepest step lies from the ellipse, as shares of it, ray by ray."""
    shares = np.linspace(0.86, 1.14, 57)
    rays = profile(picture, row, name, shares, RAYS)
    rays = cv2.GaussianBlur(rays, (9, 1), 2.0)
    steps = np.abs(np.diff(rays, axis=1))
    middles = (shares[:-1] + shares[1:]) / 2
    return middles[steps.argmax(axis=1)] - 1.0


def off_centre(errors):
    """Return how far the found edge's centre lies from the ellipse's, as a share of it."""
    calm = np.clip(errors, -0.08, 0.08)
    return 2 * np.hypot(np.mean(calm * np.cos(RAYS)), np.mean(calm * np.sin(RAYS)))


def test_the_limbus_lies_where_the_truth_says(small):
    camera, rows = small
    frames = quiet_frames(rows)
    assert len(frames) >= 3
    for n in frames:
        errors = edge_errors(camera.picture(n).mean(axis=2), rows[n], "limbus")
        assert abs(np.median(errors)) < 0.03
        assert np.mean(np.abs(errors) < 0.06) > 0.8
        assert off_centre(errors) < 0.03


def test_the_white_outside_the_limbus_is_brighter_than_the_iris_inside(small):
    camera, rows = small
    for n in quiet_frames(rows):
        grey = camera.picture(n).mean(axis=2)
        inside, outside = profile(grey, rows[n], "limbus", np.array([0.88, 1.1]), RAYS).T
        assert np.mean(outside > inside + 25) > 0.9


def test_the_pupils_edge_lies_where_the_truth_says(small):
    camera, rows = small
    for n in quiet_frames(rows):
        picture = camera.picture(n).astype(np.float32)
        errors = edge_errors(picture[..., 2] - picture[..., 0], rows[n], "pupil")
        assert abs(np.median(errors)) < 0.03
        assert off_centre(errors) < 0.03


def test_the_brightest_spot_is_the_light_reflex(small):
    camera, rows = small
    for n in quiet_frames(rows):
        row = rows[n]
        bright = (camera.picture(n).min(axis=2) > 236).astype(np.uint8)
        _, _, _, centres = cv2.connectedComponentsWithStats(bright)
        apart = centres[1:] - np.array([float(row["reflex_x_px"]), float(row["reflex_y_px"])])
        assert np.hypot(*apart.T).min() < 0.03 * float(row["limbus_long_px"])
        assert row["reflex_seen"] == 1


def test_black_frames_are_black_and_no_others(small):
    camera, rows = small
    black = [n for n, row in enumerate(rows) if row["black"]]
    assert len(black) == 5
    assert all(camera.picture(n).max() < 16 for n in black)
    assert all(camera.picture(n).mean() > 60 for n in (black[0] - 1, black[-1] + 1))


def test_a_defocused_frame_is_less_sharp(small):
    camera, rows = small
    blur = [float(row["blur_px"]) for row in rows]
    soft = int(np.argmax(blur))
    sharp = next(n for n in range(soft, len(rows)) if blur[n] == 0)
    fine = [cv2.Laplacian(camera.picture(n), cv2.CV_32F).var() for n in (soft, sharp)]
    assert fine[0] < 0.5 * fine[1]


@pytest.mark.parametrize(("eye", "seat", "mirror"), WAYS)
def test_a_drawn_instrument_crosses_the_limbus_at_its_angle(eye, seat, mirror):
    settings = dataclasses.replace(TINY, eye=eye, seat=seat, mirror=mirror, turn_deg=20.0)
    session = staged(settings)
    frame = session.plan.step("nucleus-groove", 1).start
    row = dict(zip(COLUMNS, frame_rows(session, [frame])[0], strict=True))
    camera = Camera(session)
    with_instruments = camera.picture(frame).astype(np.float32)
    camera.session = dataclasses.replace(session, tips={})
    changed = np.abs(with_instruments - camera.picture(frame)).max(axis=2)
    x, y = float(row["limbus_x_px"]), float(row["limbus_y_px"])
    angles = np.arange(0, 360)
    reach = 1.1 * float(row["limbus_long_px"])
    ring_x = (x + reach * np.sin(np.radians(angles))).astype(np.float32)[None]
    ring_y = (y - reach * np.cos(np.radians(angles))).astype(np.float32)[None]
    ring = cv2.remap(changed, ring_x, ring_y, cv2.INTER_LINEAR)[0]
    entries = [float(entry.split(":")[4]) for entry in row["instruments"].split()]
    assert len(entries) == 2
    near = np.array([np.abs((angles - entry + 180) % 360 - 180) for entry in entries])
    assert all(ring[near[k] < 6].max() > 30 for k in range(2))
    assert ring[near.min(axis=0) > 40].max() < 30


def test_a_film_has_one_picture_for_every_row_of_the_truth(tmp_path):
    camera = Camera(staged(TINY))
    film = tmp_path / "tiny.mp4"
    filmed(camera, film, preset="ultrafast")
    with av.open(str(film)) as container:
        stream = container.streams.video[0]
        frames = [(frame.pts * frame.time_base, frame.width) for frame in container.decode(stream)]
    rows = frame_rows(camera.session)
    assert len(frames) == len(rows)
    starts = [-(-at.numerator * 1_000_000 // at.denominator) for at, _ in frames]
    assert starts == [row[1] for row in rows]


def test_the_demo_film_has_one_picture_for_every_row_and_is_black_where_the_truth_says(demo_rows):
    with av.open(str(DEMO / "demo.mp4")) as container:
        stream = container.streams.video[0]
        stream.thread_type = "AUTO"
        means = [np.asarray(frame.planes[0])[::97].mean() for frame in container.decode(stream)]
        assert not container.streams.audio
    assert len(means) == len(demo_rows)
    dark = [n for n, mean in enumerate(means) if mean < 24]
    assert dark == [n for n, row in enumerate(demo_rows) if row["black"] == "1"]


def test_the_demos_files_are_small_and_of_this_renderer(demo_rows):
    assert (DEMO / "demo.mp4").stat().st_size < 4_000_000
    assert (DEMO / "demo.frames.csv.gz").stat().st_size < 500_000
    session = staged(Settings())
    assert json.loads(json_text(session)) == json.loads((DEMO / "demo.truth.json").read_text())
    drawn = [
        [str(cell) for cell in row]
        for row in frame_rows(session, range(0, session.settings.n_frames, 100))
    ]
    assert drawn == [list(row.values()) for row in demo_rows[::100]]
