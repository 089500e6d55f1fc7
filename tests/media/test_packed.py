"""Packed columns against the plain ones they were made from."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aftercase.media.packed import Packed

INT64 = st.integers(-(2**63), 2**63 - 1)


@pytest.mark.parametrize(
    ("values", "width"),
    [
        ([], 0),
        ([7], 0),
        ([5, 5, 5, 5], 0),
        ([0, 3000, 6000, 9000], 0),
        ([0, 33_367, 66_734, 100_100, 133_467], 1),  # 29.97 a second, by ceiling
        ([9000, 3000, 6000, 18000, 12000, 15000], 1),  # B-frames: multiples of one step
        ([0, 70_000, 1, 3], 4),
        ([-(2**63), 1, 2**63 - 1], 8),
    ],
)
def test_a_row_takes_no_more_bytes_than_it_needs(values, width):
    packed = Packed.of(np.array(values, dtype=np.int64))
    assert packed.width == width
    assert packed.tolist() == values


@given(st.lists(INT64, min_size=1, max_size=20), st.data())
def test_any_column_reads_like_its_plain_array(values, data):
    plain = np.array(values, dtype=np.int64)
    packed = Packed.of(plain)
    row = data.draw(st.integers(-len(values), len(values) - 1))
    rows = np.array(data.draw(st.lists(st.integers(-len(values), len(values) - 1))), dtype=np.int64)
    assert packed[row] == values[row]
    assert packed[rows].tolist() == plain[rows].tolist()
    assert packed[1:3].tolist() == values[1:3]
    assert list(packed) == np.asarray(packed).tolist() == values


@given(st.integers(0, 10_000), st.integers(1, 10**9), st.lists(st.integers(-3, 3), max_size=50))
def test_an_almost_even_rise_takes_one_byte(start, step, jitter):
    plain = start + step * np.arange(len(jitter)) + np.array(jitter, dtype=np.int64)
    assert Packed.of(plain).width <= 1
