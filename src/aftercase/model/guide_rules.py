"""The rules a guide keeps, and the small language of technique sequences."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from aftercase.model.guide import GUIDE_VERSION, Guide
from aftercase.model.problem import Problem

CRITICAL: Final = ("yes", "local", "no")
EVENT_CLASSES: Final = ("action", "slip", "complication", "rescue", "outside")
HOURS: Final = ("no", "whole", "halves", "span")
HANDS: Final = ("main", "second", "either", "assistant", "in-place")
ORDER_KINDS: Final = ("strict", "usual")
SOURCES: Final = ("common-practice", "published", "own-choice", "from-memory")
NAMED_LISTS: Final = (
    "steps",
    "instruments",
    "events",
    "techniques",
    "help",
    "takeover_reasons",
    "pause_causes",
    "unseen_reasons",
    "attempt_results",
    "difficulties",
    "usual_ranges",
    "tasks",
)
DEEPEST_SEQUENCE: Final = 20

_TOKEN = re.compile(r"\s*([a-z0-9]+(?:-[a-z0-9]+)*|[(),|*?])")


@dataclass(frozen=True)
class One:
    """One visit of a step."""

    step: str


@dataclass(frozen=True)
class Row:
    """Parts that follow each other; nothing at all when empty."""

    parts: tuple[SequencePart, ...]


@dataclass(frozen=True)
class Either:
    """One of several parts."""

    options: tuple[SequencePart, ...]


@dataclass(frozen=True)
class Repeated:
    """A part that comes any number of times, also not at all."""

    part: SequencePart


@dataclass(frozen=True)
class Maybe:
    """A part that may be left out."""

    part: SequencePart


SequencePart = One | Row | Either | Repeated | Maybe


def parse_sequence(text: str) -> SequencePart:
    """Read a technique's usual sequence of steps.

    Args:
        text: Step ids with ``,`` between what follows, ``|`` between choices (binds weakest),
            brackets, and ``*`` (any number) or ``?`` (may be left out) behind an id or bracket.

    Returns:
        The sequence as a tree; an empty row for an empty text.

    Raises:
        ValueError: The text is not such a sequence; the message says where.

    Example:
        >>> parse_sequence("split, (turn, split)*")
        Row(parts=(One(step='split'), Repeated(part=Row(parts=(One(step='turn'), \
One(step='split'))))))
    """
    tokens = _tokens(text)
    if not tokens:
        return Row(())
    tree, end = _choice(tokens, 0, 0)
    if end < len(tokens):
        raise ValueError(f"“{tokens[end]}” does not fit at place {end + 1} of “{text}”")
    return tree


def steps_of_sequence(tree: SequencePart) -> tuple[str, ...]:
    """Return the step ids of a sequence, as often and in the order they are written.

    Example:
        >>> steps_of_sequence(parse_sequence("a, (b | c)*, a"))
        ('a', 'b', 'c', 'a')
    """
    match tree:
        case One(step):
            return (step,)
        case Row(parts) | Either(parts):
            return tuple(step for part in parts for step in steps_of_sequence(part))
        case Repeated(part) | Maybe(part):
            return steps_of_sequence(part)


def _tokens(text: str) -> list[str]:
    tokens, position = [], 0
    while position < len(text.rstrip()):
        match = _TOKEN.match(text, position)
        if match is None:
            raise ValueError(f"“{text[position:].strip()[:20]}” cannot be read in “{text}”")
        tokens.append(match.group(1))
        position = match.end()
    return tokens


def _choice(tokens: Sequence[str], at: int, depth: int) -> tuple[SequencePart, int]:
    option, at = _row(tokens, at, depth)
    options = [option]
    while tokens[at : at + 1] == ["|"]:
        option, at = _row(tokens, at + 1, depth)
        options.append(option)
    return (options[0] if len(options) == 1 else Either(tuple(options))), at


def _row(tokens: Sequence[str], at: int, depth: int) -> tuple[SequencePart, int]:
    part, at = _part(tokens, at, depth)
    parts = [part]
    while tokens[at : at + 1] == [","]:
        part, at = _part(tokens, at + 1, depth)
        parts.append(part)
    return (parts[0] if len(parts) == 1 else Row(tuple(parts))), at


def _part(tokens: Sequence[str], at: int, depth: int) -> tuple[SequencePart, int]:
    if depth > DEEPEST_SEQUENCE:
        raise ValueError(f"brackets are nested deeper than {DEEPEST_SEQUENCE}")
    token = tokens[at] if at < len(tokens) else "the end"
    part: SequencePart
    if token == "(":
        part, at = _choice(tokens, at + 1, depth + 1)
        if tokens[at : at + 1] != [")"]:
            raise ValueError("a bracket is not closed")
    elif token in ("the end", *"),|*?"):
        raise ValueError(f"a step is missing before “{token}”")
    else:
        part = One(token)
    at += 1
    mark = tokens[at] if at < len(tokens) else ""
    if mark == "*":
        return Repeated(part), at + 1
    return (Maybe(part), at + 1) if mark == "?" else (part, at)


def problems(guide: Guide) -> list[Problem]:
    """Return every broken rule of a guide; none for a sound one.

    Words of a newer minor version are not judged: they are kept and shown as they are.
    """
    return [
        *([] if guide.steps else [Problem("steps", "a guide needs at least one step")]),
        *_double_problems(guide),
        *_step_problems(guide),
        *_technique_problems(guide),
        *_order_problems(guide),
        *_task_problems(guide),
        *(_word_problems(guide) if guide.version == GUIDE_VERSION else ()),
    ]


def _double_problems(guide: Guide) -> Iterator[Problem]:
    for name in NAMED_LISTS:
        yield from _doubles(name, [record.id for record in getattr(guide, name)])
    yield from _doubles("header_lists", [found.field for found in guide.header_lists])
    for position, found in enumerate(guide.header_lists):
        yield from _doubles(f"header_lists/{position}/words", [word.id for word in found.words])
    if guide.density is not None:
        yield from _doubles("density/values", [value.id for value in guide.density.values])
        yield from _doubles("density/kinds", guide.density.kinds)


def _doubles(place: str, ids: Sequence[str]) -> Iterator[Problem]:
    for position, word in enumerate(ids):
        if word in ids[:position]:
            yield Problem(f"{place}/{position}", f"“{word}” stands in this list twice")


def _step_problems(guide: Guide) -> Iterator[Problem]:
    for position, step in enumerate(guide.steps):
        place = f"steps/{position}"
        for name in ("main", "second"):
            yield from _missing(f"{place}/{name}", getattr(step, name), guide.instrument_by_id)
        yield from _missing(f"{place}/events", step.events, guide.event_by_id)
        if step.parent is None:
            continue
        parent = guide.step_by_id.get(step.parent)
        if parent is None:
            yield Problem(f"{place}/parent", f"“{step.parent}” is not a step of this guide")
        elif parent.parent is not None:
            yield Problem(
                f"{place}/parent",
                f"“{parent.id}” is itself a part of “{parent.parent}”",
                hint="Only a step that is no part of another has parts.",
            )


def _technique_problems(guide: Guide) -> Iterator[Problem]:
    for position, technique in enumerate(guide.techniques):
        place = f"techniques/{position}"
        for name in ("main", "second"):
            yield from _missing(f"{place}/{name}", getattr(technique, name), guide.instrument_by_id)
        try:
            steps = steps_of_sequence(parse_sequence(technique.sequence))
        except ValueError as error:
            yield Problem(f"{place}/sequence", str(error))
        else:
            yield from _missing(f"{place}/sequence", dict.fromkeys(steps), guide.step_by_id)
    for position, usual in enumerate(guide.usual_ranges):
        place = f"usual_ranges/{position}/techniques"
        yield from _missing(place, usual.techniques, guide.technique_by_id)


def _order_problems(guide: Guide) -> Iterator[Problem]:
    for position, rule in enumerate(guide.order):
        place = f"order/{position}"
        yield from _missing(f"{place}/step", (rule.step,), guide.step_by_id)
        yield from _missing(f"{place}/not_before", rule.not_before, guide.step_by_id)
        yield from _missing(f"{place}/techniques", rule.techniques, guide.technique_by_id)
        if rule.step in rule.not_before:
            yield Problem(f"{place}/not_before", f"“{rule.step}” cannot wait for itself")


def _task_problems(guide: Guide) -> Iterator[Problem]:
    for position, task in enumerate(guide.tasks):
        if task.drill_guide in (None, guide.id):
            yield from _missing(f"tasks/{position}/drills", task.drills, guide.step_by_id)


def _word_problems(guide: Guide) -> Iterator[Problem]:
    fields: tuple[tuple[str, str, Collection[str]], ...] = (
        ("steps", "critical", CRITICAL),
        ("steps", "event_hour", ("", *HOURS)),
        ("events", "event_class", EVENT_CLASSES),
        ("events", "hour", HOURS),
        ("instruments", "hand", HANDS),
        ("order", "kind", ORDER_KINDS),
        *((name, "source", SOURCES) for name in (*NAMED_LISTS, "order")),
    )
    for name, field, known in fields:
        for position, record in enumerate(getattr(guide, name)):
            word = getattr(record, field)
            if word not in known:
                yield Problem(
                    f"{name}/{position}/{field}", f"“{word}” is not one of {_list(known)}"
                )


def _missing(place: str, ids: Iterable[str], known: Collection[str]) -> Iterator[Problem]:
    for word in ids:
        if word not in known:
            yield Problem(place, f"“{word}” is not in this guide")


def _list(words: Iterable[str]) -> str:
    return ", ".join(word for word in words if word)
