"""What a person chose for this computer."""

from __future__ import annotations

import json
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any, Final

from aftercase import storage
from aftercase.session.places import Places

GIGABYTE: Final = 1_000_000_000


@dataclass(frozen=True)
class Settings:
    """Choices, each with what holds where nothing was chosen.

    Attributes:
        scrub_copies: Whether small copies of films are made for browsing.
        scrub_copies_limit_bytes: Bytes that all copies on this computer may take together; the
            oldest are dropped first.
    """

    scrub_copies: bool = True
    scrub_copies_limit_bytes: int = 20 * GIGABYTE


def read_settings(at: Places) -> Settings:
    """Return the settings; what is missing or unusable in their file is as if not chosen.

    Raises:
        ReadFailed: The disk does not let the file be read.
    """
    return _settings_in(storage.read_bytes(settings_file(at)))


def change_settings(at: Places, **choices: Any) -> Settings:
    """Choose something anew and return the settings; other choices stay, unknown ones too.

    Raises:
        WriteFailed: The settings cannot be written.
    """
    changed = replace(Settings(), **choices)  # refuses what is no setting

    def with_choices(found: bytes | None) -> bytes:
        known = _dict_in(found) | {name: getattr(changed, name) for name in choices}
        return (json.dumps(known, ensure_ascii=False, indent=2, sort_keys=True) + "\n").encode()

    storage.write_locked(settings_file(at), with_choices)
    return read_settings(at)


def settings_file(at: Places) -> Path:
    """Return where the settings lie."""
    return at.settings / "settings.json"


def _settings_in(content: bytes | None) -> Settings:
    found = _dict_in(content)
    usable = {
        field.name: found[field.name]
        for field in fields(Settings)
        if _is_usable(found.get(field.name), field.default)
    }
    return Settings(**usable)


def _is_usable(value: object, default: object) -> bool:
    """Claim that a value is of its setting's kind; numbers count something, so none is negative."""
    if isinstance(value, int) and value < 0:
        return False
    return type(value) is type(default)


def _dict_in(content: bytes | None) -> dict[str, Any]:
    try:
        found = json.loads(content or b"{}")
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}
