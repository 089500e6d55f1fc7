"""From a camera's file to a critique: new, spans, tabulate, report, with the right stills."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pandas as pd
import pytest
from PIL import Image

from aftercase.session.places import places

Run = Callable[..., str]

STEPS = """start,end,label,performer,help
0.2,3.0,capsulorhexis,trainee,alone
3.0,7.4,nucleus,trainee,talked-through
7.9,9.9,cortex,teacher,
"""
INSTRUMENTS = """start,end,label,hand
0.2,2.6,forceps-capsule,main
3.2,7.4,phaco-probe,main
3.5,7.0,manipulator,second
7.9,9.9,ia-probe,main
"""
REMARKS = """start,label,text,reason,next_time,starred
0.52,well-done,Calm start,,,yes
2.36,work-on,Late,It costs time,Begin earlier,yes
4.99,safety,Look twice,,,
8.04,question,Why here?,,,
"""


@pytest.fixture
def case(run: Run, bikes: Path, tmp_path: Path) -> Path:
    case = tmp_path / "street"
    run("new", case, bikes, "--technique", "divide-and-conquer", "--setting", "practice-eye")
    for what, text in (("steps", STEPS), ("instruments", INSTRUMENTS), ("remarks", REMARKS)):
        table = tmp_path / f"{what}.csv"
        table.write_text(text, "utf-8")
        run("spans", case, table, "--what", what, "--reviewer", "T01", "--role", "teacher")
    return case


def _all_pictures(film: Path) -> np.ndarray:
    """Every frame in order of showing, small and grey, by plain sequential decoding."""
    with av.open(str(film)) as container:
        return np.stack(
            [
                frame.reformat(width=160, height=68, format="gray").to_ndarray().astype(np.float32)
                for frame in container.decode(video=0)
            ]
        )


def test_each_remarks_still_is_the_frame_that_was_shown(
    case: Path, run: Run, bikes: Path, tmp_path: Path
) -> None:
    out = tmp_path / "critique"
    run("report", case, "--out", out)
    truth = _all_pictures(bikes)
    stills = sorted((out / "stills").glob("*.jpg"))
    assert len(stills) == 4
    draft = next(places().drafts.rglob("T01.r1.json"))
    moments = {r["id"]: r["at_us"] for r in json.loads(draft.read_text("utf-8"))["remarks"]}
    for still in stills:
        seen = Image.open(io.BytesIO(still.read_bytes())).convert("L").resize((160, 68))
        distance = np.abs(truth - np.asarray(seen, np.float32)).mean(axis=(1, 2))
        # 25 frames a second: the frame shown at t is number floor(25 t)
        assert int(distance.argmin()) == moments[still.stem] * 25 // 1_000_000


def test_the_numbers_are_those_of_the_table_that_came_in(case: Path, run: Run) -> None:
    rows = {
        row["step"]: row for row in json.loads(run("tabulate", case, "steps", "--json"))["rows"]
    }
    # by hand from STEPS and INSTRUMENTS, in microseconds
    assert rows["capsulorhexis"]["total_us"] == 2_800_000
    assert rows["nucleus"]["total_us"] == 4_400_000
    assert rows["cortex"]["total_us"] == 2_000_000
    gaps = json.loads(run("tabulate", case, "gaps", "--json", "--shortest-gap", "0.5"))["rows"]
    whole = {(row["before"], row["after"]) for row in gaps}
    assert ("forceps-capsule", "phaco-probe") in whole  # 2.6 to 3.2 s
    assert ("phaco-probe", "ia-probe") in whole  # 7.4 to 7.9 s is 0.5 s: counted


def test_every_file_of_the_critique_is_written_and_read_by_others(
    case: Path, run: Run, tmp_path: Path
) -> None:
    out = tmp_path / "critique"
    run("report", case, "--out", out)
    names = {path.name for path in out.iterdir()}
    assert names >= {
        "critique.md",
        "critique.csv",
        "critique.html",
        "summary.csv",
        "gaps.csv",
        "events.csv",
        "measures.csv",
        "steps.vtt",
        "remarks.vtt",
    }
    remarks = pd.read_csv(out / "critique.csv", encoding="utf-8-sig")
    assert len(remarks) == 4
    first = (out / "critique.csv").read_bytes()
    assert first.startswith(b"\xef\xbb\xbf")
    assert b"\r\n" in first
    run("report", case, "--out", tmp_path / "comma", "--decimal", "comma")
    text = (tmp_path / "comma" / "summary.csv").read_text("utf-8-sig")
    assert csv.Sniffer().sniff(text.partition("\n")[0]).delimiter == ";"


def test_without_its_film_the_marks_and_numbers_are_still_there(
    run: Run, bikes: Path, tmp_path: Path
) -> None:
    film = tmp_path / "film.mp4"
    film.write_bytes(bikes.read_bytes())
    case, table = tmp_path / "c", tmp_path / "t.csv"
    run("new", case, film)
    table.write_text(STEPS, "utf-8")
    run("spans", case, table)
    film.unlink()
    told = run("report", case)
    assert "note:" in told
    assert (case / "critique" / "critique.html").is_file()
