"""Marks made by key come back on the same frame, read off the picture's own burnt-in number."""

import pytest
from tests.gui.marked_frames import KINDS, ProgramMissing, wrong_after_reopening

N_DRAWS = 10
"""A share of the hundred of each kind; tests/long has them all."""

N_WINDOWS = 8


@pytest.mark.parametrize("kinds", [KINDS[n::N_WINDOWS] for n in range(N_WINDOWS)], ids=" ".join)
def test_marks_made_by_key_come_back_on_their_frames(kinds, window, tmp_path):
    try:
        wrong = {kind: wrong_after_reopening(window, kind, N_DRAWS, tmp_path) for kind in kinds}
    except ProgramMissing as missing:
        pytest.skip(str(missing))
    assert {kind: faults for kind, faults in wrong.items() if faults} == {}
