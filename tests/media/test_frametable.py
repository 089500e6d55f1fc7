"""Frame times from made-up packets, all expectations by hand."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aftercase.clock import ticks_to_us
from aftercase.errors import TimeOutside
from aftercase.media.frametable import (
    NO_STAMP,
    PacketTable,
    Stamp,
    counted_table,
    rising,
    stamped_table,
    us_of_ticks,
)

MS = Fraction(1, 1000)


def packet(pts, dts=None, *, key=False, discard=False, duration=0, size=100, pos=-1):
    return Stamp(pts, pts if dts is None else dts, size, pos, duration, key, discard)


def table_of(*packets, time_base=MS, restart=False, step=40):
    return stamped_table(
        PacketTable.of(packets), time_base, clock_may_restart=restart, step_ticks=step
    )


def starts(table):
    return table.shown(table.first_pts).starts_us.tolist()


def end(table):
    return table.shown(table.first_pts).end_us


def test_one_frame_without_a_duration_lasts_the_given_step():
    table = table_of(packet(7, key=True))
    assert starts(table) == [0]
    assert end(table) == 40_000


def test_frames_are_shown_in_stamp_order_counted_from_the_first():
    table = table_of(packet(100, 20, key=True), packet(220, 60), packet(140, 100), packet(180, 140))
    assert starts(table) == [0, 40_000, 80_000, 120_000]
    assert table.rows.tolist() == [0, 2, 3, 1]


def test_the_last_frame_lasts_as_long_as_its_packet_says():
    table = table_of(packet(0, key=True, duration=40), packet(40, duration=25))
    assert end(table) == 65_000


def test_a_missing_duration_is_the_median_step():
    table = table_of(*(packet(t, key=t == 0) for t in (0, 30, 60, 160, 190)))
    assert end(table) == 220_000


def test_equal_stamps_are_raised_by_a_microsecond_each():
    table = table_of(*(packet(t, key=t == 0) for t in (0, 40, 40, 40, 80)))
    assert starts(table) == [0, 40_000, 40_001, 40_002, 80_000]
    assert table.rows.tolist() == [0, 1, 2, 3, 4]


def test_stamps_closer_than_a_microsecond_stay_apart():
    table = table_of(
        packet(0, key=True), packet(1), packet(2), packet(1500), time_base=Fraction(1, 10**9)
    )
    assert starts(table) == [0, 1, 2, 3]


def test_negative_stamps_are_stamps():
    table = table_of(packet(-80, key=True), packet(-40), packet(0))
    assert table.first_pts == -80
    assert starts(table) == [0, 40_000, 80_000]


def test_hidden_packets_are_not_shown_but_can_be_entered_by():
    table = table_of(packet(-40, key=True, discard=True), packet(0), packet(40))
    assert starts(table) == [0, 40_000]
    assert table.keys.tolist() == [0]


def test_packets_before_the_first_key_are_not_shown():
    table = table_of(packet(0), packet(40), packet(80, key=True), packet(120))
    assert table.first_pts == 80
    assert len(table) == 2


def test_pictures_shown_before_the_first_key_are_not_shown():
    table = table_of(packet(80, 0, key=True), packet(0, 40), packet(40, 80), packet(120, 120))
    assert table.rows.tolist() == [0, 3]


def test_a_file_without_keys_is_entered_at_its_first_packet():
    table = table_of(packet(0), packet(40))
    assert table.keys.tolist() == [0]
    assert len(table) == 2


def test_a_file_of_hidden_packets_shows_nothing():
    assert len(table_of(packet(0, key=True, discard=True))) == 0


@pytest.mark.parametrize("second_start", [0, 20_000])
def test_a_restarted_clock_goes_on_where_the_first_stretch_ends(second_start):
    first = [packet(t, key=t == 0) for t in (0, 40, 80)]
    second = [packet(second_start + t, key=t == 0) for t in (0, 40)]
    table = table_of(*first, *second, restart=True)
    assert table.n_segments == 2
    assert starts(table) == [0, 40_000, 80_000, 120_000, 160_000]


def test_a_long_held_frame_is_no_restart_where_clocks_do_not_restart():
    table = table_of(packet(0, key=True), packet(20_000), packet(20_040))
    assert table.n_segments == 1
    assert starts(table) == [0, 20_000_000, 20_040_000]


def test_a_missing_decoding_stamp_breaks_no_stretch():
    table = table_of(packet(0, NO_STAMP, key=True), packet(40), packet(80, NO_STAMP), restart=True)
    assert table.n_segments == 1
    table = table_of(packet(0, NO_STAMP, key=True), packet(40, NO_STAMP), restart=True)
    assert table.n_segments == 1


def counted(*packets, order, step=40):
    return counted_table(PacketTable.of(packets), MS, order, step_ticks=step)


def test_without_any_stamps_frames_are_counted():
    nothing = packet(NO_STAMP, NO_STAMP)
    table = counted(nothing._replace(key=True), nothing, nothing, order=[0, 2, 1])
    assert starts(table) == [0, 40_000, 80_000]
    assert table.rows.tolist() == [0, 2, 1]
    assert not table.stamped
    assert table.first_pts == 0


def test_a_packet_that_gives_two_pictures_is_one_frame():
    nothing = packet(NO_STAMP, NO_STAMP)
    table = counted(nothing._replace(key=True), nothing, order=[0, 0, 1])
    assert starts(table) == [0, 40_000]
    assert table.rows.tolist() == [0, 1]
    assert table.rank.tolist() == [0, 1]


def test_decoding_stamps_alone_time_the_pictures_in_the_order_they_come_out():
    packets = [packet(NO_STAMP, t, key=t == 0) for t in (0, 40, 120)]
    assert starts(counted(*packets, order=[0, 2, 1])) == [0, 40_000, 120_000]


def test_missing_stamps_are_a_step_from_the_known_ones():
    stamps = [NO_STAMP, 100, NO_STAMP, 200, NO_STAMP]
    packets = [packet(t, NO_STAMP, key=True) for t in stamps]
    table = counted(*packets, order=[0, 1, 2, 3, 4])
    assert table.ticks.tolist() == [60, 100, 140, 200, 240]
    assert not table.stamped


def test_two_packets_for_the_fields_of_a_picture_are_one_frame():
    packets = [packet(20 * k, key=k == 0) for k in range(6)]
    table = counted(*packets, order=[0, 2, 4])
    assert starts(table) == [0, 40_000, 80_000]
    assert table.stamped


def test_no_picture_came_out():
    assert len(counted(packet(0, key=True), order=[])) == 0


def test_frame_at_its_borders():
    shown = table_of(*(packet(t, key=t == 0) for t in (0, 40, 80))).shown(0, 1000)
    assert [shown.row_at(us) for us in (1000, 40_999, 41_000, 120_999)] == [0, 0, 1, 2]
    for outside in (999, 121_000):
        with pytest.raises(TimeOutside):
            shown.row_at(outside)


@pytest.mark.parametrize(
    ("span", "rows"),
    [
        ((0, 0), []),
        ((50_000, 50_000), []),
        ((60_000, 50_000), []),
        ((0, 40_000), [0]),
        ((0, 40_001), [0, 1]),
        ((39_999, 80_000), [0, 1]),
        ((-500, 1), [0]),
        ((-500, 0), []),
        ((100_000, 10**9), [2]),
        ((120_000, 10**9), []),
    ],
)
def test_frames_of_a_half_open_span(span, rows):
    shown = table_of(*(packet(t, key=t == 0) for t in (0, 40, 80))).shown(0)
    assert list(shown.rows_in(*span)) == rows


@given(
    st.lists(st.integers(-(2**40), 2**40), min_size=1),
    st.fractions(Fraction(1, 10**9), 100, max_denominator=10**9),
)
def test_many_ticks_at_once_equal_the_clock_one_by_one(ticks, time_base):
    expected = [ticks_to_us(tick, time_base) for tick in ticks]
    if max(map(abs, expected)) < 2**63:
        assert us_of_ticks(np.array(ticks), time_base).tolist() == expected


def test_products_beyond_64_bits_are_exact():
    time_base = Fraction(2**31 - 1, 2**31 - 2)
    ticks = [0, 1, 2**31, 10**12]
    expected = [ticks_to_us(tick, time_base) for tick in ticks]
    assert us_of_ticks(np.array(ticks), time_base).tolist() == expected


def test_nothing_rises_to_nothing():
    assert rising(np.array([], dtype=np.int64)).tolist() == []
