"""The films of a case that is being made, in order, and what is to be said of it in words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from aftercase.clock import text_of
from aftercase.media.joints import Evidence, FilmSeen, Joint, Joints, joints_of
from aftercase.session.tasks.parts import FilmFile, PartsSeen

_SAID: Final = {"for": "fits", "against": "does not fit", "silent": "tells nothing"}


@dataclass(frozen=True)
class FilmOrder:
    """Films in the order they are to play; every change makes another order.

    Attributes:
        films: Each file with what it is.
        unreadable: Sentences on files that cannot be opened.
        left_out: Sentences on films that are not taken.
    """

    films: tuple[tuple[FilmFile, FilmSeen], ...] = ()
    unreadable: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()

    @cached_property
    def joints(self) -> Joints:
        """What was found at each joint of this order."""
        return joints_of([film for _, film in self.films])

    def joined(self, seen: PartsSeen) -> FilmOrder:
        """Return the order with films behind it; a film that is there already is not taken twice.

        A file that could be opened this time is no longer named as one that cannot.
        """
        known = {film.facts.quick_hash: file.name for file, film in self.films}
        films, left_out = list(self.films), [*self.left_out, *seen.left_out]
        for file, film in zip(seen.files, seen.films, strict=True):
            if twin := known.get(film.facts.quick_hash):
                left_out.append(f"“{file.name}” is left out: it holds what “{twin}” holds")
            else:
                films.append((file, film))
        faults = [f"{fault.path}: {fault.message} {fault.hint}" for fault in seen.unreadable]
        unreadable = tuple(dict.fromkeys([*self.unreadable, *faults]))
        return FilmOrder(tuple(films), unreadable, tuple(dict.fromkeys(left_out)))

    def moved(self, place: int, by: int) -> FilmOrder:
        """Return the order with a film moved; at an end it stays where it is."""
        target = place + by
        if not (0 <= place < len(self.films) and 0 <= target < len(self.films)):
            return self
        films = list(self.films)
        films.insert(target, films.pop(place))
        return replace(self, films=tuple(films))

    def without(self, place: int) -> FilmOrder:
        """Return the order with a film left out."""
        return replace(self, films=self.films[:place] + self.films[place + 1 :])


def film_words(place: int, file: FilmFile, film: FilmSeen) -> str:
    """Return a film as one line: its place from 1, name, length and form."""
    _, size, rate = film.form
    return f"{place + 1}   {file.name}   {text_of(film.facts.duration_us)}, {size}, {rate}"


def joint_lines(joint: Joint) -> list[tuple[str, bool]]:
    """Return what speaks for and against a joint, a line each, and whether it speaks against."""
    lines = [
        _line("names", joint.name), _line("times", joint.time), _line("pictures", joint.content)
    ]  # fmt: skip
    if joint.pause_us:
        pause = f"About {text_of(joint.pause_us)} were not filmed here; the clock leaves them out."
        lines.append((pause, False))
    return lines


def findings_at(joints: Joints, joint: Joint) -> list[str]:
    """Return what a person should know of a joint, as sentences."""
    return [
        f"{found.words[:1].upper()}{found.words[1:]}."
        for found in joints.findings
        if found.parts[-1] == joint.after and found.parts != (joint.after,)
    ]


def findings_elsewhere(joints: Joints) -> list[str]:
    """Return what a person should know of the films apart from the joints, as sentences."""
    at_joints = {joint.after for joint in joints.joints}
    return [
        f"{found.words[:1].upper()}{found.words[1:]}."
        for found in joints.findings
        if len(found.parts) == 1 or found.parts[-1] not in at_joints
    ]


def _line(what: str, said: Evidence) -> tuple[str, bool]:
    return f"{what}: {_SAID[said.verdict]} ({said.words})", said.verdict == "against"
