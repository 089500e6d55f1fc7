"""What a picture says of itself that is not quite the frame asked for."""

from __future__ import annotations

import numpy as np
import pytest

from aftercase.gui.film.plate import plate_words

BLACK = np.zeros((2, 2, 3), np.uint8)


def test_the_very_frame_says_nothing(picture):
    assert plate_words(picture(BLACK)) == ""


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"nearby": True}, "near"),
        ({"from_copy": True}, "small copy"),
        ({"damaged": True}, "this frame cannot be decoded"),
        ({"doubtful": True}, "damaged here: may be wrong in part"),
        ({"doubtful": True, "nearby": True}, "damaged here: may be wrong in part, near"),
    ],
)
def test_a_picture_that_is_not_says_what_it_is(picture, fields, words):
    assert plate_words(picture(BLACK, **fields)) == words
    assert plate_words(picture(BLACK, **fields), is_late=True) == words


def test_a_whole_picture_of_another_moment_says_that_the_right_one_is_coming(picture):
    assert plate_words(picture(BLACK), is_late=True) == "on its way"
