"""What is said of the case: each field by itself, at any time, in any order."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from aftercase.edit.header import add_consent, change_header
from aftercase.edit.since import drop_since, set_since
from aftercase.errors import AftercaseError, EditRefused
from aftercase.model.base import NOT_SAID
from aftercase.model.case import Case, ConsentEntry, MachineReading, Window, recording_end_us
from aftercase.model.guide import Guide
from aftercase.model.problem import Problem
from aftercase.model.rules import case_problems
from aftercase.reports.cautions import REPORT_LOCALLY
from aftercase.session.desk import Desk, in_words

FROM_THE_START: Final = 0

HeaderEdit = Callable[[Case], Case]


def field_fault(desk: Desk, fields: Mapping[str, Any]) -> str:
    """Return why fields cannot be set to that, in words; empty where they can."""
    try:
        _ruled(lambda case: change_header(case, **fields), desk.guide)(desk.case)
    except AftercaseError as fault:
        return in_words(fault)
    return ""


def set_fields(desk: Desk, label: str, fields: Mapping[str, Any], *, quiet: bool = False) -> bool:
    """Set fields of the header; several changes of the same fields in a row are undone as one."""
    return _changed(
        desk,
        lambda case: change_header(case, **fields),
        label,
        merge_key="header " + " ".join(sorted(fields)),
        quiet=quiet,
    )


def say_since(
    desk: Desk,
    field: str,
    from_us: int,
    value: str | float | bool,
    label: str,
    *,
    quiet: bool = False,
) -> bool:
    """Say what holds from a moment on; “not said” from the start is nothing said."""
    if value == NOT_SAID and from_us == FROM_THE_START:
        return take_back_since(desk, field, from_us, label)
    return _changed(
        desk,
        lambda case: set_since(case, field, from_us, value),
        label,
        merge_key=f"header {field} {from_us}",
        quiet=quiet,
    )


def take_back_since(desk: Desk, field: str, from_us: int, label: str) -> bool:
    """Take back what was said for a moment on."""
    return _changed(desk, lambda case: drop_since(case, field, from_us), label)


def add_complication(desk: Desk, text: str) -> bool:
    """Note a complication of the case, and say where else it belongs."""
    if not text.strip() or text.strip() in desk.case.complications:
        return False
    noted = (*desk.case.complications, text.strip())
    done = set_fields(desk, "note a complication", {"complications": noted}, quiet=True)
    if done:
        desk.tell(REPORT_LOCALLY)
    return done


def drop_complication(desk: Desk, text: str) -> bool:
    """Take a complication off the list."""
    left = tuple(one for one in desk.case.complications if one != text)
    return set_fields(desk, "take a complication off the list", {"complications": left})


def add_reading(desk: Desk, label: str, value: float, unit: str, at_us: int | None) -> bool:
    """Note a number read off the machine."""
    reading = MachineReading(id=desk.new_id(), label=label, value=value, unit=unit, at_us=at_us)
    readings = (*desk.case.machine_readings, reading)
    return set_fields(desk, "note a reading of the machine", {"machine_readings": readings})


def drop_reading(desk: Desk, reading_id: str) -> bool:
    """Take a reading of the machine off the list."""
    left = tuple(one for one in desk.case.machine_readings if one.id != reading_id)
    return set_fields(desk, "take a reading off the list", {"machine_readings": left})


def note_consent(desk: Desk, entry: str, **said: str) -> bool:
    """Add an entry to the consent record; it is never changed again, only added to.

    Args:
        desk: The desk.
        entry: What happened, such as given or withdrawn.
        said: The entry's other fields: `scope`, `on`, `until`, `checked_by`, `note`.
    """
    if not entry.strip():
        desk.tell("Say what happened: consent given, or withdrawn.", "refused")
        return False
    made = ConsentEntry(
        id=desk.new_id(), entry=entry.strip(), **{name: text for name, text in said.items() if text}
    )
    return _changed(desk, lambda case: add_consent(case, made), "add to the consent record")


def check_identity(desk: Desk, checked: bool) -> bool:
    """Say that the reviewer looked at the film and found no identity, or take that back."""
    code = desk.review.reviewer if checked else None
    label = "say that no identity is on the film" if checked else "take back the identity check"
    return set_fields(desk, label, {"identity_checked_by": code})


def set_window(desk: Desk, start_us: int | None, end_us: int | None) -> bool:
    """Set the stretch of the film that is this case; the film's own ends where None."""
    window = None
    if start_us is not None or end_us is not None:
        last_us = recording_end_us(desk.case)
        window = Window(start_us=start_us or 0, end_us=last_us if end_us is None else end_us)
    return set_fields(desk, "set the case's stretch of the film", {"window": window})


def _changed(
    desk: Desk,
    edit: HeaderEdit,
    label: str,
    *,
    merge_key: str | None = None,
    quiet: bool = False,
) -> bool:
    return desk.edit_header(_ruled(edit, desk.guide), label, merge_key=merge_key, quiet=quiet)


def _ruled(edit: HeaderEdit, guide: Guide) -> HeaderEdit:
    """Return an edit that refuses to break a rule; one that is broken already stands in no way."""

    def ruled(case: Case) -> Case:
        changed = edit(case)
        known = {_kind(problem) for problem in case_problems(case, guide)}
        for problem in case_problems(changed, guide):
            if _kind(problem) not in known:
                raise EditRefused(f"{problem}.")
        return changed

    return ruled


def _kind(problem: Problem) -> tuple[str, str]:
    """Return what is wrong with which field; where in a list it stands may have changed."""
    return problem.place.partition("/")[0], problem.what
