"""Figures worked out beforehand with other libraries, kept beside the checkout."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest


@pytest.fixture(scope="session")
def check_values(shared_data: Path) -> dict[str, Any]:
    return json.loads((shared_data / "check_values.json").read_text(encoding="utf-8"))
