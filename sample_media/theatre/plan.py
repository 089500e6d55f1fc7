"""The order of the session: steps, instruments and the gaps between them, in frames."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from theatre.settings import Settings

SIDE: Final = "side-port"
MAIN: Final = "main-wound"
NOT_COUNTED: Final = frozenset({"sponge"})
_ENTER_S: Final = 0.44


@dataclass(frozen=True)
class Hold:
    """An instrument held during a share of a step; no wound means it stays outside the eye."""

    instrument: str
    hand: str
    wound: str | None
    begin: float = 0.0
    finish: float = 1.0


@dataclass(frozen=True)
class Row:
    """A step with its instruments, or with no step a gap with its cause."""

    step: str
    seconds: float
    holds: tuple[Hold, ...] = ()
    parts: tuple[tuple[str, float], ...] = ()
    cause: str = "exchange"


def _gap(seconds: float, cause: str = "exchange") -> Row:
    return Row("", seconds, cause=cause)


_NUCLEUS_PARTS: Final = (
    ("", 1.6),
    ("nucleus-groove", 8.2),
    ("", 0.4),
    ("nucleus-turn", 2.8),
    ("", 0.3),
    ("nucleus-groove", 6.6),
    ("", 1.8),
    ("nucleus-crack", 3.4),
    ("", 0.3),
    ("nucleus-turn", 2.6),
    ("", 0.2),
    ("nucleus-crack", 3.0),
    ("", 0.5),
    ("nucleus-pieces", 3.2),
    ("", 0.5),
    ("nucleus-pieces", 2.9),
    ("", 0.4),
    ("nucleus-pieces", 3.0),
    ("", 0.5),
    ("nucleus-pieces", 3.3),
    ("", 0.5),
)

PLAN: Final = (
    _gap(3.6, "lead-in"),
    Row(
        "side-port",
        3.8,
        (Hold("knife-side", "second", SIDE, 0.08, 0.95), Hold("forceps-fixation", "main", None)),
    ),
    _gap(1.6),
    Row("viscoelastic-in", 4.8, (Hold("cannula-visco", "main", SIDE),)),
    _gap(1.4),
    Row(
        "main-wound",
        5.0,
        (Hold("knife-main", "main", MAIN, 0.06, 0.96), Hold("forceps-fixation", "second", None)),
    ),
    _gap(4.6, "teaching"),
    Row(
        "capsulorhexis",
        27.0,
        (
            Hold("needle-capsule", "main", MAIN, 0.0, 0.25),
            Hold("forceps-capsule", "main", MAIN, 0.32, 1.0),
        ),
    ),
    _gap(1.3),
    Row("hydrodissection", 5.6, (Hold("cannula-hydro", "main", MAIN),)),
    _gap(0.9),
    Row("nucleus-free", 3.0, (Hold("cannula-hydro", "main", MAIN),)),
    _gap(2.8, "planning"),
    Row(
        "nucleus",
        sum(seconds for _, seconds in _NUCLEUS_PARTS),
        (
            Hold("phaco-probe", "main", MAIN),
            Hold("manipulator", "second", SIDE, 0.035, 0.985),
        ),
        _NUCLEUS_PARTS,
    ),
    _gap(2.4),
    Row("cortex", 13.5, (Hold("ia-probe", "main", MAIN),)),
    _gap(1.6),
    Row("viscoelastic-in", 3.6, (Hold("cannula-visco", "main", MAIN),)),
    _gap(5.2, "lens-loading"),
    Row("lens-in", 6.0, (Hold("injector", "main", MAIN),)),
    _gap(0.8),
    Row("lens-position", 4.6, (Hold("manipulator", "main", MAIN),)),
    _gap(1.4),
    Row("viscoelastic-out", 6.4, (Hold("ia-probe", "main", MAIN),)),
    _gap(1.9),
    Row(
        "seal",
        7.2,
        (
            Hold("cannula-fine", "main", MAIN, 0.0, 0.42),
            Hold("cannula-fine", "main", SIDE, 0.53, 0.86),
            Hold("sponge", "second", None, 0.2, 1.0),
        ),
    ),
    _gap(3.4, "lead-out"),
)


@dataclass(frozen=True)
class Span:
    """A stretch of whole frames, ``[start, end)``, with what happens in it."""

    name: str
    start: int
    end: int
    parent: str | None = None


@dataclass(frozen=True)
class Use(Span):
    """An instrument touching or in the eye; it is in view a little longer than that."""

    hand: str = "main"
    wound: str | None = None
    step: str = ""
    view_start: int = 0
    view_end: int = 0

    @property
    def counts(self) -> bool:
        return self.name not in NOT_COUNTED


@dataclass(frozen=True)
class Plan:
    """All spans of a session, in order."""

    steps: tuple[Span, ...]
    uses: tuple[Use, ...]
    rests: tuple[Span, ...] = field(default=())

    def step(self, name: str, which: int = 0) -> Span:
        """Return the n-th span of a step."""
        return [span for span in self.steps if span.name == name][which]

    def use(self, instrument: str, which: int = 0) -> Use:
        """Return the n-th use of an instrument."""
        return [use for use in self.uses if use.name == instrument][which]


def planned(settings: Settings) -> Plan:
    """Return the session's spans: the table's order, the seed's durations, the asked length."""
    chance = settings.chance("plan")
    spread = 1.0 + 0.18 * chance.uniform(-1.0, 1.0, len(PLAN))
    seconds = [row.seconds * factor for row, factor in zip(PLAN, spread, strict=True)]
    scale = settings.length_s / sum(seconds)
    steps: list[Span] = []
    uses: list[Use] = []
    rests: list[Span] = []
    clock = 0.0
    for row, length in zip(PLAN, seconds, strict=True):
        begin, clock = clock, clock + length * scale
        start, end = settings.frames(begin), settings.frames(clock)
        if not row.step:
            rests.append(Span(row.cause, start, end))
            continue
        steps.append(Span(row.step, start, end))
        steps += _children(row, start, end)
        uses += [_use(settings, row.step, hold, start, end) for hold in row.holds]
    return Plan(tuple(steps), tuple(uses), tuple(rests))


def _children(row: Row, start: int, end: int) -> list[Span]:
    total = sum(seconds for _, seconds in row.parts)
    children = []
    done = 0.0
    for name, seconds in row.parts:
        first, done = done, done + seconds
        if name:
            a = start + round((end - start) * first / total)
            b = start + round((end - start) * done / total)
            children.append(Span(name, a, b, row.step))
    return children


def _use(settings: Settings, step: str, hold: Hold, start: int, end: int) -> Use:
    a = start + round((end - start) * hold.begin)
    b = start + round((end - start) * hold.finish)
    enter = settings.frames(_ENTER_S * min(1.0, settings.pace))
    return Use(
        hold.instrument,
        a,
        b,
        hand=hold.hand,
        wound=hold.wound,
        step=step,
        view_start=max(0, a - enter),
        view_end=min(settings.n_frames, b + enter),
    )
