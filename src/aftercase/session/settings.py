"""What a person chose for this computer."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final

from aftercase import storage
from aftercase.clock import SECOND_US
from aftercase.metrics.subject import Settings as GapSettings
from aftercase.session.jsonfiles import bytes_of, object_in
from aftercase.session.places import Places

GIGABYTE: Final = 1_000_000_000
THEMES: Final = ("light", "dark", "system")
TEXT_SIZES_PERCENT: Final = (80, 200)
RATES: Final = (0.25, 4.0)


@dataclass(frozen=True)
class Settings:
    """Choices, each with what holds where nothing was chosen.

    Attributes:
        keys: Action id to the key a person chose for it, in words such as ``Ctrl+B``; an empty
            one is no key. Actions that are not named have their own keys.
        lead_us: How long before the shown frame a remark sits that is begun there.
        pause_on_type: Whether the film rests while a remark is typed.
        gap_threshold_us: Shortest gap that is counted.
        theme: ``light``, ``dark`` or ``system``.
        text_size_percent: Size of all text, 80 to 200.
        sound_on: Whether films are heard.
        last_rate: Speed films were last played at, 0.25 to 4.
        default_guide: Id of the guide of new cases.
        cases_folder: Where new cases are made; empty for `cases_folder_of`'s own place.
        idle_minutes: Minutes without a key or pointer after which “who reviews?” is asked again;
            0 for never.
        scrub_copies: Whether small copies of films are made for browsing.
        scrub_copies_limit_bytes: Bytes that all copies on this computer may take together; the
            oldest are dropped first.
    """

    keys: Mapping[str, str] = field(default_factory=dict)
    lead_us: int = 2 * SECOND_US
    pause_on_type: bool = False
    gap_threshold_us: int = GapSettings.shortest_gap_us
    theme: str = "system"
    text_size_percent: int = 100
    sound_on: bool = False
    last_rate: float = 1.0
    default_guide: str = "cataract-phaco"
    cases_folder: str = ""
    idle_minutes: int = 5
    scrub_copies: bool = True
    scrub_copies_limit_bytes: int = 20 * GIGABYTE


def read_settings(at: Places) -> Settings:
    """Return the settings; what is missing or unusable in their file is as if not chosen.

    Raises:
        ReadFailed: The disk does not let the file be read.
    """
    return _settings_in(object_in(storage.read_bytes(settings_file(at))))


def change_settings(at: Places, **choices: Any) -> Settings:
    """Choose something anew and return the settings; other choices stay, unknown ones too.

    Raises:
        WriteFailed: The settings cannot be written.
    """
    changed = replace(Settings(), **choices)  # refuses what is no setting
    if unusable := [name for name in choices if not _USABLE[name](getattr(changed, name))]:
        raise ValueError(f"{unusable} cannot be set to that")

    def with_choices(found: bytes | None) -> bytes:
        return bytes_of(object_in(found) | choices)

    storage.write_locked(settings_file(at), with_choices)
    return read_settings(at)


def settings_file(at: Places) -> Path:
    """Return where the settings lie."""
    return at.settings / "settings.json"


def cases_folder_of(settings: Settings, at: Places) -> Path:
    """Return where new cases are made: where the person chose, else beside the program's data."""
    return Path(settings.cases_folder) if settings.cases_folder else at.data / "cases"


def _settings_in(found: dict[str, Any]) -> Settings:
    choices = {name: found[name] for name, may_be in _USABLE.items() if may_be(found.get(name))}
    if isinstance(found.get("keys"), dict):
        choices["keys"] = {
            action: key for action, key in found["keys"].items() if isinstance(key, str)
        }
    return Settings(**choices)


def _is_flag(value: object) -> bool:
    return isinstance(value, bool)


def _is_text(value: object) -> bool:
    return isinstance(value, str)


def _is_name(value: object) -> bool:
    return isinstance(value, str) and value != ""


def _is_count(value: object) -> bool:
    """Claim that a value is a whole number of 0 or more."""
    return isinstance(value, int) and not isinstance(value, bool) and value >= 0


def _is_size(value: object) -> bool:
    least, most = TEXT_SIZES_PERCENT
    return isinstance(value, int) and _is_count(value) and least <= value <= most


def _is_rate(value: object) -> bool:
    least, most = RATES
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return is_number and math.isfinite(value) and least <= value <= most  # type: ignore[arg-type,operator]


def _is_theme(value: object) -> bool:
    return value in THEMES


def _are_keys(value: object) -> bool:
    return isinstance(value, Mapping) and all(
        isinstance(action, str) and isinstance(key, str) for action, key in value.items()
    )


_USABLE: Final[Mapping[str, Callable[[object], bool]]] = {
    "keys": _are_keys,
    "lead_us": _is_count,
    "pause_on_type": _is_flag,
    "gap_threshold_us": _is_count,
    "theme": _is_theme,
    "text_size_percent": _is_size,
    "sound_on": _is_flag,
    "last_rate": _is_rate,
    "default_guide": _is_name,
    "cases_folder": _is_text,
    "idle_minutes": _is_count,
    "scrub_copies": _is_flag,
    "scrub_copies_limit_bytes": _is_count,
}
"""What each setting can be."""
