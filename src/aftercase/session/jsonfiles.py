"""The program's own small files: JSON objects, of which what cannot be read counts as nothing."""

from __future__ import annotations

import json
from typing import Any


def object_in(content: bytes | None) -> dict[str, Any]:
    """Return the JSON object in a file's bytes; an empty one where there is none.

    Example:
        >>> object_in(b'{"theme": "dark"}'), object_in(b"[1]"), object_in(None)
        ({'theme': 'dark'}, {}, {})
    """
    try:
        found = json.loads(content or b"{}")
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def bytes_of(data: dict[str, Any]) -> bytes:
    """Return an object as the bytes of its file: sorted keys, one line a value."""
    text = json.dumps(data, ensure_ascii=False, indent=2, sort_keys=True)
    # Half of a surrogate pair (odd file names hold some) has no UTF-8; its escape is JSON again.
    return (text + "\n").encode("utf-8", errors="backslashreplace")
