"""Stills against the ffmpeg program's own turning, and colours against their formulas."""

from fractions import Fraction
from io import BytesIO

import av
import numpy as np
import pytest
from PIL import Image

from aftercase.media.picture import Pixels
from aftercase.media.pixels import PixelMaker, matrix_of, orientation_of
from aftercase.media.recording import open_recording
from aftercase.media.stills import jpeg_bytes, png_bytes, square_size

DISPLAYS = {  # options after the input's name, per display matrix
    "upright": (0, None),
    "quarter": (90, None),
    "half": (180, None),
    "three_quarters": (270, None),
    "mirrored": (0, "hflip"),
    "upside_down_mirrored": (0, "vflip"),
    "quarter_mirrored": (90, "hflip"),
}


def pixels_of(array: np.ndarray, **kwargs) -> Pixels:
    height, width, _ = array.shape
    return Pixels(width, height, 3 * width, array.tobytes(), **kwargs)


def read_back(content: bytes) -> np.ndarray:
    return np.array(Image.open(BytesIO(content)).convert("RGB"))


@pytest.fixture
def noise():
    return np.random.default_rng(4).integers(0, 256, (30, 50, 3), dtype=np.uint8)


def test_a_png_holds_every_pixel_as_it_was(noise):
    assert (read_back(png_bytes(pixels_of(noise))) == noise).all()


def test_padding_at_the_end_of_rows_is_left_out(noise):
    padded = np.concatenate([noise, np.full((30, 4, 3), 9, np.uint8)], axis=1)
    pixels = Pixels(50, 30, 162, padded.tobytes())
    assert (read_back(png_bytes(pixels)) == noise).all()


def test_a_jpeg_is_close(noise):
    smooth = np.full_like(noise, (190, 45, 40))
    assert np.abs(read_back(jpeg_bytes(pixels_of(smooth))).astype(int) - smooth).max() <= 3


def test_turn_and_mirror_are_applied_in_that_order(noise):
    mirrored = np.fliplr(noise)
    for turn, quarters in ((0, 0), (90, 1), (180, 2), (270, 3)):  # np.rot90 is counter-clockwise
        plain = read_back(png_bytes(pixels_of(noise, turn_deg=turn)))
        both = read_back(png_bytes(pixels_of(noise, turn_deg=turn, mirrored=True)))
        assert (plain == np.rot90(noise, quarters)).all()
        assert (both == np.rot90(mirrored, quarters)).all()


def test_hidden_rectangles_are_black_and_the_rest_is_untouched(noise):
    # By hand: 0.1..0.5 of 50 columns is 5..25; 0.21..0.39 of 30 rows touches rows 6 to 11.
    before = noise.copy()
    pixels = pixels_of(noise)
    array = read_back(png_bytes(pixels, [(0.1, 0.21, 0.5, 0.39)]))
    expected = noise.copy()
    expected[6:12, 5:25] = 0
    assert (array == expected).all()
    assert pixels.rgb == before.tobytes()


@pytest.mark.parametrize(
    ("aspect", "size"),
    [  # PAL DV 4:3 and 16:9 (ITU-R BT.601 sampling), and tall pixels
        (Fraction(16, 15), (768, 576)),
        (Fraction(64, 45), (1024, 576)),
        (Fraction(8, 9), (720, 648)),
        (Fraction(1), (720, 576)),
    ],
)
def test_pixels_become_square_without_losing_any(aspect, size):
    assert square_size(Pixels(720, 576, 2160, b"", aspect)) == size


