"""How a picture is lightened, against levels worked out by hand."""

from __future__ import annotations

import time

import numpy as np
import pytest

from aftercase.gui.film.light import AS_RECORDED, Light, lit, table_of
from aftercase.media.picture import Pixels

PROMISED_S = 0.005


def test_as_recorded_changes_no_level():
    assert table_of(AS_RECORDED) == bytes(range(256))


@pytest.mark.parametrize(
    ("light", "level", "becomes"),
    [
        (Light(brightness=0.2), 0, 51),  # 0.2 of 255
        (Light(brightness=-0.2), 60, 9),
        (Light(brightness=1.0), 1, 255),
        (Light(contrast=2.0), 64, 0.5),  # 127.5 - 2 * 63.5
        (Light(contrast=2.0), 191, 254.5),
        (Light(contrast=0.5), 255, 191.25),
        (Light(gamma=2.0), 64, 127.75),  # 255 * sqrt(64 / 255)
        (Light(gamma=0.5), 128, 64.25),  # 255 * (128 / 255) ** 2
    ],
)
def test_a_level_becomes_what_was_worked_out_by_hand(light, level, becomes):
    assert table_of(light)[level] == pytest.approx(becomes, abs=0.51)


@pytest.mark.parametrize("light", [Light(0.3, 1.4, 2.2), Light(-0.5, 3, 0.4), Light(0, 0.4, 3)])
def test_what_was_lighter_is_never_darker_afterwards(light):
    table = np.frombuffer(table_of(light), np.uint8).astype(int)
    assert (np.diff(table) >= 0).all()


def test_a_picture_in_another_light_is_a_new_one_of_the_same_stride():
    rgb = bytes([10, 20, 30, 40, 50, 60, 0, 0])
    pixels = Pixels(2, 1, 8, rgb)
    lightened = lit(pixels, Light(brightness=0.2))
    assert tuple(lightened[:6]) == (61, 71, 81, 91, 101, 111)  # 0.2 of 255 is 51
    assert len(lightened) == len(rgb)
    assert pixels.rgb == rgb


def test_the_bytes_of_a_picture_as_recorded_are_not_copied():
    pixels = Pixels(1, 1, 3, b"abc")
    assert lit(pixels, AS_RECORDED) is pixels.rgb


def test_a_picture_of_1280_by_720_takes_less_than_five_milliseconds():
    frame = np.random.default_rng(4).integers(0, 256, 1280 * 720 * 3, dtype=np.uint8)
    pixels = Pixels(1280, 720, 3840, frame.tobytes())
    times_s = []
    for _ in range(20):
        began_s = time.perf_counter()
        lit(pixels, Light(0.1, 1.2, 1.8))
        times_s.append(time.perf_counter() - began_s)
    assert min(times_s) < PROMISED_S
