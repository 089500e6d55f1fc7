"""`aftercase scan` of a case, a film, a picture, and of what is none of them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.eye_films import CENTRE, RADIUS_PX, drawn_eye, film_of

N = 75
ENTRIES = {(10, 35): 180.0, (50, 65): 90.0}


def bars_on(number):
    return [at for (first, stop), at in ENTRIES.items() if first <= number < stop]


SOURCE = Path(__file__).resolve().parents[2] / "src"


@pytest.fixture(scope="module")
def eye_film(tmp_path_factory):
    path = tmp_path_factory.mktemp("eyes") / "EYE.MP4"
    return film_of(path, lambda n: drawn_eye(bars_on(n), number=n), N)


@pytest.fixture
def case(run, eye_film, tmp_path):
    """Make a case of the film; returns its folder."""

    def make(*header):
        assert run("new", tmp_path / "c", eye_film, *header)[0] == 0
        return tmp_path / "c"

    return make


def test_a_case_is_scanned_kept_and_said_with_the_hours_of_its_eye(run, case):
    folder = case("--eye", "right", "--seat", "temporal", "--turn", "0")
    code, out, err = run("scan", folder)
    assert (code, err) == (0, "")
    assert "75 pictures looked at; an eye on 100% of them" in out
    # by hand: a right eye from the temporal seat has 9 at the bottom and 6 at the right
    assert "0:00:02.000 to 0:00:07.000  instrument at 9 o’clock of the eye" in out
    assert "0:00:10.000 to 0:00:13.000  instrument at 6 o’clock of the eye" in out
    assert "0:00:07.000 to 0:00:10.000  gap" in out
    assert "nothing counts until a person accepts it" in out
    assert "not a medical device" in out
    _, again, _ = run("scan", folder)
    assert "75 pictures looked at, 75 of them in an earlier pass;" in again
    assert again.split("\n", 1)[1] == out.split("\n", 1)[1]


def test_json_tells_the_same_and_twice_the_same(run, case):
    folder = case()
    told = json.loads(run("scan", folder, "--json")[1])
    assert (told["n_pictures"], told["n_kept"], told["was_stale"]) == (N, 0, False)
    assert [one["start_us"] for one in told["instruments"]] == [2_000_000, 10_000_000]
    assert {one["clock"] for one in told["instruments"]} == {"picture"}
    assert [(one["hour"], one["n_entries"]) for one in told["places"]] == [
        (pytest.approx(6.0, abs=0.1), 1),
        (pytest.approx(3.0, abs=0.1), 1),
    ]
    again = json.loads(run("scan", folder, "--json")[1])
    assert again == {**told, "n_kept": N}


def test_a_stale_scan_is_said_to_be(run, case):
    folder = case()
    run("scan", folder)
    _, out, _ = run("scan", folder, "--per-second", "2.5")
    assert "an earlier scan was of another film or stretch, of other settings" in out
    assert "38 pictures looked at;" in out
    told = json.loads(run("scan", folder, "--json")[1])
    assert (told["was_stale"], told["n_kept"]) == (True, 0)


@pytest.mark.parametrize("setting", ["practice-eye", "animal-eye", "simulator-film", None])
def test_millimetres_are_never_told_of_an_eye_that_is_no_patients(run, case, setting):
    folder = case(*(["--setting", setting] if setting else []))
    assert " mm" not in run("scan", folder)[1]
    told = json.loads(run("scan", folder, "--json")[1])
    assert (told["mm_a_radius"], told["mm_error"]) == (None, None)


def test_millimetres_of_a_patients_eye_are_told_with_what_is_assumed_and_their_error(run, case):
    folder = case("--setting", "patient")
    out = run("scan", folder)[1]
    assert "a white-to-white of 11.71 mm is assumed" in out
    assert "off by up to 7% in 95 of 100 eyes" in out
    assert "± 0.0" in out
    told = json.loads(run("scan", folder, "--json")[1])
    assert told["mm_a_radius"] == pytest.approx(11.71 / 2, rel=0.02)


def test_a_bare_film_is_scanned_and_has_no_millimetres(run, eye_film):
    code, out, _ = run("scan", eye_film)
    assert code == 0
    assert "instrument at 6 o’clock of the picture" in out
    assert " mm" not in out


@pytest.mark.parametrize("name", ["eye.png", "eye.jpg"])
def test_a_single_picture_tells_its_eye(run, tmp_path, name):
    Image.fromarray(drawn_eye()).resize((960, 540)).save(tmp_path / name)
    code, out, err = run("scan", tmp_path / name)
    assert (code, err) == (0, "")
    assert "1 picture looked at" in out
    assert "limbus at" in out
    told = json.loads(run("scan", tmp_path / name, "--json")[1])
    limbus = told["eye"]["limbus"]
    assert limbus["x_px"] == pytest.approx(3 * (CENTRE[0] + 0.5) - 0.5, abs=0.03 * 3 * RADIUS_PX)
    assert limbus["radius_px"] == pytest.approx(3 * RADIUS_PX, rel=0.03)
    assert told["eye"]["confidence"] > 0.5


def test_a_film_and_a_picture_without_an_eye_suggest_nothing(run, tmp_path):
    film = film_of(tmp_path / "a.mp4", lambda n: np.full((180, 320, 3), 40 + n, np.uint8), 20)
    Image.new("RGB", (320, 180), (90, 120, 60)).save(tmp_path / "a.png")
    for what in (film, tmp_path / "a.png"):
        code, out, _ = run("scan", what)
        assert code == 0
        assert "no eye found: nothing is suggested" in out
        told = json.loads(run("scan", what, "--json")[1])
        assert (told["has_eye"], told["eye_share"]) == (False, 0.0)
        assert told["states"] == told["instruments"] == told["gaps"] == told["boundaries"] == []


def is_plain_fault(code, out, err):
    return code == 1 and not out and "what to do:" in err and "Traceback" not in err


@pytest.mark.parametrize("name", ["no.mp4", "no.png", "no/case"])
def test_what_is_not_there_is_said_plainly(run, tmp_path, name):
    assert is_plain_fault(*run("scan", tmp_path / name))


@pytest.mark.parametrize("name", ["a.mp4", "a.png", "a.jpg", "a.txt"])
@pytest.mark.parametrize("content", [b"", b"this is a text\n", bytes(range(256)) * 20])
def test_what_is_no_film_and_no_picture_is_said_plainly(run, tmp_path, name, content):
    (tmp_path / name).write_bytes(content)
    assert is_plain_fault(*run("scan", tmp_path / name))


def test_a_folder_that_is_no_case_is_said_plainly(run, tmp_path):
    assert is_plain_fault(*run("scan", tmp_path))


def test_a_case_whose_film_is_gone_is_said_plainly(run, case, eye_film):
    folder = case()
    away = eye_film.with_name("away.MP4")
    eye_film.rename(away)
    try:
        assert is_plain_fault(*run("scan", folder))
    finally:
        away.rename(eye_film)


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="rights do not bind this user"
)
@pytest.mark.parametrize("name", ["a.mp4", "a.png"])
def test_a_file_without_rights_is_said_plainly(run, tmp_path, name):
    (tmp_path / name).write_bytes(b"x")
    (tmp_path / name).chmod(0)
    assert is_plain_fault(*run("scan", tmp_path / name))


@pytest.mark.parametrize(
    "options",
    [
        ["--per-second", "0"],
        ["--per-second", "many"],
        ["--per-second", "nan"],
        ["--side", "0"],
        ["--side", "99999"],
        ["--side", "12.5"],
        ["--nonsense"],
        ["another", "place"],
    ],
)
def test_options_that_make_no_sense_are_misuse(run, tmp_path, options):
    code, out, err = run("scan", tmp_path, *options)
    assert (code, out) == (2, "")
    assert "Traceback" not in err


def test_a_library_of_the_system_that_is_missing_is_named_and_other_commands_work(tmp_path):
    missing = "libGL.so.1: cannot open shared object file"
    (tmp_path / "cv2.py").write_text(f"raise ImportError({missing!r})\n", encoding="utf-8")
    environment = os.environ | {"PYTHONPATH": f"{tmp_path}{os.pathsep}{SOURCE}"}

    def ran(*words):
        command = [sys.executable, "-m", "aftercase", *words]
        return subprocess.run(command, env=environment, capture_output=True, text=True)

    scan = ran("scan", str(tmp_path))
    assert scan.returncode == 1
    assert missing in scan.stderr
    assert "apt install libgl1 libglib2.0-0" in scan.stderr
    assert "Traceback" not in scan.stderr
    assert ran("geometry", "--help").returncode == 0
    assert ran("--help").returncode == 0
