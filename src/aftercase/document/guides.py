"""Finding a guide: shipped with the program, in the user's own folder, or by its file."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from aftercase.document.codec import broken, decoded
from aftercase.document.files import read_guide
from aftercase.errors import NameUnknown
from aftercase.model.guide import Guide
from aftercase.model.guide_rules import problems


def shipped_guides() -> dict[str, Guide]:
    """Return the guides that come with the program, by id."""
    folder = resources.files("aftercase.data").joinpath("guides")
    guides = {}
    for entry in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if entry.name.endswith(".json"):
            guide = decoded(Guide, entry.read_bytes(), Path(entry.name))
            if faults := problems(guide):
                raise broken(faults, Path(entry.name))
            guides[guide.id] = guide
    return guides


def own_guides(folder: Path) -> dict[str, Guide]:
    """Return a program's own guides from a folder, by id; none where there is no folder.

    Raises:
        DocumentBroken: One of them is broken; file, place and fault are named.
    """
    if not folder.is_dir():
        return {}
    stored = [read_guide(path) for path in sorted(folder.glob("*.json"))]
    return {one.record.id: one.record for one in stored}


def guide_named(name: str, own_folder: Path) -> Guide:
    """Return a guide by its id, or by the path of its file; own guides win over shipped ones.

    Raises:
        NameUnknown: There is none; those that exist are named.
        DocumentBroken: It is broken; file, place and fault are named.
    """
    if name.endswith(".json"):
        return read_guide(Path(name)).record
    known = shipped_guides() | own_guides(own_folder)
    if name not in known:
        raise NameUnknown(
            f"There is no guide “{name}”.",
            hint=f"Choose one of {', '.join(sorted(known))}, or give a guide's file.",
        )
    return known[name]
