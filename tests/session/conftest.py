from __future__ import annotations

import io
import random
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from aftercase.model.base import NewId, id_source
from aftercase.session.places import Places, places

BITS = 8
BLOCK_PX = 16


def numbered_picture(number: int) -> np.ndarray:
    """Draw a frame whose number stands in eight black or white blocks along its top."""
    picture = np.full((96, BITS * BLOCK_PX, 3), 128, np.uint8)
    for bit in range(BITS):
        picture[:BLOCK_PX, bit * BLOCK_PX : (bit + 1) * BLOCK_PX] = 255 * (number >> bit & 1)
    return picture


def number_of(image: bytes) -> int:
    """Read the number back out of a saved picture."""
    grey = np.asarray(Image.open(io.BytesIO(image)).convert("L"))
    middle = grey[BLOCK_PX // 2, BLOCK_PX // 2 :: BLOCK_PX]
    return sum(1 << bit for bit in range(BITS) if middle[bit] > 127)


def make_film(path: Path, n_frames: int, *, first: int = 0, rate: Fraction = Fraction(25)) -> Path:
    """Encode numbered frames as H.264 with B-frames."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=rate, options={"g": "12", "bf": "2"})
        stream.width, stream.height, stream.pix_fmt = BITS * BLOCK_PX, 96, "yuv420p"
        for number in range(first, first + n_frames):
            frame = av.VideoFrame.from_ndarray(numbered_picture(number), format="rgb24")
            frame.pts, frame.time_base = number - first, 1 / rate
            container.mux(stream.encode(frame))
        container.mux(stream.encode())
    return path


@pytest.fixture
def film(tmp_path: Path) -> Path:
    """A film of 50 numbered frames at 25 a second."""
    return make_film(tmp_path / "REC0001.MP4", 50)


@pytest.fixture
def film_maker(tmp_path: Path) -> Callable[..., Path]:
    def make(name: str, n_frames: int, **options: object) -> Path:
        return make_film(tmp_path / name, n_frames, **options)  # type: ignore[arg-type]

    return make


@pytest.fixture
def read_number() -> Callable[[bytes], int]:
    return number_of


@pytest.fixture
def at(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Places:
    monkeypatch.setenv("AFTERCASE_HOME", str(tmp_path / "home"))
    return places()


@pytest.fixture
def new_id() -> NewId:
    return id_source(random.Random(20))
