"""The lens over the session: fluid wave, grooves, turns, cracks, pieces, cortex, new lens."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from theatre.orientation import direction, polar
from theatre.plan import Plan, Span
from theatre.settings import Settings
from theatre.tracks import Track, eased

NUCLEUS_MM: Final = 3.95
N_SECTORS: Final = 9
OPTIC_MM: Final = 3.0  # Radius of the new lens itself, not as seen.


@dataclass(frozen=True)
class LensWork:
    """What has been done to the lens at each frame.

    Attributes:
        wave: Fluid wave's progress under the lens, 0..1.
        turned_deg: How far the nucleus was turned, clockwise as the surgeon sees it.
        groove: Depth of the two grooves, 0..1, shape (n, 2).
        crack: Width of the two cracks in mm, shape (n, 2).
        eaten: Progress of each quarter's removal, 0..1, shape (n, 4).
        cortex: Share of cortex left in each sector, shape (n, N_SECTORS).
        order: Which quarter is removed in which turn.
        sectors: Angle of each cortex sector in the surgeon's layout, in order of removal.
        unfolded: How far the new lens is out and open, 0..1.
        lens_at: Centre of the new lens, mm as seen, shape (n, 2).
        lens_deg: How the new lens is turned.
    """

    wave: Track
    turned_deg: Track
    groove: Track
    crack: Track
    eaten: Track
    cortex: Track
    order: tuple[int, ...]
    sectors: NDArray[np.float64]
    unfolded: Track
    lens_at: Track
    lens_deg: Track


def worked(settings: Settings, plan: Plan, main_deg: float) -> LensWork:
    """Return how the lens changes over the session."""
    n, chance = settings.n_frames, settings.chance("lens")
    grooves = [span for span in plan.steps if span.name == "nucleus-groove"]
    cracks = [span for span in plan.steps if span.name == "nucleus-crack"]
    pieces = [span for span in plan.steps if span.name == "nucleus-pieces"]
    hydro = plan.use("cannula-hydro")
    # The second crack is in the first groove, which lies across after the first turn.
    crack = np.stack([_crack(n, cracks[1], pieces[0]), _crack(n, cracks[0], cracks[1])], axis=1)
    sectors = (main_deg + 180.0 + 360.0 / N_SECTORS * np.arange(N_SECTORS)) % 360.0
    cortex_use = plan.use("ia-probe")
    return LensWork(
        wave=eased(n, [(_at(hydro, 0.34), 0.0), (_at(hydro, 0.62), 1.0)]),
        turned_deg=_turns(n, plan),
        groove=np.stack([_groove(n, span) for span in grooves], axis=1),
        crack=crack,
        eaten=np.stack([_eaten(n, span) for span in pieces], axis=1),
        cortex=np.stack([_stripped(n, cortex_use, k) for k in range(N_SECTORS)], axis=1),
        order=(2, 1, 0, 3) if chance.random() < 0.5 else (1, 2, 3, 0),
        sectors=sectors,
        unfolded=_unfolded(n, plan),
        lens_at=_lens_at(n, plan, main_deg),
        lens_deg=_lens_deg(n, plan, main_deg),
    )


def sector_window(use: Span, k: int) -> tuple[float, float]:
    """Return when cortex sector k is gripped and when it is out, in frames."""
    each = 0.92 * (use.end - use.start) / N_SECTORS
    begin = use.start + 0.05 * (use.end - use.start) + k * each
    return begin + 0.25 * each, begin + 0.9 * each


def _at(span: Span, share: float) -> float:
    return span.start + share * (span.end - span.start)


def _groove(n: int, span: Span) -> Track:
    shares = (0.08, 0.22, 0.36, 0.5, 0.64, 0.78, 0.92)
    return eased(n, [(_at(span, share), k / 6) for k, share in enumerate(shares)])


def _turns(n: int, plan: Plan) -> Track:
    keys: list[tuple[float, float]] = []
    free = plan.step("nucleus-free")
    keys += [(_at(free, 0.3), 0.0), (_at(free, 0.55), 14.0), (_at(free, 0.85), 26.0)]
    turned = 26.0
    for which in range(2):
        span = plan.step("nucleus-turn", which)
        for share in (0.1, 0.42, 0.5, 0.9):
            step = 0.0 if share in (0.1, 0.5) else 45.0
            turned += step
            keys.append((_at(span, share), turned))
    return eased(n, keys)


def _crack(n: int, span: Span, following: Span) -> Track:
    return eased(
        n,
        [
            (_at(span, 0.3), 0.0),
            (_at(span, 0.65), 0.75),
            (_at(span, 0.8), 0.75),
            (_at(span, 0.98), 0.2),
            (float(following.start), 0.2),
        ],
    )


def _eaten(n: int, span: Span) -> Track:
    return eased(n, [(_at(span, 0.06), 0.0), (_at(span, 0.34), 0.3), (_at(span, 0.97), 1.0)])


def _stripped(n: int, use: Span, k: int) -> Track:
    begin, end = sector_window(use, k)
    return eased(n, [(begin, 1.0), (end, 0.0)])


def _unfolded(n: int, plan: Plan) -> Track:
    use = plan.use("injector")
    return eased(
        n,
        [
            (_at(use, 0.28), 0.0),
            (_at(use, 0.62), 0.45),
            (_at(use, 0.92), 0.88),
            (use.end + 20, 1.0),
        ],
    )


def _lens_at(n: int, plan: Plan, main_deg: float) -> Track:
    use, place = plan.use("injector"), plan.step("lens-position")
    return eased(
        n,
        [
            (_at(use, 0.28), polar(main_deg, 2.6)),
            (_at(use, 0.62), polar(main_deg, 0.9)),
            (_at(use, 0.92), polar(main_deg + 30, 0.45)),
            (_at(place, 0.25), polar(main_deg + 30, 0.45)),
            (_at(place, 0.8), 0.06 * direction(main_deg)),
        ],
    )


def _lens_deg(n: int, plan: Plan, main_deg: float) -> Track:
    use, place = plan.use("injector"), plan.step("lens-position")
    return eased(
        n,
        [
            (_at(use, 0.3), main_deg),
            (_at(use, 0.9), main_deg + 25.0),
            (_at(place, 0.2), main_deg + 25.0),
            (_at(place, 0.5), main_deg + 55.0),
            (_at(place, 0.85), main_deg + 85.0),
        ],
    )
