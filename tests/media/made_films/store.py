"""Made films are kept between runs in `.cache/films`, by what made them."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path

import av

REPOSITORY = Path(__file__).resolve().parents[3]
_N_KEPT_SETS = 4
_NAME = "film.name"


@cache
def store_folder() -> Path:
    """The folder for films made by these scripts with these libraries; made where possible."""
    digest = hashlib.sha256(repr(sorted(av.library_versions.items())).encode())
    if program := shutil.which("ffmpeg"):
        digest.update(subprocess.run([program, "-version"], capture_output=True).stdout)
    for script in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(script.read_bytes())
    films = REPOSITORY / ".cache" / "films"
    try:
        films.mkdir(parents=True, exist_ok=True)
    except OSError:
        films = Path(tempfile.mkdtemp(prefix="films"))
    folder = films / digest.hexdigest()[:16]
    folder.mkdir(exist_ok=True)
    os.utime(folder)
    with suppress(FileNotFoundError):  # another run may be clearing up too
        for old in sorted(films.iterdir(), key=lambda path: path.stat().st_mtime)[:-_N_KEPT_SETS]:
            shutil.rmtree(old, ignore_errors=True)
    return folder


def kept(name: str, make: Callable[[Path], Path]) -> Path:
    """The film called `name`; made in a folder of its own if it is not there yet.

    Two processes may make it at once; the one that is done first wins.
    """
    folder = store_folder() / name
    if not folder.is_dir():
        working = Path(tempfile.mkdtemp(prefix=f".{name}-", dir=store_folder()))
        (working / _NAME).write_text(make(working).name, encoding="utf-8")
        try:
            working.rename(folder)
        except OSError:
            shutil.rmtree(working)
    return folder / (folder / _NAME).read_text(encoding="utf-8")
