"""Where published figures lie, if they do: beside the checkout, never inside it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

PUBLISHED = Path(__file__).parents[3] / "shared" / "data"


@pytest.fixture(scope="session")
def published() -> Path:
    if not PUBLISHED.is_dir():
        pytest.skip(f"published data is not beside the checkout: {PUBLISHED.name}")
    return PUBLISHED


@pytest.fixture(scope="session")
def check_values(published: Path) -> dict:
    return json.loads((published / "check_values.json").read_text(encoding="utf-8"))
