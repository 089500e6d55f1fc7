"""Memory and threads over many random seeks; the long run is in tests/benchmarks."""

from __future__ import annotations

import gc
import random
from pathlib import Path

import pytest

from aftercase.media import recording as recording_module
from aftercase.media.cache import PictureCache
from aftercase.media.recording import open_recording

STATUS = Path("/proc/self/status")
N_WARM, N_SEEKS = 100, 300
PICTURE_BYTES = 640 * 360 * 3


def said(name: str) -> int:
    """A number that Linux tells of this process."""
    for line in STATUS.read_text(encoding="utf-8").splitlines():
        if line.startswith(f"{name}:"):
            return int(line.split()[1])
    raise LookupError(name)


@pytest.fixture
def picture_film(tmp_path, run_ffmpeg):
    path = tmp_path / "film.mp4"
    source = ("-f", "lavfi", "-i", "testsrc2=s=640x360:d=4:r=30")
    run_ffmpeg(*source, "-preset", "ultrafast", "-g", "15", "-pix_fmt", "yuv420p", path)
    return path


@pytest.mark.skipif(not STATUS.is_file(), reason="the system does not tell what a process holds")
def test_memory_and_threads_stay_flat_over_random_seeks(picture_film, monkeypatch):
    """No picture is kept, so that each seek decodes; one left behind each would be 200 MB."""
    monkeypatch.setattr(recording_module, "PictureCache", lambda: PictureCache(0))
    chance = random.Random(300)
    with open_recording([picture_film]) as recording:
        starts_us = recording.starts_us().tolist()
        for _ in range(N_WARM):
            recording.picture_at(chance.choice(starts_us))
        gc.collect()
        held_kb, n_threads = said("VmRSS"), said("Threads")
        for _ in range(N_SEEKS):
            recording.picture_at(chance.choice(starts_us))
        grown_bytes = 1024 * (said("VmRSS") - held_kb)
        assert said("Threads") <= n_threads
    assert grown_bytes < N_SEEKS * PICTURE_BYTES / 10
