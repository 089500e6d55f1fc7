"""Every kind of film, heavily: every frame found by a jump of its own, then 2,000 random jumps."""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "media"))

from made_films.catalogue import ALL, film_path
from made_films.numbered import number_of
from made_films.truth import truth_of

from aftercase.media.recording import open_recording

N_SEEKS = 2000


@pytest.mark.parametrize("name", ALL)
def test_every_frame_is_found_by_a_jump_of_its_own(name):
    truth = truth_of(name)
    asked = [pair for pair in zip(truth.starts_us, truth.numbers, strict=True) if None not in pair]
    random.Random(40).shuffle(asked)
    for start_us, number in asked:
        with open_recording([film_path(name)]) as recording:
            assert number_of(recording.picture_at(start_us)) == number


@pytest.mark.parametrize("name", ALL)
def test_two_thousand_random_jumps_are_all_right(name):
    truth = truth_of(name)
    asked = [pair for pair in zip(truth.starts_us, truth.numbers, strict=True) if None not in pair]
    chance = random.Random(41)
    with open_recording([film_path(name)]) as recording:
        for start_us, number in chance.choices(asked, k=N_SEEKS):
            # A size of its own each time, so that no picture kept from before is handed out.
            side_px = chance.randrange(160, 256)
            assert number_of(recording.picture_at(start_us, max_side_px=side_px)) == number
