"""Mutated films: three hundred short ones, some of two minutes, two thousand by the watched reader.

Each has 10 s and 1 GB; damage that costs more the longer a film is shows in the long ones only.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

LOOK = Path(__file__).parent / "mutated_films"
WELL = ("fine", "damage shown", "told: recording-")


def looked_at(folder, *arguments):
    command = [sys.executable, str(LOOK), "--folder", str(folder), *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


@pytest.fixture(autouse=True)
def _on_linux():
    if not sys.platform.startswith("linux"):
        pytest.skip("the look at mutated films needs Linux")


def test_three_hundred_films_are_shown_or_told_by_the_plain_reader(tmp_path):
    fates = looked_at(tmp_path, "--count", 300)
    assert len(fates) == 300
    assert [fate for fate in fates if not fate["outcome"].startswith(WELL)] == []


def test_films_of_two_minutes_are_shown_or_told_as_soon(tmp_path):
    fates = looked_at(tmp_path, "--frames", 3000, "--first", 5000, "--count", 78)
    assert len(fates) == 78
    assert [fate for fate in fates if not fate["outcome"].startswith(WELL)] == []


def test_two_thousand_films_are_shown_or_told_by_the_watched_reader(tmp_path):
    fates = looked_at(tmp_path, "--watched", "--count", 2000)
    assert len(fates) == 2000
    assert [fate for fate in fates if not fate["outcome"].startswith(WELL)] == []
    assert max(fate["seconds"] for fate in fates) < 10
