"""The cache, what may be imported, and what may not."""

import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest

import aftercase.media
from aftercase.media.cache import PictureCache
from aftercase.media.picture import FrameTimes, Picture, Pixels

FOLDER = Path(aftercase.media.__path__[0])
MODULES = sorted(path.stem for path in FOLDER.glob("*.py") if path.stem != "__init__")


def picture(size_bytes: int) -> Picture:
    return Picture(FrameTimes(0, 0, 1), Pixels(1, 1, 3, bytes(size_bytes), Fraction(1)))


def test_the_cache_lets_go_of_what_was_unused_longest():
    cache = PictureCache(limit_bytes=300)
    for row in range(3):
        cache.put((0, row, None), picture(100))
    cache.get((0, 0, None))
    cache.put((0, 3, None), picture(100))
    assert [cache.get((0, row, None)) is not None for row in range(4)] == [True, False, True, True]


def test_the_cache_keeps_nothing_larger_than_itself():
    cache = PictureCache(limit_bytes=10)
    cache.put((0, 0, None), picture(11))
    assert cache.get((0, 0, None)) is None


def test_the_cache_tells_sizes_apart_and_keeps_a_picture_once():
    cache = PictureCache(limit_bytes=20)
    first = picture(10)
    cache.put((0, 0, 64), first)
    cache.put((0, 0, 64), picture(10))
    assert cache.get((0, 0, 64)) is first
    assert cache.get((0, 0, None)) is None


@pytest.mark.parametrize("module", MODULES)
def test_importing_loads_neither_the_decoder_nor_a_window(module):
    code = f"import aftercase.media.{module}, sys; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert not {"av", "cv2", "PyQt6", "PIL", "pandas"} & loaded
