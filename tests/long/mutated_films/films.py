"""Which film is made from a seed: always the same one by the same versions of the libraries."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random

from bases import BASES, made, packet_spans
from mutations import MUTATIONS, Whole, pieces_of


@dataclass(frozen=True)
class MutatedFilm:
    """A damaged film.

    Args:
        seed: What it was made from.
        base: Name of the whole film.
        mutation: Name of what was done to it.
        content: Its bytes.
    """

    seed: int
    base: str
    mutation: str
    content: bytes


def mutated(seed: int, n_frames: int, folder: Path) -> MutatedFilm:
    """Return the film of a seed; 156 seeds in a row pair every base with every mutation.

    Args:
        seed: 0 or more.
        n_frames: Frames of the whole film.
        folder: Where whole films are kept for the next time.
    """
    names, mutations = list(BASES), list(MUTATIONS)
    base = names[seed % len(names)]
    mutation = mutations[(seed % len(names) + seed // len(names)) % len(mutations)]
    content = MUTATIONS[mutation](_whole(base, n_frames, folder), Random(seed))
    return MutatedFilm(seed, base, mutation, content)


@cache
def _whole(base: str, n_frames: int, folder: Path) -> Whole:
    path = made(base, n_frames, folder)
    content = path.read_bytes()
    return Whole(content, pieces_of(content), tuple(packet_spans(path)))