@pytest.mark.parametrize("name", DISPLAYS)
def test_a_still_is_turned_as_the_ffmpeg_program_turns_it(tmp_path, run_ffmpeg, name):
    degrees, flip = DISPLAYS[name]
    film, still = tmp_path / "turned.mp4", tmp_path / "turned.png"
    with av.open(str(film), "w") as container:
        stream = container.add_stream("libx264", rate=25)
        stream.width, stream.height, stream.pix_fmt = 96, 64, "yuv444p"
        stream.options = {"crf": "1"}
        stream.set_display_rotation(degrees, hflip=flip == "hflip", vflip=flip == "vflip")
        array = np.zeros((64, 96, 3), np.uint8)
        array[:32, :48], array[:32, 48:], array[32:, :48] = (200, 60, 60), (60, 200, 60), 120
        frame = av.VideoFrame.from_ndarray(array, format="rgb24").reformat(format="yuv444p")
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    run_ffmpeg("-i", film, "-frames:v", "1", still)
    with open_recording([film]) as recording:
        ours = read_back(png_bytes(recording.picture_at(0).pixels)).astype(int)
    theirs = np.array(Image.open(still).convert("RGB")).astype(int)
    assert ours.shape == theirs.shape
    assert np.abs(ours - theirs).mean() < 6


def test_a_matrix_between_quarters_takes_the_nearest():
    cos, sin = 64553, 11380  # 10 degrees
    assert orientation_of((cos, sin, 0, -sin, cos, 0, 0, 0, 1)) == (False, 0)
    assert orientation_of((-cos, sin, 0, -sin, -cos, 0, 0, 0, 1)) == (False, 180)


def test_pixel_aspect_reaches_the_still(tmp_path, made, run_ffmpeg):
    film = tmp_path / "wide.mp4"
    run_ffmpeg("-i", made("25_closed").path, "-vf", "setsar=16/11", "-frames:v", "3", film)
    with open_recording([film]) as recording:
        pixels = recording.picture_at(0).pixels
    assert pixels.pixel_aspect == Fraction(16, 11)
    assert read_back(png_bytes(pixels)).shape == (144, 372, 3)  # 256 * 16 / 11 = 372.4


PATCHES = [(190, 45, 40), (230, 230, 230), (20, 20, 20), (60, 120, 200), (90, 160, 70), (128,) * 3]
LUMA = {"709": (0.2126, 0.0722), "601": (0.299, 0.114)}  # Kr, Kb: ITU-R BT.709, BT.601


def planes_of(rgb, weights, *, full):
    """Y'CbCr of a colour by the recommendation's formula, 8 bits."""
    kr, kb = LUMA[weights]
    r, g, b = (value / 255 for value in rgb)
    y = kr * r + (1 - kr - kb) * g + kb * b
    cb, cr = (b - y) / (2 * (1 - kb)), (r - y) / (2 * (1 - kr))
    if full:
        return round(255 * y), round(128 + 255 * cb), round(128 + 255 * cr)
    return round(16 + 219 * y), round(128 + 224 * cb), round(128 + 224 * cr)


@pytest.mark.parametrize(
    ("tag", "weights", "full", "height"),
    [
        (1, "709", False, 64),
        (1, "709", True, 64),
        (6, "601", False, 1080),
        (5, "601", False, 64),
        (2, "709", False, 720),  # untagged HD
        (2, "601", False, 576),  # untagged SD
        (2, "601", True, 64),
    ],
)
@pytest.mark.parametrize("rgb", PATCHES)
def test_colours_come_out_as_filmed(tag, weights, full, height, rgb):
    frame = av.VideoFrame(64, height, "yuv420p")
    for plane, value in zip(frame.planes, planes_of(rgb, weights, full=full), strict=True):
        plane.update(bytes([value]) * (plane.line_size * plane.height))
    frame.colorspace, frame.color_range = tag, 2 if full else 1
    pixels = PixelMaker().pixels(frame, Fraction(1))
    array = np.frombuffer(pixels.rgb, np.uint8).reshape(height, 64, 3)
    assert np.abs(array.astype(int) - rgb).max() <= 2


def test_an_unknown_matrix_is_taken_as_untagged():
    assert matrix_of(99, 1080) == 1
    assert matrix_of(99, 480) == 5


def test_the_stand_in_is_grey_all_over():
    pixels = PixelMaker().stand_in(4, 3, Fraction(1), lambda: None)
    assert set(pixels.rgb) == {0x60}
    assert (pixels.turn_deg, pixels.mirrored) == (0, False)
