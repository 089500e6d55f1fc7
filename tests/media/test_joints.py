from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import count

import numpy as np
import pytest

from aftercase.media.joints import FULL_SIZE_BYTES, FilmSeen, joints_of, recorded_order
from aftercase.media.likeness import Greys
from aftercase.media.parts import PartFacts

SECOND = 1_000_000
MINUTE = 60 * SECOND
N = 20
_hashes = count()


def pictures(scene: int, first: int) -> Greys:
    """Cut twenty pictures out of a random field that drifts by a pixel a picture."""
    field = np.random.default_rng(scene).uniform(20, 230, (3, 50))
    wide = np.kron(field, np.ones((6, 24)))
    smooth = np.apply_along_axis(np.convolve, 1, wide, np.ones(15) / 15, "same")
    return np.array([smooth[:, k : k + 32] for k in range(first, first + N)], np.float32)


def film(
    name: str, *, scene: int = 1, first: int = 0, n_frames: int = 100, begun_us: int | None = None,
    changed_us: int | None = None, width_px: int = 1920, size_bytes: int = 1000,
) -> FilmSeen:  # fmt: skip
    """Describe a film of 25 frames a second that shows frames of a scene from `first` on."""
    end_us = n_frames * 40_000
    facts = PartFacts(name, size_bytes, end_us, f"hash {next(_hashes)}", None, 0, 0, 1, 25, 0,
                      end_us, width_px, 1080)  # fmt: skip
    starts_us = tuple(range(end_us - N * 40_000, end_us, 40_000))
    tail = pictures(scene, first + n_frames - N)
    rate = Fraction(25)
    return FilmSeen(name, facts, "h264", rate, begun_us, changed_us, pictures(scene, first), tail,
                    starts_us)  # fmt: skip


def three(**changes: object) -> list[FilmSeen]:
    return [film(f"REC0001_0{k + 1}.MP4", first=100 * k, **changes) for k in range(3)]  # type: ignore[arg-type]


def kinds(films: list[FilmSeen]) -> list[tuple[str, tuple[int, ...]]]:
    return [(found.kind, found.parts) for found in joints_of(films).findings]


def test_no_film_and_one_film_have_no_joint() -> None:
    assert joints_of([]).joints == joints_of(three()[:1]).joints == ()
    assert recorded_order([]) == ([], "letters")


def test_parts_that_run_on_have_everything_for_them_and_nothing_found() -> None:
    films = [
        replace(one, begun_us=k * 4 * SECOND, changed_us=(k + 1) * 4 * SECOND)
        for k, one in enumerate(three())
    ]
    seen = joints_of(films)
    assert seen.findings == ()
    for joint in seen.joints:
        assert (joint.name.verdict, joint.time.verdict, joint.content.verdict) == ("for",) * 3
        assert (joint.pause_us, joint.repeated_us) == (0, 0)


def test_a_number_left_out_is_a_missing_part() -> None:
    assert kinds([three()[0], three()[2]]) == [("missing-part", (0, 1))]
    assert kinds(three()[1:]) == [("missing-part", (0,))]


def test_the_same_content_twice_is_a_double_part() -> None:
    films = three()
    twin = replace(films[1], name="REC0001_04.MP4")
    assert ("double-part", (1, 3)) in kinds([*films, twin])


def test_a_repeated_end_is_measured() -> None:
    films = [film("REC0001_01.MP4"), film("REC0001_02.MP4", first=85)]
    seen = joints_of(films)
    assert seen.joints[0].repeated_us == 15 * 40_000
    assert [found.kind for found in seen.findings] == ["repeated"]
    assert "0:00:00.600" in seen.findings[0].words


def test_no_repeat_is_sought_between_different_rates() -> None:
    one, other = film("REC0001_01.MP4"), film("REC0001_02.MP4", first=85)
    assert joints_of([one, replace(other, rate=Fraction(50))]).joints[0].repeated_us == 0


@pytest.mark.parametrize(
    "other",
    [
        film("REC0002_01.MP4", scene=2),
        film("REC0001_02.MP4", scene=2, width_px=1280),
        film("REC0001_02.MP4", scene=2, begun_us=20 * MINUTE),
    ],
)
def test_another_film_is_told_by_name_form_or_a_long_pause(other: FilmSeen) -> None:
    assert ("another-film", (0, 1)) in kinds([film("REC0001_01.MP4", begun_us=1), other])


def test_names_that_do_not_count_leave_it_to_the_pictures() -> None:
    assert kinds([film("a.mp4"), film("b.mp4", first=100)]) == []
    assert kinds([film("a.mp4"), film("b.mp4", scene=2)]) == [("another-film", (0, 1))]


def test_a_part_of_another_form_whose_pictures_go_on_is_only_told() -> None:
    films = [film("REC0001_01.MP4"), film("REC0001_02.MP4", first=100, width_px=1280)]
    (finding,) = joints_of(films).findings
    assert finding.kind == "other-form"
    assert "1280 x 1080, not 1920 x 1080" in finding.words


def test_a_pause_is_listed_and_is_none_of_the_clock() -> None:
    films = [film("R_1.MP4", begun_us=0), film("R_2.MP4", first=100, begun_us=2 * MINUTE)]
    (joint,) = joints_of(films).joints
    assert joint.pause_us == 2 * MINUTE - 4 * SECOND
    assert "0:01:56" in joint.time.words


def test_times_of_a_copy_say_nothing() -> None:
    films = [film("R_1.MP4", n_frames=500, changed_us=0),
             film("R_2.MP4", first=500, n_frames=500, changed_us=SECOND)]  # fmt: skip
    (joint,) = joints_of(films).joints
    assert (joint.time.verdict, joint.pause_us) == ("silent", None)


def test_one_start_in_every_part_says_nothing_and_the_folder_s_times_are_heard() -> None:
    films = [film("b.mp4", begun_us=7, changed_us=4 * SECOND),
             film("a.mp4", first=100, begun_us=7, changed_us=8 * SECOND)]  # fmt: skip
    assert recorded_order(films) == ([0, 1], "time")
    assert joints_of(films).joints[0].pause_us == 0


def test_a_wrong_order_is_told_by_times_and_by_pictures() -> None:
    films = [replace(one, begun_us=k * 4 * SECOND) for k, one in enumerate(three())]
    found = joints_of([films[0], films[2], films[1]])
    assert {"order"} == {one.kind for one in found.findings}
    assert (0, 2) in {one.parts for one in found.findings}  # the first goes on in the third
    assert found.joints[1].time.verdict == "against"


def test_a_file_of_the_largest_size_is_told_to_the_byte() -> None:
    full = film("R_1.MP4", size_bytes=FULL_SIZE_BYTES)
    assert FULL_SIZE_BYTES == 4 * 1024**3 - 1
    assert kinds([full]) == [("full-size", (0,))]
    assert kinds([film("R_1.MP4", size_bytes=FULL_SIZE_BYTES - 1)]) == []
