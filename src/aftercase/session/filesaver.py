"""Small files written in the background: of each the newest content wins, nobody waits."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from aftercase import storage
from aftercase.session.saver import Saver, SaveState

_Wanted = Mapping[Path, bytes | None]


class FileSaver:
    """Writes small files on a thread of its own; for use by one thread.

    What a disk refused is tried again with the next change of any file.
    """

    def __init__(self) -> None:
        self._wanted: _Wanted = {}
        self._down: dict[Path, bytes | None] = {}
        self._saver: Saver[_Wanted] = Saver(self._write)

    @property
    def state(self) -> SaveState:
        """Whether all is written."""
        return self._saver.state

    def put(self, path: Path, content: bytes | None) -> None:
        """Let a file have this content, or be gone where there is none; returns at once."""
        self._wanted = {**self._wanted, path: content}
        self._saver.save(self._wanted)

    def wait(self, timeout_s: float | None = None) -> SaveState:
        """Wait until nothing is being written."""
        return self._saver.wait(timeout_s)

    def close(self, timeout_s: float | None = None) -> SaveState:
        """Write what is still waiting, and end the thread."""
        return self._saver.close(timeout_s)

    def _write(self, wanted: _Wanted) -> None:
        for path, content in wanted.items():
            if path in self._down and self._down[path] == content:
                continue
            if content is None:
                storage.remove_files([path])
            else:
                storage.write_atomic(path, content)
            self._down[path] = content
