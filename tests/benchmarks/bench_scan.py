"""Looking through a recording, beside decoding it by the ffmpeg program on the same cores."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from films import MadeFilm, made_eye_film
from media_ways import decode_by_ffmpeg
from reporting import Promise, Table, in_turns, seconds

from aftercase.model.base import id_source
from aftercase.session.places import Places
from aftercase.session.scans import Scan, scan_case, scan_films
from aftercase.session.settings import Settings
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.vision.findings import findings

NOTE = """The example's film made 1920 x 1080 at 30 a second, 10 Mbit/s, H.264 with two B-frames,
noisy. The film is opened anew each time, so that listing its frames is part of it. Finding
suggestions is what follows from what was measured; the film is not needed for it."""


def sections(*, quick: bool) -> Iterator[tuple[Table, list[Promise]]]:
    """Yield what a pass takes."""
    film = made_eye_film(quick=quick)
    scans: list[Scan] = []
    with tempfile.TemporaryDirectory() as folder:
        cases = (Path(folder) / str(number) for number in range(2))
        scan_s, both_s, decode_s = in_turns(
            2,
            lambda: scans.append(scan_films((film.path,))),
            lambda: scans.append(_with_copies(film, next(cases))),
            lambda: decode_by_ffmpeg(film),
        )
    scan = scans[-1]
    found_s = min(seconds(partial(findings, scan.rows, scan.end_us)) for _ in range(3))
    _check(film, scan)
    rows = (
        ("decoding by the ffmpeg program", f"{decode_s:.1f} s"),
        ("looking through it", f"{scan_s:.1f} s; {len(scan.rows)} pictures, one in {scan.every}"),
        ("the same, with its scrub copy made in the same pass", f"{both_s:.1f} s"),
        ("finding suggestions", f"{found_s:.2f} s"),
    )
    name = "looking through a film beside decoding by ffmpeg"
    promises = [
        Promise(name, (scan_s + found_s) / decode_s, 1.3, " times"),
        Promise(f"{name}, with its copy", (both_s + found_s) / decode_s, 1.6, " times"),
    ]
    yield Table(f"Looking through {film.name}", ("", ""), rows, NOTE), promises


def _with_copies(film: MadeFilm, folder: Path) -> Scan:
    """Look through a case of the film, and make its copy; the case is made in no time."""
    at = Places(*(folder / name for name in ("settings", "state", "data", "cache")))
    wanted = Wanted("B1", "cataract-phaco", films=(film.path,))
    opened = new_case(folder / "case", wanted, at, id_source())
    return scan_case(opened, at, copies=Settings())


def _check(film: MadeFilm, scan: Scan) -> None:
    """Refuse to measure a pass that saw nothing."""
    is_found = findings(scan.rows, scan.end_us)
    if not is_found.has_eye or not is_found.instruments or len(scan.rows) < 4 * film.seconds:
        raise AssertionError(f"{film.path} was not looked through")
