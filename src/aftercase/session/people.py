"""Who reviews at this computer.

A person is a code and a role. A passphrase keeps colleagues from writing in each other's name by
mistake; it is courtesy, not protection: whoever may read the files on this computer can read the
drafts without it. The rights of the folders protect.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
import unicodedata
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

from aftercase import storage
from aftercase.document.files import Stored, write_document
from aftercase.document.folder import latest_of, new_review
from aftercase.document.kept import kept_path
from aftercase.errors import EditRefused
from aftercase.model.base import CODE_FORM, FORMS_IN_WORDS
from aftercase.model.review import ROLES, Review
from aftercase.session.jsonfiles import bytes_of, object_in
from aftercase.session.opened import open_case
from aftercase.session.places import Places

COURTESY: Final = (
    "A passphrase keeps others from writing under your code by mistake. It is courtesy between "
    "colleagues, not protection: whoever may open this computer's files can read drafts without "
    "it."
)
"""What is said wherever a passphrase is asked for or set."""

_SALT_BYTES: Final = 16
_COST: Final = {"n": 2**14, "r": 8, "p": 1}
"""Cost of hashing a passphrase: 16 MiB and some tens of milliseconds; RFC 7914 names n, r, p."""


@dataclass(frozen=True)
class Person:
    """Who reviews.

    Attributes:
        code: Their code, never a name.
        role: One of `model.review.ROLES`.
    """

    code: str
    role: str = "teacher"


PLACEHOLDER: Final = Person("me")
"""Who reviews as long as nobody said so; their draft becomes a person's by `take_name`."""


def known_people(at: Places) -> tuple[Person, ...]:
    """Return who reviewed at this computer, by code."""
    return tuple(
        Person(code, entry["role"]) for code, entry in sorted(_entries(_found(at)).items())
    )


def remembered_person(at: Places) -> Person | None:
    """Return who reviewed here last; None where nobody did, or that person has a passphrase."""
    found = _found(at)
    code = found.get("last")
    entry = _entries(found).get(code) if isinstance(code, str) else None
    if code is None or entry is None or "passphrase" in entry:
        return None
    return Person(code, entry["role"])


def remember_person(at: Places, person: Person) -> None:
    """Remember a person as the one who reviews now; their passphrase stays.

    Raises:
        EditRefused: The code is none, is the placeholder's, or differs from a known one in
            capitals alone.
        WriteFailed: It cannot be remembered.
    """
    _refuse_code(person, known_people(at))

    def with_person(found: bytes | None) -> bytes:
        data = object_in(found)
        entries = _entries(data)
        entries[person.code] = {**entries.get(person.code, {}), "role": person.role}
        return bytes_of({**data, "people": entries, "last": person.code})

    storage.write_locked(_file(at), with_person)


def set_passphrase(at: Places, person: Person, passphrase: str) -> None:
    """Let a remembered person be asked for a passphrase, or no longer where it is empty.

    Raises:
        WriteFailed: It cannot be remembered.
    """
    hashed = _hashed(passphrase) if passphrase else None

    def with_passphrase(found: bytes | None) -> bytes:
        data = object_in(found)
        entries = _entries(data)
        entry = {**entries.get(person.code, {"role": person.role})}
        entry.pop("passphrase", None)
        entries[person.code] = entry | ({"passphrase": hashed} if hashed else {})
        return bytes_of({**data, "people": entries})

    storage.write_locked(_file(at), with_passphrase)


def has_passphrase(at: Places, code: str) -> bool:
    """Claim that a person is asked for a passphrase."""
    return "passphrase" in _entries(_found(at)).get(code, {})


def passphrase_fits(at: Places, code: str, passphrase: str) -> bool:
    """Claim that a person may go on: it is their passphrase, or they have none."""
    kept = _entries(_found(at)).get(code, {}).get("passphrase")
    if kept is None:
        return True
    try:
        salt, expected = bytes.fromhex(kept["salt"]), bytes.fromhex(kept["hash"])
    except (KeyError, TypeError, ValueError):
        return True  # what cannot be read must lock nobody out of their own work
    return hmac.compare_digest(_scrypt(passphrase, salt), expected)


def asked_after(idle_s: float, idle_minutes: int) -> bool:
    """Claim that “who reviews?” is asked again after so long without a key or pointer.

    Example:
        >>> asked_after(299.9, 5), asked_after(300.0, 5), asked_after(86_400.0, 0)
        (False, True, False)
    """
    return idle_minutes > 0 and idle_s >= idle_minutes * 60


