from __future__ import annotations

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from aftercase.clock import us_from_text

Run = Callable[..., tuple[int, str, str]]


def test_misuse_ends_with_two_and_a_fault_of_the_world_with_one(run: Run, tmp_path: Path) -> None:
    assert run("nonsense")[0] == 2
    assert run("frame")[0] == 2
    assert run("new", tmp_path / "c")[0] == 2
    code, out, err = run("info", tmp_path / "no.mp4")
    assert (code, out) == (1, "")
    assert err.startswith("aftercase: ")
    assert "what to do:" in err
    assert "Traceback" not in err


def test_a_typed_word_that_is_nearly_right_is_helped(run: Run) -> None:
    code, _, err = run("frame", "x.mp4", "--att", "3")
    assert code == 2
    assert "--at" in err


@pytest.mark.parametrize("time", ["soon", "1:99", "1.2.3", "", "٣", "nan", "inf"])
def test_a_time_that_is_none_is_misuse(run: Run, time: str) -> None:
    code, _, err = run("frame", "x.mp4", "--at", time)
    assert code == 2
    assert "not a time" in err


@pytest.mark.parametrize("rate", ["fast", "0", "-25", "1/0"])
def test_a_rate_that_is_none_is_misuse(run: Run, rate: str) -> None:
    code, _, err = run("spans", "case", "table.csv", "--rate", rate)
    assert code == 2
    assert "rate" in err


def test_info_frame_and_new_tell_the_same_times(run: Run, film: Path, tmp_path: Path) -> None:
    _, facts, _ = run("info", film, "--json")
    assert json.loads(facts)[0]["n_frames"] == 50
    assert json.loads(facts)[0]["duration_us"] == 2_000_000
    _, shown, _ = run("frame", film, "--at", "0:00:01.999", "--save", tmp_path / "a.png", "--json")
    assert json.loads(shown)["start_us"] == 49 * 40_000
    assert run("frame", film, "--at", "2")[0] == 1
    _, made, _ = run("new", tmp_path / "c", film, "--json")
    assert json.loads(made)["case"]["parts"][0]["end_us"] == 2_000_000


def test_frame_says_in_words_what_reads_back_as_the_same_frame(
    run: Run, film_maker: Callable[..., Path]
) -> None:
    film = film_maker("tv.mp4", 40, rate=Fraction(30000, 1001))
    _, told, _ = run("frame", film, "--at", "1.0")
    printed = told.splitlines()[0].rpartition(" ")[2]
    _, again, _ = run("frame", film, "--at", printed, "--json")
    # frame 29 starts at 29 * 1001 / 30000 s = 967,633.3 us and is still shown at 1 s: by hand
    assert json.loads(again)["start_us"] == 967_634
    assert us_from_text(printed) == 968_000
    assert "exactly 967634 us" in told


@pytest.mark.parametrize("name", ["still.gif", "still", "still.mp4"])
def test_a_picture_is_saved_as_png_or_jpeg_only(
    run: Run, film: Path, tmp_path: Path, name: str
) -> None:
    code, _, err = run("frame", film, "--at", "1", "--save", tmp_path / name)
    assert code == 1
    assert "PNG or JPEG" in err
    assert not (tmp_path / name).exists()


def test_check_names_the_file_and_place_of_each_broken_rule(
    run: Run, film: Path, tmp_path: Path
) -> None:
    case = tmp_path / "c"
    run("new", case, film)
    assert run("check", case)[0] == 0
    header = json.loads((case / "case.json").read_text("utf-8"))
    header["parts"][0]["start_us"] = 5
    header["technique"] = [{"from_us": 0, "value": "whistling"}]
    (case / "case.json").write_text(json.dumps(header), "utf-8")
    code, out, _ = run("check", case)
    assert code == 1
    assert "case.json: parts/0/start_us:" in out
    assert "case.json: technique/0: “whistling”" in out
    assert "2 broken rules" in out


def test_check_goes_on_after_a_file_that_cannot_be_read(
    run: Run, film: Path, tmp_path: Path
) -> None:
    case = tmp_path / "c"
    run("new", case, film)
    (case / "reviews").mkdir()
    (case / "reviews" / "T01.r1.json").write_text("{", "utf-8")
    (case / "guide.json").write_text("[]", "utf-8")
    code, out, _ = run("check", case, "--json")
    findings = json.loads(out)["findings"]
    assert code == 1
    assert {Path(one["file"]).name for one in findings} == {"guide.json", "T01.r1.json"}


def test_check_notes_a_film_that_is_not_at_hand(run: Run, film: Path, tmp_path: Path) -> None:
    run("new", tmp_path / "c", film)
    film.unlink()
    code, out, _ = run("check", tmp_path / "c")
    assert code == 0
    assert "not at hand" in out


