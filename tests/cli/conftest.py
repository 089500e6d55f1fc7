"""Commands run as the shell would run them."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from aftercase.__main__ import main


@pytest.fixture
def run(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., tuple[int, str, str]]:
    """Run a command; returns exit code, standard output, standard error."""

    def running(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.argv", ["aftercase", *map(str, words)])
        with pytest.raises(SystemExit) as ended:
            main()
        told = capsys.readouterr()
        return int(ended.value.code or 0), told.out, told.err

    return running
