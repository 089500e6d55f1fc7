"""Six colours through files: matrix, range, depth and tags, against the recommendations' formulas.

Source:
    ITU-R BT.601-7, BT.709-6, BT.2020-2: the weights of red and blue and the ranges of codes.
"""

from fractions import Fraction

import av
import numpy as np
import pytest

from aftercase.media.recording import open_recording

TISSUE_RED = (190, 45, 40)
PATCHES = [TISSUE_RED, (230, 230, 230), (20, 20, 20), (60, 120, 200), (90, 160, 70), (128,) * 3]
WEIGHTS = {"601": (0.299, 0.114), "709": (0.2126, 0.0722), "2020": (0.2627, 0.0593)}  # red, blue
TAGS = {"601": 5, "709": 1, "2020": 9, None: 2}  # ISO/IEC 23091-2: matrix coefficients
HD, SD = (1280, 720), (320, 240)
MOST_LEVELS_OFF = 2
MOST_LEVELS_OFF_SHRUNK = 3


def codes_of(rgb, matrix, *, full, bits):
    """Y', Cb and Cr of a colour, by the recommendations' formulas, at a depth."""
    red, blue = WEIGHTS[matrix]
    r, g, b = (value / 255 for value in rgb)
    y = red * r + (1 - red - blue) * g + blue * b
    cb, cr = (b - y) / (2 * (1 - blue)), (r - y) / (2 * (1 - red))
    unit = 1 << (bits - 8)
    if full:
        most = 256 * unit - 1
        return round(most * y), round(128 * unit + most * cb), round(128 * unit + most * cr)
    return (
        round((16 + 219 * y) * unit),
        round((128 + 224 * cb) * unit),
        round((128 + 224 * cr) * unit),
    )


def patched_frame(size, matrix, *, full, bits):
    """Six patches, three across and two down, in 4:2:0."""
    width, height = size
    frame = av.VideoFrame(width, height, "yuv420p" if bits == 8 else "yuv420p10le")
    for number, plane in enumerate(frame.planes):
        rows = np.zeros((plane.height, plane.line_size), np.uint8)
        codes = rows if bits == 8 else rows.view("<u2")
        for place, rgb in enumerate(PATCHES):
            across, down = plane.width // 3 + 1, plane.height // 2
            top, left = place // 3 * down, place % 3 * across
            code = codes_of(rgb, matrix, full=full, bits=bits)[number]
            codes[top : top + down, left : min(left + across, plane.width)] = code
        plane.update(rows.tobytes())
    return frame


def patched_film(path, size, matrix, tag, *, full, bits):
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=25)
        stream.width, stream.height = size
        stream.pix_fmt = "yuv420p" if bits == 8 else "yuv420p10le"
        stream.codec_context.colorspace = TAGS[tag]
        stream.codec_context.color_range = 2 if full else 0
        stream.options = {"qp": "0", "preset": "ultrafast"}
        for number in range(2):
            frame = patched_frame(size, matrix, full=full, bits=bits)
            frame.pts, frame.time_base = number, Fraction(1, 25)
            frame.colorspace, frame.color_range = TAGS[tag], 2 if full else 0
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def seen_patches(pixels):
    rows = np.frombuffer(pixels.rgb, np.uint8).reshape(pixels.height_px, pixels.width_px, 3)
    down, across = pixels.height_px // 4, pixels.width_px // 6
    return [rows[(2 * (k // 3) + 1) * down, (2 * (k % 3) + 1) * across] for k in range(6)]


@pytest.mark.parametrize(
    ("size", "matrix", "tag", "full", "bits"),
    [
        (SD, "601", "601", False, 8),
        (SD, "601", "601", True, 8),
        (HD, "601", "601", False, 8),
        (SD, "709", "709", False, 8),
        (HD, "709", "709", False, 8),
        (HD, "709", "709", True, 8),
        (HD, "2020", "2020", False, 8),
        (HD, "2020", "2020", True, 8),
        (HD, "709", None, False, 8),  # untagged HD is BT.709
        (HD, "709", None, True, 8),
        (SD, "601", None, False, 8),  # untagged and smaller is BT.601
        (SD, "601", None, True, 8),
        ((720, 576), "601", None, False, 8),
        ((1280, 718), "601", None, False, 8),
        (HD, "709", "709", False, 10),
        (HD, "709", "709", True, 10),
        (HD, "2020", "2020", False, 10),
        (HD, "709", None, False, 10),
        (SD, "601", None, False, 10),
    ],
)
def test_colours_arrive_as_they_were_filmed(tmp_path, size, matrix, tag, full, bits):
    film = patched_film(tmp_path / "six.mp4", size, matrix, tag, full=full, bits=bits)
    with open_recording([film]) as recording:
        whole = recording.picture_at(0).pixels
        small = recording.picture_at(0, max_side_px=size[0] // 2).pixels
    for pixels, most in ((whole, MOST_LEVELS_OFF), (small, MOST_LEVELS_OFF_SHRUNK)):
        for seen, filmed in zip(seen_patches(pixels), PATCHES, strict=True):
            assert np.abs(seen.astype(int) - filmed).max() <= most


def test_the_wrong_matrix_would_be_seen():
    """Read by the other matrix, tissue red is many levels off: the tests above can fail."""
    y, _, cr = codes_of(TISSUE_RED, "709", full=False, bits=8)
    red, _ = WEIGHTS["601"]
    as_601 = 255 * ((y - 16) / 219 + 2 * (1 - red) * (cr - 128) / 224)
    assert abs(as_601 - TISSUE_RED[0]) > 10


def test_a_grey_ramp_of_ten_bits_stays_even(tmp_path):
    path = tmp_path / "ramp.mp4"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=25)
        stream.width, stream.height, stream.pix_fmt = 1280, 720, "yuv420p10le"
        stream.options = {"qp": "0", "preset": "ultrafast"}
        frame = av.VideoFrame(1280, 720, "yuv420p10le")
        ramp = np.linspace(64, 940, 1280).round().astype("<u2")  # black to white, BT.709-6
        luma = np.zeros((720, frame.planes[0].line_size // 2), "<u2")
        luma[:, :1280] = ramp
        frame.planes[0].update(luma.tobytes())
        for plane in list(frame.planes)[1:]:
            plane.update(np.full(plane.buffer_size // 2, 512, "<u2").tobytes())
        frame.pts, frame.time_base = 0, Fraction(1, 25)
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    with open_recording([path]) as recording:
        pixels = recording.picture_at(0).pixels
    row = np.frombuffer(pixels.rgb, np.uint8).reshape(720, 1280, 3)[360].astype(int)
    expected = (ramp.astype(float) - 64) / 876 * 255
    assert np.abs(row - expected[:, None]).max() <= MOST_LEVELS_OFF
    assert (row.max(axis=1) - row.min(axis=1)).max() <= 1
