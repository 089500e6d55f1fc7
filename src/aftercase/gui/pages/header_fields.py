"""The table of the header's fields: how each is called, asked for, and read back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Literal

from aftercase.model.base import NOT_SAID
from aftercase.model.case import EYES, SETTINGS, SPAN_CUSTOMS, Case, Density
from aftercase.model.guide import Guide
from aftercase.model.orientation import SEATS, hour_text, surgeon_hour

Kind = Literal[
    "word", "code", "count", "text", "since-word", "since-text", "since-degrees", "since-flag",
    "density", "difficulties", "planned-steps", "complications", "readings", "window", "consent",
    "identity", "judge-first",
]  # fmt: skip

NOT_SAID_WORDS: Final = "not said"


@dataclass(frozen=True)
class HeaderField:
    """One field of the form.

    Attributes:
        name: The header's field; of the kinds that stand for several, what the form calls it.
        label: What it is called.
        kind: How it is asked for.
        note: A sentence under it, empty where the label says it.
    """

    name: str
    label: str
    kind: Kind
    note: str = ""


@dataclass(frozen=True)
class Group:
    """Fields that stand together."""

    name: str
    fields: tuple[HeaderField, ...]


_F = HeaderField

GROUPS: Final = (
    Group("Case", (
        _F("code", "Code of the case", "text", "Never a patient's name or number."),
        _F("setting", "Setting", "word", "Only operations on patients count as cases."),
        _F("window", "This case on the film", "window",
           "One film may hold several cases. Nothing outside this stretch is shown or counted."),
        _F("span_custom", "A step lasts", "word"),
        _F("second_procedure", "Second procedure", "word"),
        _F("result", "Result", "word"),
        _F("complications", "Complications", "complications"),
    )),
    Group("Eye and view", (
        _F("eye", "Eye", "word"),
        _F("seat", "The surgeon sits", "since-word"),
        _F("turn_deg", "Camera turn", "since-degrees",
           "Degrees that the surgeon's side lies clockwise of the bottom of the picture as it is "
           "shown. Until eye, seat and turn are said, hours are those of the picture."),
        _F("mirrored", "Left and right flipped", "since-flag"),
        _F("zoom", "Zoom", "since-text"),
    )),
    Group("People", (
        _F("trainee", "Trainee", "code", "Codes, never names."),
        _F("supervisor", "Supervisor", "code"),
        _F("training_year", "Year of training", "count"),
        _F("running_case_number", "The trainee's case number", "count"),
        _F("planned_part", "Planned for the trainee", "word"),
        _F("planned_steps", "Planned steps", "planned-steps"),
        _F("hand", "The surgeon's hand", "word"),
        _F("judge_first", "Judge first", "judge-first"),
    )),
    Group("Lens and difficulty", (
        _F("density", "Density", "density"),
        _F("technique", "Technique", "since-word"),
        _F("capsule_opening_kind", "Capsule opened", "word"),
        _F("anaesthesia", "Anaesthesia", "word"),
        _F("difficulties", "What made it hard", "difficulties"),
    )),
    Group("Machine", (
        _F("machine", "Machine", "since-text"),
        _F("machine_readings", "Readings", "readings",
           "Numbers are never compared across machines."),
    )),
    Group("Consent and identity", (
        _F("identity_checked_by", "Identity", "identity"),
        _F("consent", "Consent record", "consent", "Entries are only ever added."),
    )),
)  # fmt: skip
"""The form, group by group."""

_OWN_WORDS: Final[dict[str, tuple[str, ...]]] = {
    "eye": EYES,
    "setting": SETTINGS,
    "span_custom": SPAN_CUSTOMS,
    "seat": SEATS,
}
_CALLED: Final = {
    "touch-to-touch": "from its first touch of the eye to its last",
    "until-next": "until the next one begins",
    "simulator-film": "film of a simulator",
}
_HALF_HOURS: Final = tuple(half / 2 for half in range(1, 25))


def words_for(field: str, guide: Guide) -> list[tuple[str, str]]:
    """Return the words a field offers and what each is called; “not said” comes first.

    The guide's list is taken where it has one, else the format's own words. Seats go on with the
    hours of the eye at the surgeon's side.
    """
    if field == "technique":
        named = [(one.id, one.name) for one in guide.techniques]
    else:
        named = _listed(field, guide) or [
            (word, _CALLED.get(word, spaced(word))) for word in _OWN_WORDS.get(field, ())
        ]
    if field == "seat":
        # “Other” is no seat that an hour can be worked out from; the hours below say more.
        named = [pair for pair in named if surgeon_hour("right", pair[0]) is not None]
        named += [(f"{hour:g}", f"at {hour_text(hour)} of the eye") for hour in _HALF_HOURS]
    return [(NOT_SAID, NOT_SAID_WORDS), *(pair for pair in named if pair[0] != NOT_SAID)]


def is_asked(field: HeaderField, case: Case, guide: Guide) -> bool:
    """Claim that a field means something for a guide, or that something is said in it."""
    if getattr(case, field.name, None) not in (None, (), "", NOT_SAID):
        return True
    if field.kind in ("word", "since-word"):
        return len(words_for(field.name, guide)) > 1
    return {
        "density": guide.density is not None,
        "difficulties": bool(guide.difficulties),
        "planned-steps": case.planned_part not in (NOT_SAID, "whole-operation", "observation"),
    }.get(field.kind, True)


def _listed(field: str, guide: Guide) -> list[tuple[str, str]]:
    for listed in guide.header_lists:
        if listed.field.replace("-", "_") == field:
            return [(word.id, word.name) for word in listed.words]
    return []


def spaced(word: str) -> str:
    """Return a word of a list as a person says it.

    Example:
        >>> spaced("practice-eye")
        'practice eye'
    """
    return word.replace("-", " ")


def density_words(guide: Guide) -> list[tuple[str, str]]:
    """Return the guide's steps of density and the kinds beside them; “not said” comes first.

    Example:
        >>> from aftercase.document.guides import shipped_guides
        >>> density_words(shipped_guides()["cataract-phaco"])[:2]
        [('not-said', 'not said'), ('1', '1 soft (clear to grey, red reflex bright)')]
    """
    scale = guide.density
    if scale is None:
        return [(NOT_SAID, NOT_SAID_WORDS)]
    names = dict(_listed("density_kind", guide))
    return [
        (NOT_SAID, NOT_SAID_WORDS),
        *((one.id, f"{one.id} {one.name} ({one.note})") for one in scale.values),
        *((kind, names.get(kind, spaced(kind))) for kind in scale.kinds),
    ]


def density_of(word: str, guide: Guide) -> Density | None:
    """Return the density that a word of `density_words` says; None for not said."""
    scale = guide.density
    if word == NOT_SAID or scale is None:
        return None
    if word in scale.kinds:
        return Density(scale=scale.id, kind=word)
    return Density(scale=scale.id, value=float(word))


def density_word(density: Density | None, guide: Guide) -> str:
    """Return the word that stands for a density; one of another scale is spelt out."""
    if density is None:
        return NOT_SAID
    if density.value is None:
        return density.kind
    known = guide.density is not None and density.scale == guide.density.id
    return f"{density.value:g}" if known else f"{density.value:g} ({density.scale})"


def read_text(kind: Kind, text: str) -> Any:
    """Return what was typed into a field as the header takes it.

    Raises:
        ValueError: A count is no whole number; the sentence says so.

    Example:
        >>> read_text("count", " 14 "), read_text("code", ""), read_text("text", "case-1")
        (14, None, 'case-1')
    """
    typed = text.strip()
    if kind == "count" and typed:
        if not (typed.isascii() and typed.isdigit()):
            raise ValueError(f"“{typed}” is no whole number.")
        return int(typed)
    if kind in ("code", "count") and not typed:
        return None
    return typed