def test_a_folder_that_is_no_case_says_so(run: Run, tmp_path: Path) -> None:
    for command in (["check"], ["tabulate"], ["report"], ["spans"]):
        extra = {"tabulate": ["steps"], "spans": [tmp_path / "t.csv"]}.get(command[0], [])
        code, _, err = run(*command, tmp_path, *extra)
        assert code == 1, command
        assert "no case folder" in err or "no such table" in err


def test_every_measure_is_printed_in_three_forms(run: Run, film: Path, tmp_path: Path) -> None:
    from aftercase.metrics.measures import MEASURES

    case, table = tmp_path / "c", tmp_path / "t.csv"
    run("new", case, film)
    table.write_text("start,end,label\n0,1,nucleus\n", "utf-8")
    run("spans", case, table)
    for measure in MEASURES:
        for form in ("text", "csv", "json"):
            code, out, err = run("tabulate", case, measure, "--as", form)
            assert (code, err) == (0, ""), (measure, form)
            assert out
    _, out, _ = run("tabulate", case, "steps", "--json")
    assert json.loads(out)["rows"][0]["total_us"] == 1_000_000


def test_header_fields_can_be_set_and_unknown_ones_are_told(
    run: Run, film: Path, tmp_path: Path
) -> None:
    code, out, _ = run(
        "new", tmp_path / "c", film, "--json", "--eye", "left", "--seat", "10.5", "--turn", "20",
        "--set", "training_year=3", "--set", "difficulties=small-pupil,deep-set-eye",
        "--set", "density=3.5", "--mirrored",
    )  # fmt: skip
    case = json.loads(out)["case"]
    assert code == 0
    assert case["seat"] == [{"from_us": 0, "value": "10.5"}]
    assert case["turn_deg"] == [{"from_us": 0, "value": 20.0}]
    assert case["mirrored"] == [{"from_us": 0, "value": True}]
    assert case["difficulties"] == ["small-pupil", "deep-set-eye"]
    assert (case["training_year"], case["density"]["value"]) == (3, 3.5)
    code, _, err = run("new", tmp_path / "d", film, "--set", "hair=red")
    assert code == 1
    assert "difficulties" in err


@pytest.mark.parametrize(
    "words",
    [
        ("spans", "case", "t.csv", "--reviewer", "two words"),
        ("new", "case", "film.mp4", "--code", "../x"),
        ("new", "case", "film.mp4", "--trainee", ""),
        ("new", "case", "--duration", "-5"),
        ("tabulate", "case", "steps", "--shortest-gap", "-1"),
        ("report", "case", "--shortest-gap", "soon"),
        ("new", "case", "film.mp4", "--set", "no-equals-sign"),
    ],
)
def test_a_value_that_fits_no_option_is_misuse_told_in_words(
    run: Run, words: tuple[str, ...]
) -> None:
    code, _, err = run(*words)
    assert code == 2
    assert "Traceback" not in err
    assert "[a-z" not in err  # a person is told what to give, not a pattern


def test_a_case_is_not_taken_for_a_folder_of_cases(run: Run, film: Path, tmp_path: Path) -> None:
    case, table = tmp_path / "c", tmp_path / "t.csv"
    run("new", case, film)
    table.write_text("film,start,end,label\n1,0,1,nucleus\n", "utf-8")
    code, _, err = run("spans", case, table, "--case-per", "film")
    assert code == 1
    assert "not a folder of cases" in err


def test_a_density_that_is_on_no_scale_is_told(run: Run, film: Path, tmp_path: Path) -> None:
    for value in ("nan", "9", "granite"):
        code, _, err = run("new", tmp_path / "c", film, "--set", f"density={value}")
        assert code == 1
        assert "density" in err


def test_without_room_for_its_own_files_no_half_case_is_left(
    run: Run, film: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocked = tmp_path / "blocked"
    blocked.write_text("a file where a folder should be", "utf-8")
    monkeypatch.setenv("AFTERCASE_HOME", str(blocked))
    code, _, err = run("new", tmp_path / "c", film)
    assert code == 1
    assert "Traceback" not in err
    assert not (tmp_path / "c" / "case.json").exists()


def test_copies_for_browsing_are_made_once_and_can_be_switched_off(
    run: Run, film: Path, tmp_path: Path
) -> None:
    case = tmp_path / "c"
    run("new", case, film)
    code, out, _ = run("scrub", case, "--json")
    made = json.loads(out)
    assert (code, [copy["whole"] for copy in made["copies"]], made["on"]) == (0, [True], True)
    kept = sorted(path.name for path in (case / "cache").rglob("*") if path.is_file())
    assert run("scrub", case)[1] == "1 of 1 films have a whole copy\n"
    assert sorted(path.name for path in (case / "cache").rglob("*") if path.is_file()) == kept
    assert "switched off" in run("scrub", case, "--off")[1]
    assert "switched off" in run("scrub", case)[1]  # remembered
    assert json.loads(run("scrub", case, "--on", "--limit", "5", "--json")[1])["on"]
    assert run("scrub", case, "--limit", "-1")[0] == 2
