"""The guide: the description of a procedure, as data."""

from __future__ import annotations

from functools import cached_property
from typing import Final, Literal

from aftercase.model.base import NOT_SAID, Record, Version, Word

GUIDE_FORMAT: Final = "aftercase/guide"
GUIDE_VERSION: Final = "1.0"

Source = Literal["common-practice", "published", "own-choice", "from-memory"]


class Named(Record):
    """A word of the guide with its name, and the words it is spoken as."""

    id: Word
    name: str
    said_as: tuple[str, ...] = ()
    note: str = ""
    source: str = "common-practice"


class Step(Named):
    """A step of the procedure, or the child of one.

    Attributes:
        strip_label: Short name for narrow places.
        parent: The step this one is a part of.
        critical: ``yes``, ``local`` (the program decides) or ``no``.
        repeats: Whether a second visit is usual.
        optional: Whether it may be left out; such a step is never missing.
        unplanned: Whether it is never part of the plan; never missing, never out of order.
        unlike: Whether a case with this step is left out of like-with-like times.
        attempts: Whether each span is a numbered attempt, never joined with its neighbour.
        main: Usual instruments of the main hand.
        second: Usual instruments of the second hand.
        events: Event kinds usually noted in it.
        event_hour: How the hour of those events is asked in this step (`EventKind.hour`); as
            their own kind says when empty.
        measure: What is measured in it, in words.
    """

    strip_label: str
    parent: Word | None = None
    critical: str = "no"
    repeats: bool = False
    optional: bool = False
    unplanned: bool = False
    unlike: bool = False
    attempts: bool = False
    main: tuple[Word, ...] = ()
    second: tuple[Word, ...] = ()
    events: tuple[Word, ...] = ()
    event_hour: str = ""
    measure: str = ""


class Instrument(Named):
    """An instrument.

    Attributes:
        hand: ``main``, ``second``, ``either``, ``assistant``, or ``in-place`` for one that stays in
            the eye without a hand.
        counts: Whether its presence means that the eye is worked on.
    """

    hand: str = "either"
    counts: bool = True


class EventKind(Named):
    """A countable happening.

    Attributes:
        event_class: ``action``, ``slip``, ``complication``, ``rescue`` or ``outside``.
        hour: ``no``, ``whole``, ``halves`` or ``span`` (from hour to hour).
        report_locally: Whether the hospital's own reporting is pressed for.
    """

    event_class: str
    hour: str = "no"
    report_locally: bool = False


class Technique(Named):
    """A way of doing the procedure.

    Attributes:
        sequence: Usual order of child steps; ``( )*`` is repeated, ``?`` may be left out, ``|``
            stands between choices, ``,`` between what follows. Empty: any order.
        converted: Whether a case that changes to it counts as converted.
    """

    sequence: str = ""
    main: tuple[Word, ...] = ()
    second: tuple[Word, ...] = ()
    converted: bool = False


class OrderRule(Record):
    """The first visit of `step` is not before the first visit of each of `not_before`.

    Attributes:
        kind: ``strict`` (breaking it is out of order) or ``usual`` (information only).
        last_visit: Whether the last visit of `step` is meant instead of its first.
        techniques: Techniques it holds for; all when empty.
    """

    kind: str
    step: Word
    not_before: tuple[Word, ...]
    last_visit: bool = False
    techniques: tuple[Word, ...] = ()
    note: str = ""
    source: str = "common-practice"


class Choice(Named):
    """A word of a list, with what it counts as.

    Attributes:
        counts_as: Of a takeover reason ``information``, ``not-an-outcome``, ``credit`` or
            ``left-out`` (of every chart). Of a pause cause ``nobody`` (never set against a person),
            ``teacher-decides``, ``unseen`` (meant for the list of what cannot be seen) or ``apart``
            (shown apart, never summed into a person's figure). Else empty.
    """

    counts_as: str = ""


class DensityScale(Record):
    """A scale of lens density, and the kinds that do not lie on it."""

    id: Word
    name: str
    values: tuple[Named, ...]
    kinds: tuple[Word, ...] = ()
    note: str = ""
    source: str = "own-choice"


class UsualRange(Record):
    """A measure's usual range: information, never pass or fail."""

    id: Word
    measure: str
    usual: str
    caution: str = ""
    techniques: tuple[Word, ...] = ()
    source: str = "common-practice"


class PracticeTask(Record):
    """A task a goal can point at.

    Attributes:
        about: When the goal is about this.
        met_when: When it is seen as met.
        drills: Steps of `drill_guide` that practise it.
        drill_guide: Guide the drills are steps of; this guide when None.
    """

    id: Word
    about: str
    task: str
    met_when: str
    drills: tuple[Word, ...] = ()
    drill_guide: Word | None = None
    source: str = "own-choice"


class HeaderList(Record):
    """The words a header field offers."""

    field: Word
    words: tuple[Named, ...]


class Guide(Record):
    """A procedure: steps in usual order, instruments, event kinds, rules and lists."""

    format: Literal["aftercase/guide"] = GUIDE_FORMAT
    version: Version = GUIDE_VERSION
    id: Word
    guide_version: Version
    name: str
    notice: str = ""
    second_look: tuple[str, ...] = ()
    """What should be shown to two surgeons of other schools before it is relied on."""
    default_setting: str = NOT_SAID
    span_rule: str = ""
    """Where a step begins and ends; printed with every duration."""
    pause_rule: str = ""
    """When nothing is in use; printed with every pause and gap."""
    steps: tuple[Step, ...]
    instruments: tuple[Instrument, ...] = ()
    events: tuple[EventKind, ...] = ()
    techniques: tuple[Technique, ...] = ()
    order: tuple[OrderRule, ...] = ()
    free_order: tuple[str, ...] = ()
    """What may come in any order, in words."""
    help: tuple[Choice, ...] = ()
    takeover_reasons: tuple[Choice, ...] = ()
    pause_causes: tuple[Choice, ...] = ()
    unseen_reasons: tuple[Choice, ...] = ()
    attempt_results: tuple[Choice, ...] = ()
    difficulties: tuple[Named, ...] = ()
    density: DensityScale | None = None
    header_lists: tuple[HeaderList, ...] = ()
    usual_ranges: tuple[UsualRange, ...] = ()
    tasks: tuple[PracticeTask, ...] = ()

    @cached_property
    def step_by_id(self) -> dict[str, Step]:
        """Steps by their id, in usual order."""
        return {step.id: step for step in self.steps}

    @cached_property
    def instrument_by_id(self) -> dict[str, Instrument]:
        """Instruments by their id."""
        return {instrument.id: instrument for instrument in self.instruments}

    @cached_property
    def event_by_id(self) -> dict[str, EventKind]:
        """Event kinds by their id."""
        return {kind.id: kind for kind in self.events}

    @cached_property
    def technique_by_id(self) -> dict[str, Technique]:
        """Techniques by their id."""
        return {technique.id: technique for technique in self.techniques}

    def children_of(self, step_id: str) -> tuple[Step, ...]:
        """Return the parts of a step, in usual order; none for a step without parts."""
        return tuple(step for step in self.steps if step.parent == step_id)

    def parent_of(self, step_id: str) -> str:
        """Return the step a part belongs to; a step without parent, or unknown, is its own."""
        step = self.step_by_id.get(step_id)
        return step.parent if step is not None and step.parent else step_id

    def step_name(self, step_id: str) -> str:
        """Return a step's name; a step the guide does not know is shown by its id as such."""
        step = self.step_by_id.get(step_id)
        return step.name if step is not None else f"{step_id} (not in the guide)"
