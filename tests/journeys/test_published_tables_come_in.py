"""Published span tables become cases whose numbers an independent computation confirms."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from aftercase.metrics.measures import measured
from aftercase.metrics.subject import Settings
from aftercase.session.opened import open_case
from aftercase.session.places import places
from aftercase.session.tasks.tabulate import subject_of

Run = Callable[..., str]

# Schoeffmann et al., Cataract-101, ACM MMSys 2018: phase code to step of the guide
STEP_OF_PHASE = {
    1: "main-wound",
    2: "viscoelastic-in",
    3: "capsulorhexis",
    4: "hydrodissection",
    5: "nucleus",
    6: "cortex",
    7: "polish",
    8: "lens-in",
    9: "viscoelastic-out",
    10: "seal",
}
STRICT = {"out-of-order"}


@pytest.fixture(scope="module")
def folder(shared_data: Path) -> Path:
    folder = shared_data / "cataract101"
    if not folder.is_dir():
        pytest.skip("Cataract-101's tables are not at hand")
    return folder


MAPS = [word for phase, step in STEP_OF_PHASE.items() for word in ("--map", f"{phase}={step}")]
STARTS = ("--unit", "frames", "--rate", "25", "--start", "FrameNo", "--label", "Phase")


def _independent_totals(folder: Path) -> pd.DataFrame:
    """Seconds per video and phase, by pandas alone: a phase lasts until the next start."""
    starts = pd.read_csv(folder / "annotations.csv", sep=";")
    videos = pd.read_csv(folder / "videos.csv", sep=";").set_index("VideoID")["Frames"]
    starts = starts.sort_values(["VideoID", "FrameNo"], kind="stable")
    ends = starts.groupby("VideoID")["FrameNo"].shift(-1).fillna(starts["VideoID"].map(videos))
    seconds = (ends - starts["FrameNo"]) / 25
    return seconds.groupby([starts["VideoID"], starts["Phase"]]).sum().unstack()


def test_all_101_operations_have_the_totals_an_independent_computation_gives(
    run: Run, folder: Path, tmp_path: Path
) -> None:
    cases = tmp_path / "cases"
    run(
        "spans", cases, folder / "annotations.csv", *STARTS, "--until-next", *MAPS,
        "--case-per", "VideoID", "--lengths", folder / "videos.csv", "--length", "Frames",
    )  # fmt: skip
    truth = _independent_totals(folder)
    compared = 0
    for video, row in truth.iterrows():
        subject = subject_of(open_case(cases / str(video), places()), None)
        frame = measured("steps", subject, Settings()).frame.set_index("step")
        order = measured("order", subject, Settings()).frame
        # Cataract-101: none of the 101 breaks a strict rule (computed from annotations.csv)
        assert not set(order["finding"]) & STRICT
        for phase, seconds in row.dropna().items():
            assert frame.loc[STEP_OF_PHASE[int(phase)], "total_us"] == round(seconds * 1e6)
            compared += 1
        assert set(frame.index) == {STEP_OF_PHASE[int(phase)] for phase in row.dropna().index}
    assert (len(truth), compared) == (101, int(truth.notna().sum().sum()))


def test_video_269_has_its_published_seconds(run: Run, folder: Path, tmp_path: Path) -> None:
    case = tmp_path / "269"
    run("new", case, "--duration", "589.36")  # 14,734 frames at 25 a second
    table = folder / "annotations.csv"
    run("spans", case, table, *STARTS, "--until-next", *MAPS, "--only", "VideoID=269")
    rows = json.loads(run("tabulate", case, "steps", "--json"))["rows"]
    seconds = {row["step"]: row["total_us"] / 1e6 for row in rows}
    # Cataract-101 video 269, by hand from its twelve starts and 14,734 frames at 25 a second
    by_hand = [39.00, 15.80, 35.60, 54.40, 135.44, 34.52, 29.84, 31.96, 186.24, 23.84]
    assert [seconds[step] for step in STEP_OF_PHASE.values()] == by_hand
    assert sum(seconds.values()) == pytest.approx(586.64, abs=1e-9)


LABELS = ("etc", "NVB", "SVVD", "BN", "PA", "BNU", "DVC", "LN")


def test_the_one_faulty_row_of_the_prostatectomy_table_is_named(
    run: Run, shared_data: Path, tmp_path: Path
) -> None:
    table = shared_data / "prostatectomy_spans" / "segments.csv"
    if not table.is_file():
        pytest.skip("the prostatectomy spans are not at hand")
    guide = tmp_path / "robotic.json"
    steps = [
        {"id": label.lower(), "name": label, "strip_label": label, "repeats": True}
        for label in LABELS
    ]
    guide.write_text(
        json.dumps(
            {
                "format": "aftercase/guide",
                "version": "1.0",
                "id": "robotic-prostatectomy",
                "guide_version": "1.0",
                "name": "Robotic prostatectomy, labels of an open data set",
                "steps": steps,
            }
        ),
        "utf-8",
    )
    told = run(
        "spans", tmp_path / "cases", table, "--case-per", "VideoID", "--guide", guide,
        "--start", "StartTime", "--end", "EndTime", "--label", "labelID",
        "--faulty", "skip", "--json",
    )  # fmt: skip
    taken = json.loads(told)
    faults = {video: one["faults"] for video, one in taken.items() if one["faults"]}
    # 3,756 rows of 296 videos; video186 has one row from 5821 to 466 s (its SOURCE)
    assert len(taken) == 296
    assert list(faults) == ["video186"]
    (fault,) = faults["video186"]
    lines = table.read_text("utf-8").splitlines()
    assert lines[fault["line"] - 1].split(",")[:3] == ["video186", "5821", "466"]
    assert sum(one["taken"] for one in taken.values()) == 3_755
    first = json.loads(run("tabulate", tmp_path / "cases" / "video001", "window", "--json"))
    assert first["rows"][0]["length_us"] == 5_071_633_000
