"""Films made for the tests, every picture carrying its own number; see `made_films`."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from made_films.catalogue import ALL, PLANS, Kind, Plan, film_path
from made_films.making import ProgramMissing, encode, ffmpeg
from made_films.numbered import number_of
from made_films.truth import Truth
from made_films.truth import truth_of as truth_by_name


@dataclass(frozen=True)
class MadeFilm:
    """A film under test, and which of its streams is the film."""

    name: str
    path: Path
    stream: int

    @property
    def losses(self) -> range:
        """How many pictures may be lost."""
        made = ALL[self.name]
        return made.losses if isinstance(made, Kind) else range(1)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    marked = {mark.args[0] for mark in metafunc.definition.iter_markers("parametrize")}
    if "film" in metafunc.fixturenames and "film" not in marked:
        metafunc.parametrize("film", list(ALL), indirect=True)
    if "planned" in metafunc.fixturenames:
        metafunc.parametrize("planned", list(PLANS), indirect=True)


def skipping(function: Callable) -> Callable:
    """The function, skipping the test where a program is missing."""

    @wraps(function)
    def skip_or_call(*args, **kwargs):
        try:
            return function(*args, **kwargs)
        except ProgramMissing as missing:
            pytest.skip(str(missing))

    return skip_or_call


@skipping
def made_film(name: str) -> MadeFilm:
    made = ALL[name]
    return MadeFilm(name, film_path(name), made.stream if isinstance(made, Kind) else 0)


@pytest.fixture(scope="session")
def film_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("films")


@pytest.fixture(scope="session")
def made() -> Callable[[str], MadeFilm]:
    return made_film


@pytest.fixture
def film(request: pytest.FixtureRequest) -> MadeFilm:
    return made_film(request.param)


@pytest.fixture
def planned(request: pytest.FixtureRequest) -> tuple[Path, Plan]:
    return made_film(request.param).path, PLANS[request.param]


@pytest.fixture(scope="session")
def truth_of() -> Callable[[MadeFilm], Truth]:
    """The independent list: stamps by ffprobe, pictures by the ffmpeg program."""
    return skipping(lambda film: truth_by_name(film.name))


@pytest.fixture(scope="session")
def read_number() -> Callable[..., int | None]:
    return number_of


@pytest.fixture(scope="session")
def encoded() -> Callable[..., Path]:
    return encode


@pytest.fixture(scope="session")
def run_ffmpeg() -> Callable[..., None]:
    return skipping(ffmpeg)
