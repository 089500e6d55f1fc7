"""A hundred random frames of every kind of film, marked by key, come back on their frames."""

import pytest
from tests.gui.marked_frames import KINDS, ProgramMissing, wrong_after_reopening

N_DRAWS = 100


@pytest.mark.parametrize("kind", KINDS)
def test_a_hundred_marks_made_by_key_come_back_on_their_frames(kind, window, tmp_path):
    try:
        assert wrong_after_reopening(window, kind, N_DRAWS, tmp_path) == []
    except ProgramMissing as missing:
        pytest.skip(str(missing))
