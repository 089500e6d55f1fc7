from __future__ import annotations

import contextlib

import numpy as np
import pytest
from PIL import Image

from aftercase.errors import ReadFailed, RecordingMissing, RecordingUnreadable
from aftercase.media.picturefile import is_picture_file, picture_in

PICTURE = np.random.default_rng(1).integers(0, 255, (60, 90, 3), dtype=np.uint8)


def saved(path, picture=PICTURE, **options):
    Image.fromarray(picture).save(path, **options)
    return path


@pytest.mark.parametrize("name", ["a.png", "A.PNG", "a.jpg", "a.JPEG"])
def test_pictures_are_known_by_their_name(tmp_path, name):
    assert is_picture_file(tmp_path / name)


@pytest.mark.parametrize("name", ["a.mp4", "png", "a.png.mp4", "a"])
def test_films_are_no_pictures(tmp_path, name):
    assert not is_picture_file(tmp_path / name)


def test_a_png_comes_back_pixel_by_pixel(tmp_path):
    assert np.array_equal(picture_in(saved(tmp_path / "a.png")).rgb, PICTURE)


def test_a_jpeg_comes_back_nearly(tmp_path):
    smooth = np.full((60, 90, 3), (200, 90, 40), np.uint8)
    found = picture_in(saved(tmp_path / "a.jpg", smooth, quality=95)).rgb.astype(int)
    assert np.abs(found - smooth).max() <= 4


@pytest.mark.parametrize("mode", ["L", "LA", "P", "RGBA", "1", "I;16"])
def test_grey_transparent_and_palette_pictures_become_three_colours(tmp_path, mode):
    Image.new(mode, (20, 10)).save(tmp_path / "a.png")
    assert picture_in(tmp_path / "a.png").rgb.shape == (10, 20, 3)


def test_a_photo_that_says_to_turn_it_is_turned(tmp_path):
    turned = Image.Exif()
    turned[0x0112] = 6  # orientation: turn clockwise by 90 degrees to show it (EXIF 2.3)
    found = picture_in(saved(tmp_path / "a.png", exif=turned)).rgb
    assert np.array_equal(found, np.rot90(PICTURE, -1))


def test_a_large_picture_is_shrunk_to_its_longer_side_and_a_small_one_is_left(tmp_path):
    path = saved(tmp_path / "a.png")
    small = picture_in(path, max_side_px=45)
    assert (small.rgb.shape, small.shrunk) == ((30, 45, 3), 2.0)
    same = picture_in(path, max_side_px=300)
    assert (same.rgb.shape, same.shrunk) == (PICTURE.shape, 1.0)


def test_a_picture_that_is_not_there_is_missing(tmp_path):
    with pytest.raises(RecordingMissing, match=r"a\.png"):
        picture_in(tmp_path / "a.png")


def test_a_folder_of_that_name_is_not_read(tmp_path):
    (tmp_path / "a.png").mkdir()
    with pytest.raises((ReadFailed, RecordingUnreadable)):
        picture_in(tmp_path / "a.png")


@pytest.mark.parametrize(
    "content",
    [b"", b"text", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff\xe0", b"GIF89a" + bytes(40)],
    ids=["empty", "text", "head of a png", "head of a jpeg", "gif"],
)
def test_what_is_no_picture_is_refused(tmp_path, content):
    (tmp_path / "a.png").write_bytes(content)
    with pytest.raises(RecordingUnreadable, match=r"a\.png"):
        picture_in(tmp_path / "a.png")


def test_a_picture_that_is_cut_off_or_garbled_is_refused_or_read_but_never_worse(tmp_path):
    whole = saved(tmp_path / "whole.png").read_bytes()
    chance = np.random.default_rng(7)
    for number in range(200):
        content = bytearray(whole[: chance.integers(20, len(whole))])
        for _ in range(int(chance.integers(0, 4))):
            content[int(chance.integers(0, len(content)))] = int(chance.integers(0, 256))
        path = tmp_path / f"{number}.png"
        path.write_bytes(content)
        with contextlib.suppress(RecordingUnreadable):
            assert picture_in(path).rgb.shape[2] == 3
