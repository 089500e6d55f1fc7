"""The sample session that comes with the program: film, truth, header and review."""

from __future__ import annotations

from importlib import resources
from pathlib import Path
from typing import Final

FILM: Final = "demo.mp4"
HEADER: Final = "demo.case.json"
REVIEW: Final = "demo.review.json"

_IN_PACKAGE: Final = Path(str(resources.files("aftercase.data"))) / "sample"
_IN_CHECKOUT: Final = Path(__file__).parents[3] / "sample_media"


def sample_file(name: str) -> Path:
    """Return a file of the sample session: from the installed package, else from the checkout."""
    packed = _IN_PACKAGE / name
    return packed if packed.is_file() else _IN_CHECKOUT / name
