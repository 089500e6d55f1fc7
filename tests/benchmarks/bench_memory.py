"""Memory over many random seeks: it must not grow with them."""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path

from films import made_film
from reporting import Promise, Table

from aftercase.media.recording import open_recording

N_WARM = 200
N_SEEKS = 2_000
GROWTH_MB = 20.0
_STATUS = Path("/proc/self/status")


def sections(*, quick: bool) -> Iterator[tuple[Table, list[Promise]]]:
    """Yield how much memory 2,000 random seeks take after the first 200, where Linux tells."""
    if not _STATUS.is_file():
        return
    film = made_film(2, quick=True, height_px=360)
    n_seeks = N_SEEKS // 10 if quick else N_SEEKS
    chance = random.Random(8)
    rows = []
    with open_recording([film.path]) as recording:
        starts_us = recording.starts_us().tolist()
        for number in range(N_WARM + n_seeks + 1):
            recording.picture_at(chance.choice(starts_us))
            if number >= N_WARM and (number - N_WARM) % (n_seeks // 4) == 0:
                rows.append((f"{number - N_WARM:,}", f"{held_mb():.0f}"))
    grown = float(rows[-1][1]) - float(rows[0][1])
    title = f"Memory over {n_seeks:,} random seeks at 640 x 360, after the first {N_WARM}"
    table = Table(
        title, ("seeks", "MB held by the process, earlier benchmarks included"), tuple(rows)
    )
    yield table, [Promise(f"growth over {n_seeks:,} random seeks", grown, GROWTH_MB, " MB")]


def held_mb() -> float:
    """Return the memory the process holds, in megabytes."""
    for line in _STATUS.read_text(encoding="utf-8").splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1000
    raise LookupError("VmRSS")
