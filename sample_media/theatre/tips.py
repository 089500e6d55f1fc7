"""Where the tip of each instrument is, frame by frame, in the surgeon's layout of the eye."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from theatre.nucleus import LensWork, sector_window
from theatre.orientation import polar
from theatre.plan import MAIN, SIDE, Plan, Span, Use
from theatre.settings import Settings
from theatre.tear import Tear, flap_tip
from theatre.tracks import Track, bump, eased, tremor

Point = NDArray[np.float64]
Key = tuple[float, Point]


@dataclass(frozen=True)
class Stage:
    """All a hand needs to know to move an instrument."""

    plan: Plan
    wounds: dict[str, Point]
    angles: dict[str, float]
    tear: Tear
    lens: LensWork

    def main(self, turn_deg: float, radius: float) -> Point:
        """Return a point at an angle from the main wound's, and a distance from the centre."""
        return polar(self.angles[MAIN] + turn_deg, radius)


def moved(settings: Settings, stage: Stage, use: Use) -> Track:
    """Return the tip over the frames the instrument is in view, shape (n, 2), mm."""
    chance = settings.chance(f"{use.name} {use.start}")
    outer = _touch(stage, use)
    away = outer * (2.6 if use.wound else 1.9) + chance.normal(0, 0.4, 2)
    # In a very short session a path's last turns would fall behind the way out.
    path = [(min(max(at, use.start), use.end - 1.0), to) for at, to in _PATHS[use.name](stage, use)]
    inner = sorted(path, key=lambda key: key[0])
    keys = [
        (float(use.view_start) - 1.0, away),
        (float(use.start), outer),
        *inner,
        (float(use.end - 1), outer),
        (float(use.end), outer * 1.03),
        (float(use.view_end), away),
    ]
    length = use.view_end - use.view_start
    track = eased(length, keys, use.view_start)
    shake = tremor(chance, length, float(settings.rate), 0.022)
    shaking = bump(settings.n_frames, use.start, use.end - 1, 6)[use.view_start : use.view_end]
    return track + shake * shaking[:, None]


def opened(stage: Stage, use: Use) -> Track:
    """Return how far the jaws of forceps are open, 0..1, over the frames in view."""
    length = use.view_end - use.view_start
    if use.name == "forceps-fixation":
        keys = [(use.start - 3, 0.8), (use.start, 0.1), (use.end - 1, 0.1), (use.end + 2, 0.8)]
        return eased(length, keys, use.view_start)
    if use.name != "forceps-capsule":
        return np.zeros(length)
    grips = [frame for frame, _ in stage.tear.grips[1:]]
    each = (grips[-1] - grips[0]) / max(1, len(grips) - 1)
    moments: list[tuple[float, float]] = [(use.start, 0.0)]
    for frame in grips:
        moments += [
            (frame - 0.3 * each, 0.0),
            (frame - 0.22 * each, 0.9),
            (frame - 0.08 * each, 0.9),
            (frame, 0.0),
        ]
    return eased(length, moments, use.view_start)


def _touch(stage: Stage, use: Use) -> Point:
    if use.wound:
        return stage.wounds[use.wound]
    if use.name == "sponge":
        return polar(stage.angles[MAIN] - 32, 6.5)
    opposite = stage.angles[SIDE] + 165 if use.step == "side-port" else stage.angles[MAIN] + 128
    return polar(opposite, 6.15)


def _keys(use: Span, *shares: tuple[float, Point]) -> list[Key]:
    length = use.end - use.start
    return [(use.start + share * length, point) for share, point in shares]


def _knife(stage: Stage, use: Use) -> list[Key]:
    wound = stage.wounds[use.wound or MAIN]
    depth = 0.36 if use.name == "knife-main" else 0.58
    return _keys(
        use,
        (0.2, wound),
        (0.45, wound * 0.86),
        (0.55, wound * 0.84),
        (0.74, wound * depth),
        (0.8, wound * depth),
    )


