"""The page on measuring names every number, and its examples are taken as they stand."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest

from aftercase.metrics.picture import THRESHOLD_MM_S
from aftercase.metrics.quantities import MEASURE_NAMES, QUANTITIES
from aftercase.model.measure import BASES, MEASURE_KINDS
from aftercase.session.tasks.geometry import measured_in_file
from aftercase.vision import scale
from aftercase.vision.ellipse import WIDEST_GAP_DEG, Ellipse, ellipse_through, unit
from aftercase.vision.pointing import POINTING_PX

PAGE = (Path(__file__).parents[2] / "docs/reference/measuring.md").read_text(encoding="utf-8")


def test_every_number_has_its_row_and_every_row_its_number():
    table = PAGE.split("\n## What is measured\n")[1].split("\n**Rings.**")[0]
    cells = re.findall(r"^\| (`[^|]*) \|", table, re.MULTILINE)
    named = [name for cell in cells for name in re.findall("`([a-z_]+)`", cell)]
    assert sorted(named) == sorted(QUANTITIES)


def test_every_kind_has_a_name_and_every_basis_a_row():
    assert set(MEASURE_NAMES) == set(MEASURE_KINDS)
    assert all(f"| `{basis}` |" in PAGE for basis in BASES)


@pytest.mark.parametrize(
    "said",
    [
        f"**{scale.WHITE_TO_WHITE_MM} mm**",
        f"±{scale.ASSUMED_ERROR_MM:.2f} mm, {100 * scale.ASSUMED_ERROR_MM / 11.71:.1f} %",
        f"±{scale.DEVICE_ERROR_MM} mm",
        f"±{scale.OPTIC_ERROR_MM} mm",
        f"{100 * scale.LESS_TALL:.1f} %",
        f"divided by {scale.CORNEA_MAGNIFIES}",
        f"±{100 * scale.CORNEA_MAGNIFIES_ERROR:.0f} %",
        f"{POINTING_PX:.0f} px of the film",
        f"{WIDEST_GAP_DEG:.0f} degrees",
        f"{THRESHOLD_MM_S:.0f} mm/s unless said",
    ],
)
def test_the_figures_of_the_page_are_those_that_are_used(said):
    assert said in PAGE


def off_by(n_points, arc_deg):
    """95 of 100 mean diameters, off in per cent: made rings of 440 x 420 px, places off by 1 px."""
    chance = np.random.default_rng(n_points * arc_deg)
    off = []
    for _ in range(300):
        made = Ellipse(900, 500, 220, 210, float(chance.uniform(0, 180)))
        towards = (np.arange(n_points) + chance.uniform(0, 1, n_points)) * arc_deg / n_points
        exact = np.array(made.centre_px) + made.reach_px(towards)[:, None] * unit(towards)
        found = ellipse_through(exact + chance.normal(0, 1, exact.shape))
        off.append(abs(found.mean_diameter_px / made.mean_diameter_px - 1))
    return 100 * float(np.percentile(off, 95))


@pytest.mark.parametrize("n_points", [6, 8, 12, 24])
def test_rings_are_off_by_what_the_page_says(n_points):
    row = re.search(rf"^\| {n_points} \|(.*)\|$", PAGE, re.MULTILINE)[1]
    told = [float(cell.strip(" %")) for cell in row.split("|")]
    measured = [off_by(n_points, arc_deg) for arc_deg in (360, 240, 180)]
    assert measured == pytest.approx(told[:3], rel=0.4)


@pytest.mark.parametrize("form", ["json", "csv"])
def test_the_example_is_taken_as_it_stands(form, tmp_path):
    [example] = re.findall(rf"```{form}\n(.*?)```", PAGE, re.DOTALL)
    path = tmp_path / f"points.{form}"
    path.write_text(example, "utf-8")
    measured = measured_in_file(path)
    assert measured.measures
    assert not [one.fault for one in measured.measures if one.fault]
    if form == "csv":
        [wound] = measured.measures
        assert wound.numbers[0].value == pytest.approx(5.25, abs=1e-5)
    else:
        assert len(measured.measures) == len(json.loads(example)["measures"])