def take_name(case_folder: Path, at: Places, person: Person) -> Stored[Review] | None:
    """Make the draft that was begun before anybody said who reviews a person's own.

    Nothing is lost: the draft as it was is kept among the earlier versions, and a draft of the
    person's own with marks in it is never replaced. A move that was broken off is finished by the
    next call.

    Args:
        case_folder: The case; nobody may have its draft in hand.
        at: The program's folders.
        person: Whose it becomes.

    Returns:
        The person's draft; None where there is no draft of the placeholder's.

    Raises:
        EditRefused: The person has a review of this case already; what to do is said.
        DocumentChanged: Somebody writes that draft now; it stays as it is.
        DocumentMissing, DocumentBroken, DocumentTooNew: The case cannot be read.
        WriteFailed: The disk is full, read-only or gone.
    """
    opened = open_case(case_folder, at)
    begun = latest_of(list(opened.reviews), PLACEHOLDER.code)
    if begun is None or begun.record.state != "draft" or person.code == PLACEHOLDER.code:
        return None
    named = begun.record.changed(reviewer=person.code, role=person.role)
    own = latest_of(list(opened.reviews), person.code) or new_review(opened.folder, named)
    if own.record != named and not _is_empty_draft(own.record):
        raise _has_own(own.record, person)
    taken = write_document(own, named.changed(revision=own.record.revision))
    assert begun.digest is not None
    content = storage.read_bytes(begun.path) or b""
    kept = kept_path(begun.path, datetime.now(UTC))
    storage.move_if_same(begun.path, kept, content, expected_digest=begun.digest)
    return taken


def _is_empty_draft(review: Review) -> bool:
    blank = Review(id=review.id, case=review.case, reviewer=review.reviewer)
    said = review.changed(role=blank.role)
    return review.state == "draft" and said == blank


def _has_own(review: Review, person: Person) -> EditRefused:
    if review.state == "draft":
        return EditRefused(
            f"{person.code} has marks of this case already; those made as “{PLACEHOLDER.code}” "
            "were left as they are.",
            hint=f"Go on as {person.code} and adopt the steps and instruments of "
            f"“{PLACEHOLDER.code}”, or go on as “{PLACEHOLDER.code}”.",
        )
    return EditRefused(
        f"{person.code}'s review of this case is {review.state}; the marks made as "
        f"“{PLACEHOLDER.code}” were left as they are.",
        hint=f"Go on as {person.code}, begin a correction, and adopt the steps and instruments of "
        f"“{PLACEHOLDER.code}”.",
    )


def _refuse_code(person: Person, known: tuple[Person, ...]) -> None:
    if not re.fullmatch(CODE_FORM, person.code):
        raise EditRefused(f"“{person.code}” is no code: {FORMS_IN_WORDS[CODE_FORM]}.")
    if person.role not in ROLES:
        raise ValueError(f"the role is one of {ROLES}")
    if person.code.casefold() == PLACEHOLDER.code:
        raise EditRefused(
            f"“{person.code}” stands for nobody yet.", hint="Give the code you are known by."
        )
    # On many disks names that differ in capitals alone are one file.
    alike = {one.code for one in known if one.code.casefold() == person.code.casefold()}
    if alike - {person.code}:
        raise EditRefused(
            f"“{min(alike)}” is known here; codes differ by more than capitals.",
            hint=f"Choose {min(alike)}, or another code.",
        )


def _file(at: Places) -> Path:
    return at.settings / "people.json"


def _found(at: Places) -> dict[str, Any]:
    return object_in(storage.read_bytes(_file(at)))


def _entries(found: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Return what is kept of each person, by code; what is no such thing is passed over."""
    people = found.get("people")
    if not isinstance(people, dict):
        return {}
    return {
        code: entry
        for code, entry in people.items()
        if isinstance(entry, dict) and entry.get("role") in ROLES
    }


def _hashed(passphrase: str) -> dict[str, str]:
    salt = secrets.token_bytes(_SALT_BYTES)
    return {"salt": salt.hex(), "hash": _scrypt(passphrase, salt).hex()}


def _scrypt(passphrase: str, salt: bytes) -> bytes:
    # The same letters typed on another keyboard may be other code points.
    typed = unicodedata.normalize("NFKC", passphrase).encode("utf-8", errors="surrogatepass")
    return hashlib.scrypt(typed, salt=salt, **_COST)
