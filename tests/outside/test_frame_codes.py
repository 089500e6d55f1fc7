"""Drop-frame codes at 29.97 frames a second.

Source: SMPTE ST 12-1 (from memory): codes ;00 and ;01 do not exist at the start of each minute
whose number is not a multiple of ten, so that an hour of codes is 107,892 frames.
"""

from fractions import Fraction

import pytest

from aftercase.clock import code_of_frame_number, frame_number_from_code, ticks_to_us
from aftercase.errors import TimeUnreadable

RATE = Fraction(30000, 1001)
CODES = {
    0: "00:00:00;00",
    1799: "00:00:59;29",
    1800: "00:01:00;02",
    17981: "00:09:59;29",
    17982: "00:10:00;00",
    107892: "01:00:00;00",
}


@pytest.mark.parametrize(("number", "code"), CODES.items())
def test_the_published_codes(number, code):
    assert code_of_frame_number(number, RATE, drop=True) == code
    assert frame_number_from_code(code, RATE) == number


def test_the_codes_kept_beside_the_checkout_are_the_same(check_values):
    kept = check_values["timecode_29_97_drop"]
    assert {int(number): code for number, code in kept.items()} == CODES


def test_every_code_of_the_first_hour_names_its_frame_once():
    codes = [code_of_frame_number(number, RATE, drop=True) for number in range(107_893)]
    assert len(set(codes)) == len(codes)
    assert codes == sorted(codes)
    sampled = range(0, 107_893, 487)
    assert [frame_number_from_code(codes[number], RATE) for number in sampled] == list(sampled)


@pytest.mark.parametrize("code", ["00:01:00;00", "00:01:00;01", "00:59:00;01"])
def test_dropped_codes_do_not_exist(code):
    with pytest.raises(TimeUnreadable):
        frame_number_from_code(code, RATE)


def test_frame_1800_is_shown_at_60_06_seconds():
    # 1800 frames x 1001/30000 s, by hand.
    assert ticks_to_us(1800, 1 / RATE) == 60_060_000
