"""Interlaced frames for show: combs gone, what stands still untouched, frames still themselves."""

from fractions import Fraction

import av
import numpy as np
import pytest
from made_films.numbered import grey_picture, number_of, rgb_of

from aftercase.media.deinterlace import deinterlaced, without_combs
from aftercase.media.pixels import PixelMaker
from aftercase.media.recording import open_recording

WIDTH, HEIGHT = 256, 144
BAR_PX = 24


def moment(number: int, half: int) -> np.ndarray:
    """The numbered picture, below it a bright bar that moves by 12 pixels a half frame."""
    picture = grey_picture(number, WIDTH, HEIGHT)
    picture[HEIGHT // 8 :] = grey_picture(0, WIDTH, HEIGHT)[HEIGHT // 8 :]
    left = (24 * number + 12 * half) % (WIDTH - BAR_PX)
    picture[HEIGHT // 2 :, left : left + BAR_PX] = 230
    return picture


def woven(number: int) -> np.ndarray:
    picture = moment(number, 0)
    picture[1::2] = moment(number, 1)[1::2]
    return picture


def comb_energy(grey: np.ndarray) -> float:
    """How far odd rows stand out from the mean of their neighbours, where the bar moves."""
    rows = grey[HEIGHT // 2 :].astype(float)
    return float(np.abs(rows[1:-1:2] - (rows[0:-2:2] + rows[2::2]) / 2).mean())


def test_no_row_and_one_row_stay_as_they_are():
    assert without_combs(np.zeros((0, 4), np.uint8), 10).shape == (0, 4)
    assert without_combs(np.array([[1, 2]], np.uint8), 10).tolist() == [[1, 2]]


def test_a_still_picture_is_untouched():
    picture = np.random.default_rng(1).integers(0, 9, (10, 12), dtype=np.uint8)
    assert (without_combs(picture, 10) == picture).all()


def test_a_slope_is_untouched():
    slope = np.repeat(np.arange(0, 240, 20, dtype=np.uint8)[:, None], 5, axis=1)
    assert (without_combs(slope, 10) == slope).all()


@pytest.mark.parametrize("n_rows", [3, 4, 5])
def test_combs_take_the_mean_of_their_neighbours_by_hand(n_rows):
    rows = np.array([[40], [200], [60], [0], [60]], np.uint8)[:n_rows]
    # 200 -> (40 + 60) / 2; 0 -> (60 + 60) / 2, and stays where there is no row below.
    expected = [[40], [50], [60], [0 if n_rows == 4 else 60], [60]][:n_rows]
    assert without_combs(rows, 10).tolist() == expected


@pytest.mark.parametrize("pixel_format", ["yuv420p", "yuv422p", "yuv444p10le", "yuvj420p", "nv12"])
def test_a_frame_is_made_anew_in_its_own_format(pixel_format):
    frame = av.VideoFrame.from_ndarray(woven(5), format="gray").reformat(format=pixel_format)
    before = [bytes(plane) for plane in frame.planes]
    frame.color_range = 2
    new = deinterlaced(frame)
    assert (new.format.name, new.width, new.height) == (pixel_format, WIDTH, HEIGHT)
    assert new.color_range == 2
    assert [bytes(plane) for plane in frame.planes] == before
    grey = new.reformat(format="gray").to_ndarray()
    assert comb_energy(woven(5)) > 5
    assert comb_energy(grey) < 0.8  # rounding, on rows that rise and fall


def coded_film(path, name: str, options: dict[str, str]):
    with av.open(str(path), "w") as container:
        stream = container.add_stream(name, rate=Fraction(25))
        stream.width, stream.height, stream.pix_fmt = WIDTH, HEIGHT, "yuv420p"
        stream.bit_rate = 4_000_000
        stream.codec_context.options = options
        for number in range(20):
            frame = av.VideoFrame.from_ndarray(woven(number), format="gray")
            frame = frame.reformat(format="yuv420p")
            frame.pts, frame.time_base = number, Fraction(1, 25)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


@pytest.mark.parametrize(
    ("codec", "options", "ending"),
    [
        ("libx264", {"x264-params": "tff=1:keyint=10", "flags": "+ildct+ilme", "crf": "12"}, "mp4"),
        ("mpeg2video", {"flags": "+ildct+ilme", "g": "10", "bf": "2"}, "ts"),
    ],
)
def test_combs_are_gone_in_films_and_every_frame_is_still_itself(tmp_path, codec, options, ending):
    film = coded_film(tmp_path / f"fields.{ending}", codec, options)
    with open_recording([film]) as recording:
        pictures = list(recording.pictures_in(0, recording.end_us))
    assert [number_of(picture) for picture in pictures] == list(range(20))
    for number, picture in enumerate(pictures):
        shown = rgb_of(picture).mean(axis=2)
        assert comb_energy(shown) < 0.25 * comb_energy(woven(number))
        bar = shown[HEIGHT // 2 + 8 : -8].mean(axis=0)
        left = (24 * number) % (WIDTH - BAR_PX)
        assert bar[left + 4 : left + BAR_PX - 4].min() > 190  # the bar, where the frame begins


def test_a_frame_that_is_not_interlaced_keeps_its_combs():
    frame = av.VideoFrame.from_ndarray(woven(5), format="gray").reformat(format="yuv420p")
    assert not frame.interlaced_frame
    pixels = PixelMaker().pixels(frame, Fraction(1))
    rows = np.frombuffer(pixels.rgb, np.uint8).reshape(HEIGHT, WIDTH, 3)
    assert comb_energy(rows.mean(axis=2)) > 5