def _visco(stage: Stage, use: Use) -> list[Key]:
    angle = stage.angles[use.wound or MAIN]
    return _keys(
        use,
        (0.18, polar(angle, 3.2)),
        (0.36, polar(angle + 180, 2.5)),
        (0.55, polar(angle + 172, 2.2)),
        (0.75, polar(angle + 188, 0.4)),
        (0.9, polar(angle, 3.0)),
    )


def _needle(stage: Stage, use: Use) -> list[Key]:
    tear = stage.tear
    poke = tear.centre_mm + 0.5 * (tear.points(np.array([0.0]))[0] - tear.centre_mm)
    arcs = [flap_tip(tear, arc) for arc in (0.0, 15.0, 30.0, 45.0)]
    return _keys(
        use,
        (0.14, stage.main(0, 3.0)),
        (0.27, poke * 0.2),
        (0.34, poke * 0.2),
        (0.5, tear.points(np.array([0.0]))[0] * 0.98),
        (0.64, arcs[1]),
        (0.76, arcs[2]),
        (0.88, arcs[3]),
        (0.95, stage.main(0, 3.4)),
    )


def _forceps(stage: Stage, use: Use) -> list[Key]:
    tear = stage.tear
    grips = tear.grips[1:]
    each = (grips[-1][0] - grips[0][0]) / max(1, len(grips) - 1)
    keys: list[Key] = [(use.start + 0.03 * (use.end - use.start), stage.main(0, 3.3))]
    for frame, arc in grips:
        keys.append((frame - 0.12 * each, flap_tip(tear, arc) * 0.86))
        for share in np.linspace(0.0, 0.62, 6):
            at = round(frame + share * each)
            if at < use.end - 3:
                keys.append((float(at), flap_tip(tear, float(tear.arc[at]))))
    last = keys[-1][1]
    return [*keys, (use.end - 0.03 * (use.end - use.start), last * 0.6)]


def _hydro(stage: Stage, use: Use) -> list[Key]:
    if use.step == "nucleus-free":
        rim = [(0.3, 60.0, 2.0), (0.55, 46.0, 2.1), (0.6, 46.0, 2.1), (0.85, 30.0, 2.0)]
        return _keys(use, *[(share, stage.main(turn, radius)) for share, turn, radius in rim])
    return _keys(
        use,
        (0.15, stage.main(10, 2.6)),
        (0.3, stage.main(128, 3.25)),
        (0.66, stage.main(132, 3.3)),
        (0.76, stage.main(180, 0.8)),
        (0.84, stage.main(180, 1.0)),
        (0.93, stage.main(0, 3.2)),
    )


def _phaco(stage: Stage, use: Use) -> list[Key]:
    keys: list[Key] = [(use.start + 0.02 * (use.end - use.start), stage.main(0, 3.2))]
    for span in stage.plan.steps:
        if span.parent == "nucleus":
            keys += _phaco_part(stage, span)
    return [*keys, (use.end - 0.008 * (use.end - use.start), stage.main(0, 2.6))]


def _phaco_part(stage: Stage, span: Span) -> list[Key]:
    if span.name == "nucleus-groove":
        shares = np.linspace(0.04, 0.97, 13)
        stroke = [
            (float(share), stage.main(0, 1.5) if k % 2 == 0 else stage.main(180, 1.1 + 0.2 * k / 2))
            for k, share in enumerate(shares)
        ]
        return _keys(span, *stroke)
    if span.name == "nucleus-crack":
        return _keys(
            span,
            (0.2, stage.main(130, 0.5)),
            (0.32, stage.main(130, 0.5)),
            (0.65, stage.main(112, 1.0)),
            (0.95, stage.main(60, 0.5)),
        )
    if span.name == "nucleus-pieces":
        return _keys(
            span,
            (0.06, stage.main(170, 0.9)),
            (0.3, stage.main(180, 0.5)),
            (0.6, stage.main(0, 0.2)),
            (0.97, stage.main(0, 0.4)),
        )
    return _keys(span, (0.1, stage.main(20, 1.6)), (0.9, stage.main(20, 1.5)))


