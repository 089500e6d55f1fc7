"""`aftercase geometry` on files of points and on a case; numbers by hand."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from aftercase.document.codec import decoded, encoded
from aftercase.model.base import id_source
from aftercase.model.case import Case
from aftercase.model.measure import Calibration, Measure
from aftercase.model.review import Review

Run = Callable[..., tuple[int, str, str]]

WIDTH = {
    "rulers": [
        {
            "basis": "known-length",
            "points": [[20, 30], [460, 30]],
            "size_mm": 11.8,
            "size_error_mm": 0.0,
            "plane": "at-cornea",
        }
    ],
    "measures": [
        {
            "kind": "length",
            "plane": "at-cornea",
            "points": [[100, 100], [295.7627, 100]],
            "name": "5.25 mm",
        }
    ],
}
"""11.8 mm over 440 px: 195.7627 px are 5.25 mm, by hand."""

TABLE = """what,name,x_px,y_px,size_mm,size_error_mm,plane
known-length,ruler,20,30,11.8,0,at-cornea
known-length,ruler,460,30,,,
length,wound,100,100,,,at-cornea
length,wound,295.7627,100,,,
"""


@pytest.fixture
def measured(run: Run, tmp_path: Path) -> Callable[[Any], dict[str, Any]]:
    """What `--json` tells of a file of points, which holds these data."""

    def measuring(data: Any) -> dict[str, Any]:
        path = tmp_path / "points.json"
        path.write_text(json.dumps(data), "utf-8")
        code, out, err = run("geometry", path, "--json")
        assert (code, err) == (0, "")
        told: dict[str, Any] = json.loads(out)
        return told

    return measuring


def changed(**fields: Any) -> dict[str, Any]:
    return {**WIDTH, **fields}


def the_measure(**fields: Any) -> dict[str, Any]:
    return changed(measures=[{**WIDTH["measures"][0], **fields}])


def the_ruler(**fields: Any) -> dict[str, Any]:
    return changed(rulers=[{**WIDTH["rulers"][0], **fields}])


def test_no_measures_are_said_to_be_none(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "points.json"
    path.write_text('{"measures": []}', "utf-8")
    code, out, _ = run("geometry", path)
    assert code == 0
    assert out.startswith("Nothing was measured.\n")


def test_a_length_comes_out_in_millimetres_with_its_error(measured) -> None:
    told = measured(WIDTH)
    (ruler,), (measure,) = told["rulers"], told["measures"]
    assert ruler["mm_per_px"] == pytest.approx(0.026818, abs=1e-6)
    (length,) = measure["numbers"]
    assert length["value"] == pytest.approx(5.25, abs=1e-5)
    assert length["unit"] == "mm"
    assert length["error"] > 0
    assert "not for" not in told["caution"]
    assert "never for a decision about a patient" in told["caution"]


def test_a_table_tells_the_same_as_a_json_file(run: Run, measured, tmp_path: Path) -> None:
    path = tmp_path / "points.csv"
    path.write_text(TABLE, "utf-8")
    code, out, _ = run("geometry", path, "--json")
    assert code == 0
    numbers = json.loads(out)["measures"][0]["numbers"]
    assert numbers == measured(WIDTH)["measures"][0]["numbers"]
    path.write_text(TABLE.replace(".", ",").replace(",", ";").replace("295;7627", "295,7627")
                    .replace("11;8", "11,8"), "utf-8")  # fmt: skip
    _, out, _ = run("geometry", path, "--json")
    assert json.loads(out)["measures"][0]["numbers"] == numbers


def test_words_tell_the_number_the_ruler_and_the_caution(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "points.json"
    path.write_text(json.dumps(WIDTH), "utf-8")
    _, out, _ = run("geometry", path)
    assert "Length: 5.25 mm\n  Length  5.25 ± 0.09 mm\n" in out
    assert "Ruler: known length, 11.8 mm, ±0.6 %; 37.29 px a millimetre" in out
    assert "approximate" in out.splitlines()[-1]


def test_a_limbus_lends_its_centre_and_the_eye_its_hours(measured) -> None:
    """Left eye, temporal seat: left of the picture is 6, bottom left 4:30 (clock-hour table)."""
    ring = [[300, 100], [441.42, 158.58], [500, 300], [441.42, 441.42], [300, 500], [100, 300]]
    told = measured(
        {
            "setting": "patient",
            "eye": "left",
            "seat": "temporal",
            "turn_deg": 0,
            "rulers": [
                {"basis": "limbus", "points": ring, "size_mm": 11.71, "size_from": "assumed"}
            ],
            "measures": [{"kind": "angle", "points": [[100, 300], [158.58, 441.42]]}],
        }
    )
    (measure,) = told["measures"]
    assert measure["hours"] == "6 (eye) and 4:30 (eye)"
    assert measure["numbers"][0]["value"] == pytest.approx(45, abs=0.1)


def test_a_tip_is_followed_by_its_times(measured) -> None:
    told = measured(
        changed(
            measures=[
                {
                    "kind": "tip-path",
                    "points": [[100, 100], [140, 130], [140, 130], [100, 100]],
                    "times_s": [3.5, 4, 4.5, 5],
                    "threshold_mm_s": 0.5,
                }
            ]
        )
    )
    (measure,) = told["measures"]
    values = {number["name"]: number["value"] for number in measure["numbers"]}
    assert values["length"] == pytest.approx(100 * 11.8 / 440)
    assert values["duration"] == 1.5
    assert (values["movements"], measure["threshold_mm_s"]) == (2, 0.5)


BAD = [
    ({"measures": 5}, "measures"),
    ({}, "measures"),
    (the_measure(kinds="length"), "measures/0/kinds"),
    (the_measure(kind="volume"), "measures/0/kind"),
    (the_measure(points=[[100, 100]]), "measures/0/points"),
    (the_measure(points=[[100, "100"], [0, 0]]), "measures/0/points/0/1"),
    (the_measure(points=[[-1, 100], [0, 0]]), "measures/0/points/0/0"),
    (the_measure(points=[[100, 100, 100], [0, 0]]), "measures/0/points/0"),
    (the_measure(ruler="other"), "does not name one ruler"),
    (the_measure(kind="tip-path"), "measures/0/times_us"),
    (the_ruler(size_mm=0), "rulers/0/size_mm"),
    (the_ruler(points=[[1, 1]]), "rulers/0/points"),
    (the_ruler(basis="pupil"), "rulers/0/basis"),
    (the_ruler(basis="limbus", points=[[1, 1], [9, 1], [5, 5]]), "patient"),
    (changed(rulers=[*WIDTH["rulers"], *WIDTH["rulers"]]), "does not name one ruler"),
    (changed(eye="up"), "eye"),
    (changed(seat="somewhere"), "seat"),
    (changed(setting="guess"), "setting"),
    (changed(pixel_aspect=0), "pixel_aspect"),
]


@pytest.mark.parametrize(("data", "named"), BAD)
def test_bad_points_are_answered_with_what_where_and_what_to_do(
    data: Any, named: str, run: Run, tmp_path: Path
) -> None:
    path = tmp_path / "points.json"
    path.write_text(json.dumps(data), "utf-8")
    code, out, err = run("geometry", path)
    assert (code, out) == (1, "")
    assert named in err
    assert str(path) in err
    assert "what to do:" in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("", "empty"),
        ("what,name,x_px,y_px\n", "no points"),
        ("what,x_px,y_px\nlength,1,2\n", "name"),
        (TABLE.replace("460", "wide"), "Line 3"),
        (TABLE.replace("295.7627", ""), "Line 5"),
        (TABLE.replace("460,30,,", "460,30,12,"), "Line 3"),
        ("what,name,x_px,y_px,set\nlength,a,1,2,edge\n", "Line 2"),
        ("what,name,x_px,y_px\nlength,a,1,2\n", "points"),
        ("what,name,x_px,y_px\nlength,a,nan,2\nlength,a,1,2\n", "points"),
    ],
)
def test_a_bad_table_is_answered_with_its_line(
    text: str, named: str, run: Run, tmp_path: Path
) -> None:
    path = tmp_path / "points.csv"
    path.write_text(text, "utf-8")
    code, _, err = run("geometry", path)
    assert code == 1
    assert named in err
    assert "what to do:" in err


@pytest.mark.parametrize("content", ["{", "[1]", '{"measures": [], "measures": []}', "\0"])
def test_a_file_that_is_no_json_is_told(content: str, run: Run, tmp_path: Path) -> None:
    path = tmp_path / "points.json"
    path.write_text(content, "utf-8")
    code, _, err = run("geometry", path)
    assert code == 1
    assert "measuring.md" in err


def test_a_file_or_case_that_is_not_there_is_told(run: Run, tmp_path: Path) -> None:
    for name in ("no.json", "no.csv", "no-case"):
        code, _, err = run("geometry", tmp_path / name)
        assert code == 1
        assert name in err
    assert run("geometry", tmp_path / "no.json", "--reviewer", "T1")[0] == 2


def test_the_measures_of_a_case_stand_by_time_with_their_ruler(
    run: Run, film: Path, tmp_path: Path
) -> None:
    """The film's frames are 128 x 96 px: half of their width are 64 px, told to be 6 mm."""
    case, table = tmp_path / "c", tmp_path / "t.csv"
    run("new", case, film)
    table.write_text("start,end,label\n0,1,nucleus\n", "utf-8")
    _, out, _ = run("spans", case, table, "--reviewer", "T01", "--json")
    assert run("geometry", case)[1].startswith("Nothing was measured.")
    path = Path(json.loads(out)[str(case)]["review"])
    review = decoded(Review, path.read_bytes(), path)
    new_id = id_source()
    ruler = Calibration(
        id=new_id(), start_us=0, end_us=2_000_000, at_us=0, basis="optic", size_mm=6.0,
        points=((0.25, 0.5), (0.75, 0.5)), size_from="maker",
    )  # fmt: skip
    later, earlier = (
        Measure(id=new_id(), kind="length", at_us=us, points=((0.5, 0.25), (0.5, 0.75)),
                calibration=ruler.id, plane="behind-cornea", note=note)
        for us, note in ((1_000_000, "later"), (40_000, "earlier"))
    )  # fmt: skip
    path.write_bytes(encoded(review.changed(calibrations=(ruler,), measures=(earlier, later))))
    code, out, _ = run("geometry", case, "--reviewer", "T01", "--json")
    assert code == 0
    told = json.loads(out)["measures"]
    assert [(one["note"], one["at_us"]) for one in told] == [
        ("earlier", 40_000),
        ("later", 1_000_000),
    ]
    assert told[0]["numbers"][0]["value"] == pytest.approx(48 * 6 / 64)
    assert "0:00:00.040  Length: earlier" in run("geometry", case)[1]
    assert run("check", case)[0] == 0
    assert run("geometry", case, "--reviewer", "T99")[0] == 1
    assert decoded(Case, (case / "case.json").read_bytes(), case).parts[0].width_px == 128
