"""Texts that were being typed when the program ended, offered back the next time.

Each open text is a file of its own, so that two windows never write over each other's.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

from aftercase import storage
from aftercase.errors import ReadFailed
from aftercase.session.filesaver import FileSaver
from aftercase.session.jsonfiles import bytes_of, object_in
from aftercase.session.people import PLACEHOLDER
from aftercase.session.places import Places
from aftercase.session.saver import SaveState


@dataclass(frozen=True)
class OpenText:
    """What stands in a text field and is kept nowhere else yet.

    Attributes:
        case: Id of the case.
        reviewer: Who types.
        field: Which field, by a name of its own: ``line``, or ``remark/<id>``.
        at_us: The moment it is about.
        kind: Kind of the remark; empty where the field has none.
        text: What was typed.
    """

    case: str
    reviewer: str
    field: str
    at_us: int
    kind: str
    text: str


class Recovery:
    """Keeps the open texts of one person on one case on the disk; for use by one thread.

    What is handed in is written at once on a thread of its own, the newest of each field wins.

    Args:
        at: The program's folders.
        case_id: The case.
        reviewer: Who reviews; texts typed before anybody said who are offered to whoever comes.
    """

    def __init__(self, at: Places, case_id: str, reviewer: str) -> None:
        self._case_id, self._reviewer = case_id, reviewer
        self._folder = _folder(at, case_id)
        self._left = dict(_texts_in(self._folder, {reviewer, PLACEHOLDER.code}))
        self._paths: dict[str, Path] = {}
        self._files = FileSaver()

    @property
    def left(self) -> tuple[OpenText, ...]:
        """What was left from before and nobody has answered for yet."""
        return tuple(self._left.values())

    @property
    def state(self) -> SaveState:
        """Whether all open texts are on the disk."""
        return self._files.state

    def keep(self, field: str, text: str, *, at_us: int, kind: str = "") -> None:
        """Let a field's text be found after a crash; an empty one is cleared."""
        if not text.strip():
            self.clear(field)
            return
        name = f"{self._reviewer}.{secrets.token_hex(8)}.json"
        path = self._paths.setdefault(field, self._folder / name)
        open_text = OpenText(self._case_id, self._reviewer, field, at_us, kind, text)
        self._files.put(path, bytes_of(asdict(open_text)))

    def clear(self, field: str) -> None:
        """Forget a field's text: it was kept as what it is, or thrown away."""
        path = self._paths.pop(field, None)
        if path is not None:
            self._files.put(path, None)

    def answer(self, left: OpenText) -> None:
        """Forget a text that was left from before: it was kept, or thrown away."""
        for path in [path for path, text in self._left.items() if text == left]:
            del self._left[path]
            self._files.put(path, None)

    def wait(self, timeout_s: float | None = None) -> SaveState:
        """Wait until nothing is being written."""
        return self._files.wait(timeout_s)

    def close(self) -> SaveState:
        """Write what is still waiting; texts that are still open are offered the next time."""
        return self._files.close()


def _folder(at: Places, case_id: str) -> Path:
    return at.state / "recovery" / case_id


def _texts_in(folder: Path, reviewers: set[str]) -> Iterator[tuple[Path, OpenText]]:
    """Yield the texts of some people that lie in a folder; what cannot be read is passed over."""
    for path in sorted(folder.glob("*.json")):
        with suppress(ReadFailed):
            text = _text_in(object_in(storage.read_bytes(path)))
            if text is not None and text.reviewer in reviewers:
                yield path, text


def _text_in(found: dict[str, Any]) -> OpenText | None:
    kinds = {"at_us": int}
    values = {field.name: found.get(field.name) for field in fields(OpenText)}
    if not all(type(value) is kinds.get(name, str) for name, value in values.items()):
        return None
    return OpenText(**values)  # type: ignore[arg-type]
