from fractions import Fraction

import pytest

from aftercase.media.frametable import NO_STAMP, PacketTable, Stamp, stamped_table
from aftercase.media.seekplan import Entry, entries, entry_by_key, goes_on, key_place


def table_of(*stamps, restart=False):
    return stamped_table(
        PacketTable.of(stamps), Fraction(1, 1000), clock_may_restart=restart, step_ticks=40
    )


@pytest.fixture
def open_groups():
    """Two open groups: the second key (packet 4, shown at 160) has leading pictures after it."""
    rows = [(0, True), (40, False), (80, False), (120, False), (240, True), (160, False)]
    rows += [(200, False), (280, False)]
    return table_of(
        *(
            Stamp(pts, 40 * n - 80, 100, 1000 * n, 40, key, False)
            for n, (pts, key) in enumerate(rows)
        )
    )


def test_a_key_is_its_own_entry(open_groups):
    assert key_place(open_groups, int(open_groups.rank[4])) == 1


def test_a_leading_picture_enters_by_the_key_before_its_own(open_groups):
    assert key_place(open_groups, int(open_groups.rank[5])) == 0


def test_the_stamp_sought_by_is_the_kinds(open_groups):
    assert entry_by_key(open_groups, 1, "pts") == Entry(4, "pts", 240)
    assert entry_by_key(open_groups, 1, "dts") == Entry(4, "dts", 80)
    assert entry_by_key(open_groups, 1, "start") == Entry(0, "start", 0)


def test_before_the_first_key_there_is_only_the_start(open_groups):
    assert entry_by_key(open_groups, -1, "pts") == Entry(0, "start", 0)


def test_a_clock_that_restarts_is_entered_by_byte():
    stretch = [Stamp(40 * n, 40 * n, 100, -1, 40, n == 0, False) for n in range(3)]
    packets = [s._replace(pos=1000 * n) for n, s in enumerate(stretch * 2)]
    table = table_of(*packets, restart=True)
    assert entry_by_key(table, 1, "dts") == Entry(3, "byte", 3000)
    unplaced = table_of(*(stretch * 2), restart=True)
    assert entry_by_key(unplaced, 1, "dts") == Entry(0, "start", 0)


def test_a_key_without_the_stamp_is_entered_from_the_start():
    table = table_of(Stamp(0, NO_STAMP, 9, -1, 0, True, False))
    assert list(entries(table, 0, "dts")) == [Entry(0, "start", 0)]


def test_a_seek_that_lands_late_is_tried_a_key_earlier_then_from_the_start():
    stamps = [Stamp(40 * n, 40 * n, 100, -1, 40, n % 2 == 0, False) for n in range(10)]
    tried = list(entries(table_of(*stamps), 4, "pts"))
    assert [entry.key for entry in tried] == [8, 6, 4, 0]
    assert tried[-1].by == "start"
    assert [entry.key for entry in entries(table_of(*stamps), 1, "pts")] == [2, 0, 0]


def test_reading_on_is_chosen_within_a_group_and_for_short_ways():
    stamps = [Stamp(40 * n, 40 * n, 100, -1, 40, n % 50 == 0, False) for n in range(150)]
    table = table_of(*stamps)
    assert goes_on(table, 1, 49)
    assert goes_on(table, 45, 53)
    assert not goes_on(table, 40, 60)
    assert not goes_on(table, 10, 9)
