"""What holds for every test: an own home, no thread left behind, no unexpected log."""

from __future__ import annotations

import io
import itertools
import logging
import threading
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

BESIDE = Path(__file__).resolve().parents[2] / "shared" / "data"
THREAD_GRACE_S = 2.0

_numbers = itertools.count()


@pytest.fixture(autouse=True)
def _own_home(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    """Every test has program folders of its own, which do not exist yet."""
    home = tmp_path_factory.getbasetemp() / "homes" / str(next(_numbers))
    monkeypatch.setenv("AFTERCASE_HOME", str(home))


@pytest.fixture(autouse=True)
def _no_thread_left() -> Iterator[None]:
    """A thread that a test started and that goes on after it fails the test."""
    before = set(threading.enumerate())
    yield
    for thread in set(threading.enumerate()) - before:
        thread.join(THREAD_GRACE_S)
        if thread.is_alive():
            pytest.fail(f"the thread {thread.name} was left running")


class _Loud(logging.Handler):
    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.said.append(f"{record.name}: {record.getMessage()}")


@pytest.fixture(autouse=True)
def _no_unexpected_log(request: pytest.FixtureRequest) -> Iterator[None]:
    """A logged warning fails the test; one that expects logs takes `caplog`."""
    loud = _Loud()
    logging.getLogger().addHandler(loud)
    yield
    logging.getLogger().removeHandler(loud)
    if loud.said and "caplog" not in request.fixturenames:
        pytest.fail("logged unexpectedly: " + "; ".join(loud.said))


@pytest.fixture(scope="session")
def shared_data() -> Path:
    """The folder of data sets that lies beside the checkout and is not part of it."""
    if not BESIDE.is_dir():
        pytest.skip("no folder shared/data beside the checkout")
    return BESIDE


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
    """Read a frame's number out of the bytes of a saved picture."""
    return number_of
