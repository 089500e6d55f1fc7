"""Every measure by its name: one table that `tabulate`, the reports and the docs are fed from."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from aftercase.errors import NameUnknown
from aftercase.metrics.arcs import arcs_found
from aftercase.metrics.critical import critical_found
from aftercase.metrics.definitions import DEFINITIONS
from aftercase.metrics.events import event_list_found, events_found
from aftercase.metrics.gaptables import gap_causes_found, gaps_found
from aftercase.metrics.order import order_found
from aftercase.metrics.overlaps import overlaps_found, unassigned_found
from aftercase.metrics.steps import attempts_found, steps_found
from aftercase.metrics.subject import Settings, Subject
from aftercase.metrics.table import Found, Table, typed_frame
from aftercase.metrics.window import window_found

DEFAULTS: Final = Settings()


@dataclass(frozen=True)
class Measure:
    """A measure: what it is called, what its columns are, and how its rows are found.

    Attributes:
        name: As typed on the command line.
        title: As shown to people.
        columns: Column names in order, each with its pandas type.
        found: Finds its rows and notes.
    """

    name: str
    title: str
    columns: Mapping[str, str]
    found: Callable[[Subject, Settings], Found]

    def function(self, subject: Subject, settings: Settings = DEFAULTS) -> Table:
        """Work the measure out for one review."""
        found = self.found(subject, settings)
        return Table(
            name=self.name,
            title=self.title,
            definition=DEFINITIONS[self.name],
            frame=typed_frame(self.columns, found.rows),
            notes=found.notes,
        )


def measured(name: str, subject: Subject, settings: Settings = DEFAULTS) -> Table:
    """Work out a measure by its name.

    Raises:
        NameUnknown: There is no such measure; those that exist are named.
    """
    if name not in MEASURES:
        raise NameUnknown(
            f"There is no measure “{name}”.", hint=f"Measures are: {', '.join(MEASURES)}."
        )
    return MEASURES[name].function(subject, settings)


def _columns(names: str) -> dict[str, str]:
    """Return column types by the words' endings and a mark before: ``?`` flag, ``~`` fraction."""
    types = {"?": "boolean", "~": "Float64", "#": "Int64"}
    found = {}
    for name in names.split():
        if name[0] in types:
            found[name[1:]] = types[name[0]]
        else:
            found[name] = "Int64" if name.endswith("_us") else "string"
    return found


_ALL: Final = (
    Measure(
        "window",
        "Operation window",
        _columns("start_us end_us basis length_us before_us after_us"),
        window_found,
    ),
    Measure(
        "steps",
        "Steps",
        _columns(
            "step name parent ?unplanned #n_spans #n_visits total_us ~share first_start_us "
            "longest_visit_us idle_us net_us performer help takeover ?left_out left_out_why"
        ),
        steps_found,
    ),
    Measure(
        "attempts",
        "Attempts at drills",
        _columns("step name #number start_us end_us length_us result"),
        attempts_found,
    ),
    Measure(
        "gaps",
        "Gaps",
        _columns("#gap start_us end_us length_us kind step before after cause ?counts_in_total"),
        gaps_found,
    ),
    Measure(
        "gap-causes",
        "Gaps by cause",
        _columns("cause name #n_gaps total_us counts_as ?against_nobody ?in_person_figure"),
        gap_causes_found,
    ),
    Measure("order", "Order of steps", _columns("finding step other at_us text"), order_found),
    Measure(
        "events",
        "Events by kind and step",
        _columns("kind name event_class step #n ~per_minute"),
        events_found,
    ),
    Measure(
        "event-list",
        "Events by time",
        _columns(
            "at_us kind name event_class step ~hour ~to_hour hour_clock hour_text "
            "sign_to_recognised_us recognised_to_response_us note"
        ),
        event_list_found,
    ),
    Measure(
        "arcs",
        "Arc per grip",
        _columns(
            "step #tear at_us #count direction hour_clock ~from_hour ~to_hour ~arc_deg ~path_deg "
            "~net_deg"
        ),
        arcs_found,
    ),
    Measure(
        "critical",
        "Critical portions",
        _columns("step name performer by_trainee"),
        critical_found,
    ),
    Measure(
        "overlaps",
        "Overlapping steps",
        _columns("start_us end_us length_us step other"),
        overlaps_found,
    ),
    Measure(
        "unassigned",
        "Time that belongs to no step",
        _columns("start_us end_us length_us"),
        unassigned_found,
    ),
)
MEASURES: Final[dict[str, Measure]] = {measure.name: measure for measure in _ALL}