def _second(stage: Stage, use: Use) -> list[Key]:
    """Move the second instrument beside the probe, or the main one at the new lens."""
    if use.step == "lens-position":
        return _keys(
            use,
            (0.16, stage.main(0, 2.8)),
            (0.24, stage.main(60, 2.2)),
            (0.5, stage.main(88, 2.2)),
            (0.58, stage.main(50, 2.0)),
            (0.84, stage.main(84, 2.1)),
            (0.92, stage.main(0, 2.8)),
        )
    side = stage.angles[SIDE]
    keys: list[Key] = [(use.start + 0.02 * (use.end - use.start), polar(side, 3.4))]
    for span in stage.plan.steps:
        if span.parent == "nucleus":
            keys += _second_part(stage, span, side)
    return [*keys, (use.end - 0.01 * (use.end - use.start), polar(side, 3.0))]


def _second_part(stage: Stage, span: Span, side: float) -> list[Key]:
    if span.name == "nucleus-turn":
        # Two pushes along the rim, clockwise, with a short way back between them.
        rim = [(0.1, -8.0), (0.42, 34.0), (0.5, 0.0), (0.9, 42.0)]
        return _keys(span, *[(share, polar(side + turn, 2.5)) for share, turn in rim])
    if span.name == "nucleus-crack":
        middle, apart = polar(side + 40, 0.35), polar(side + 10, 1.15)
        return _keys(span, (0.2, middle), (0.32, middle), (0.65, apart), (0.95, polar(side, 1.6)))
    if span.name == "nucleus-pieces":
        return _keys(
            span,
            (0.1, polar(side + 40, 2.3)),
            (0.35, polar(side + 20, 1.2)),
            (0.78, polar(side, 1.0)),
        )
    return _keys(span, (0.2, polar(side, 2.7)), (0.9, polar(side + 5, 2.6)))


def _probe(stage: Stage, use: Use) -> list[Key]:
    if use.step == "viscoelastic-out":
        rock = [
            (0.15, 0, 2.0),
            (0.35, 200, 1.4),
            (0.5, 150, 1.6),
            (0.65, 215, 1.7),
            (0.8, 160, 0.9),
        ]
        return _keys(use, *[(share, stage.main(turn, radius)) for share, turn, radius in rock])
    keys: list[Key] = []
    for k, angle in enumerate(stage.lens.sectors):
        begin, end = sector_window(use, k)
        near = abs((angle - stage.angles[MAIN] + 180) % 360 - 180) < 50
        reach = 3.0 if near else 3.35
        keys += [(begin - 0.12 * (end - begin), polar(angle, reach)), (begin, polar(angle, reach))]
        keys.append((end, polar(angle, 0.7)))
    return keys


def _injector(stage: Stage, use: Use) -> list[Key]:
    return _keys(
        use,
        (0.14, stage.main(0, 5.2)),
        (0.28, stage.main(0, 3.6)),
        (0.75, stage.main(0, 3.2)),
        (0.9, stage.main(0, 3.9)),
    )


def _fine(stage: Stage, use: Use) -> list[Key]:
    wound = stage.wounds[use.wound or MAIN]
    side = np.array([-wound[1], wound[0]]) * 0.09
    return _keys(
        use,
        (0.15, wound * 0.93 + side),
        (0.45, wound * 0.93 + side),
        (0.55, wound * 0.93 - side),
        (0.9, wound * 0.94 - side),
    )


def _outside(stage: Stage, use: Use) -> list[Key]:
    touch = _touch(stage, use)
    return _keys(use, (0.3, touch * 0.995), (0.7, touch * 1.004))


_PATHS: dict[str, Callable[[Stage, Use], list[Key]]] = {
    "knife-side": _knife,
    "knife-main": _knife,
    "cannula-visco": _visco,
    "needle-capsule": _needle,
    "forceps-capsule": _forceps,
    "cannula-hydro": _hydro,
    "phaco-probe": _phaco,
    "manipulator": _second,
    "ia-probe": _probe,
    "injector": _injector,
    "cannula-fine": _fine,
    "forceps-fixation": _outside,
    "sponge": _outside,
}
