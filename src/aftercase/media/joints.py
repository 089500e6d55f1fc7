"""What speaks for and against an order of a recording's parts, joint by joint.

A joint is the border between one part and the next. Names, times and pictures are heard one by
one; none is believed alone, and a person decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, pairwise
from typing import Final, Literal

from aftercase.clock import SECOND_US, text_of
from aftercase.media.likeness import Greys, Likeness, likeness, n_repeated
from aftercase.media.ordering import By, Listed, NameRead, missing_parts, ordered, read_names
from aftercase.media.parts import PartFacts

Verdict = Literal["for", "against", "silent"]
FindingKind = Literal[
    "missing-part", "double-part", "repeated", "another-film", "order", "full-size", "other-form"
]

FULL_SIZE_BYTES: Final = 2**32 - 1
"""The largest file that cards of the older format (FAT32) hold."""
RUNS_ON_US: Final = 5 * SECOND_US
"""Clocks of recorders and cards are off by up to this; a shorter pause is none."""
LONG_PAUSE_US: Final = 600 * SECOND_US
_FORM_WORDS: Final = ("coding", "size", "rate")


@dataclass(frozen=True, slots=True, eq=False)
class FilmSeen:
    """One file as it was looked at.

    Args:
        name: Its name with the folders above it, divided by ``/``.
        facts: What a case would store of it; its clock starts at 0.
        codec: Name of the picture coding.
        rate: Mean frames per second; None where there is one frame.
        begun_us: When it was begun, as the file says, in microseconds since 1970.
        changed_us: When it was last written to, as its folder says, likewise.
        head: Its first pictures, small.
        tail: Its last pictures, small.
        tail_starts_us: Starts of the tail's frames.
    """

    name: str
    facts: PartFacts
    codec: str
    rate: Fraction | None
    begun_us: int | None
    changed_us: int | None
    head: Greys
    tail: Greys
    tail_starts_us: tuple[int, ...]

    @property
    def form(self) -> tuple[str, str, str]:
        """Return coding, size and rate in words, the rate as people say it."""
        rate = "one frame" if self.rate is None else f"{float(self.rate):.2f}/s"
        return self.codec, f"{self.facts.width_px} x {self.facts.height_px}", rate


@dataclass(frozen=True, slots=True)
class Evidence:
    """What one witness says of a joint."""

    verdict: Verdict
    words: str


@dataclass(frozen=True, slots=True)
class Joint:
    """The border between two neighbours, by position.

    Args:
        before: Position of the earlier part.
        after: Position of the later part.
        name: What the names say.
        time: What the times say.
        content: What the pictures say.
        pause_us: How long nothing was filmed between them; 0 where they run on, None where not
            known. It is no part of the recording's clock.
        repeated_us: Length of the earlier part's end that the later one shows again.
    """

    before: int
    after: int
    name: Evidence
    time: Evidence
    content: Evidence
    pause_us: int | None
    repeated_us: int


@dataclass(frozen=True, slots=True)
class Finding:
    """Something a person should know of the parts, by position."""

    kind: FindingKind
    parts: tuple[int, ...]
    words: str


@dataclass(frozen=True, slots=True)
class Joints:
    """All joints of parts in an order, and what was found."""

    joints: tuple[Joint, ...]
    findings: tuple[Finding, ...]


def recorded_order(films: Sequence[FilmSeen]) -> tuple[list[int], By]:
    """Return positions in the order the films were recorded; see `ordering.ordered`.

    Where recorders write the recording's start into each part, the folder's times are used.
    """
    begun = [film.begun_us for film in films]
    told_apart = len(set(begun)) == len(films) and None not in begun
    times = begun if told_apart else [film.changed_us for film in films]
    return ordered([Listed(film.name, us) for film, us in zip(films, times, strict=True)])


def joints_of(films: Sequence[FilmSeen]) -> Joints:
    """Return what is to be said of films in the order given; nothing of none."""
    reads = read_names([film.name for film in films])
    likenesses = [likeness(a.tail, b.head) for a, b in pairwise(films)]
    joints = tuple(
        _joint(films, reads, place, alike) for place, alike in enumerate(likenesses, start=1)
    )
    findings = (
        *_doubles(films),
        *_missing(reads),
        *(found for joint in joints for found in _at_joint(films, reads, joint)),
        *_elsewhere(films, joints),
        *_full(films),
    )
    return Joints(joints, findings)


def _joint(
    films: Sequence[FilmSeen], reads: Sequence[NameRead], after: int, alike: Likeness
) -> Joint:
    one, other = films[after - 1], films[after]
    pause_us, time = _by_time(one, other, reads[after - 1], reads[after])
    count = n_repeated(one.tail, other.head) if one.form[2] == other.form[2] else 0
    repeated_us = one.facts.end_us - one.tail_starts_us[-count] if count else 0
    content = _by_content(alike, repeated_us)
    name = _by_name(reads[after - 1], reads[after])
    return Joint(after - 1, after, name, time, content, pause_us, repeated_us)


def _by_name(before: NameRead, after: NameRead) -> Evidence:
    if before.part is None or after.part is None:
        return Evidence("silent", "the names do not count")
    if before.series != after.series:
        return Evidence("against", "the names begin otherwise")
    if after.part == before.part + 1:
        return Evidence("for", f"{after.part} comes after {before.part}")
    if after.part > before.part:
        return Evidence("for", f"{after.part} comes later than {before.part}")
    return Evidence("against", f"{after.part} does not come after {before.part}")


def _by_time(
    one: FilmSeen, other: FilmSeen, name: NameRead, next_name: NameRead
) -> tuple[int | None, Evidence]:
    begun = (one.begun_us, other.begun_us)
    if None in begun or begun[0] == begun[1]:
        begun = (name.begun_us, next_name.begun_us)
    if begun[0] is not None and begun[1] is not None and begun[0] != begun[1]:
        if begun[1] < begun[0]:
            return None, Evidence("against", "it was begun before the other")
        return _pause(begun[1] - begun[0] - one.facts.duration_us)
    if one.changed_us is None or other.changed_us is None:
        return None, Evidence("silent", "no times are known")
    return _pause(other.changed_us - other.facts.duration_us - one.changed_us)


def _pause(pause_us: int) -> tuple[int | None, Evidence]:
    if pause_us < -RUNS_ON_US:
        return None, Evidence("silent", "the times are not those of recording")
    if pause_us <= RUNS_ON_US:
        return 0, Evidence("for", "begun where the other ended")
    return pause_us, Evidence("for", f"begun after a pause of about {text_of(pause_us)}")


def _by_content(alike: Likeness, repeated_us: int) -> Evidence:
    if repeated_us:
        return Evidence("for", "the end of the one is shown again")
    return {
        "alike": Evidence("for", "the pictures go on"),
        "unlike": Evidence("against", "the pictures do not go on"),
        "unclear": Evidence("silent", "the pictures tell nothing"),
    }[alike]


def _at_joint(
    films: Sequence[FilmSeen], reads: Sequence[NameRead], joint: Joint
) -> Iterator[Finding]:
    places = (joint.before, joint.after)
    one, other = (films[place] for place in places)
    if joint.repeated_us:
        words = f"the last {text_of(joint.repeated_us)} of “{one.name}” are shown again after it"
        yield Finding("repeated", places, words)
    forms = zip(_FORM_WORDS, one.form, other.form, strict=True)
    changes = [f"its {word} is {now}, not {was}" for word, was, now in forms if now != was]
    grounds = _grounds(joint, reads, changes)
    if grounds and joint.content.verdict != "for":
        words = f"“{other.name}” may be of another recording: {'; '.join(grounds)}"
        yield Finding("another-film", places, words)
    elif changes:
        words = f"“{other.name}” has another form than the part before: {'; '.join(changes)}"
        yield Finding("other-form", places, words)
    if "against" in (joint.time.verdict, joint.name.verdict) and not grounds:
        said = joint.time if joint.time.verdict == "against" else joint.name
        yield Finding("order", places, f"“{other.name}” may be at the wrong place: {said.words}")


def _grounds(joint: Joint, reads: Sequence[NameRead], changes: Sequence[str]) -> list[str]:
    """Return why the later part may be of another recording."""
    before, after = reads[joint.before], reads[joint.after]
    grounds = list(changes)
    named = before.part is not None and after.part is not None
    if named and before.series != after.series:
        grounds.insert(0, joint.name.words)
    unlike = joint.content.verdict == "against"
    if joint.pause_us is not None and joint.pause_us > LONG_PAUSE_US:
        grounds.append(joint.time.words)
    if unlike and (grounds or not named or after.counted_on):
        grounds.append(joint.content.words)
    return grounds


def _missing(reads: Sequence[NameRead]) -> Iterator[Finding]:
    if reads and not reads[0].counted_on and (reads[0].part or 0) > 1 and reads[0].part is not None:
        words = f"the recording begins with part {reads[0].part}; earlier ones are not here"
        yield Finding("missing-part", (0,), words)
    for place, numbers in missing_parts(reads):
        listed = str(numbers[0]) if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]}"
        words = f"number {listed} between “{reads[place].series}” parts is not here"
        yield Finding("missing-part", (place - 1, place), words)


def _doubles(films: Sequence[FilmSeen]) -> Iterator[Finding]:
    for one, other in combinations(range(len(films)), 2):
        if films[one].facts.quick_hash == films[other].facts.quick_hash:
            words = f"“{films[other].name}” holds what “{films[one].name}” holds"
            yield Finding("double-part", (one, other), words)


def _elsewhere(films: Sequence[FilmSeen], joints: Sequence[Joint]) -> Iterator[Finding]:
    """Yield where a part's end goes on in another part than the one after it."""
    for joint in joints:
        if joint.content.verdict != "against":
            continue
        tail = films[joint.before].tail
        for place, film in enumerate(films):
            if place not in (joint.before, joint.after) and likeness(tail, film.head) == "alike":
                words = f"the pictures of “{films[joint.before].name}” go on in “{film.name}”"
                yield Finding("order", (joint.before, place), words)


def _full(films: Sequence[FilmSeen]) -> Iterator[Finding]:
    for place, film in enumerate(films):
        if film.facts.size_bytes == FULL_SIZE_BYTES:
            words = (
                f"“{film.name}” has the largest size its card can hold, to the byte: "
                "its end is probably cut off"
            )
            yield Finding("full-size", (place,), words)
