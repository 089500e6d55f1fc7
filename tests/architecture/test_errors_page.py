from __future__ import annotations

import importlib
import pkgutil
import re
from pathlib import Path

import aftercase
from aftercase.errors import AftercaseError

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "reference" / "errors.md").read_text(encoding="utf-8")
PARTS = ("**What happened.**", "**Why.**", "**What to do.**")


def all_errors():
    for module in pkgutil.walk_packages(aftercase.__path__, "aftercase."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    waiting, found = [AftercaseError], []
    while waiting:
        found.append(waiting.pop())
        waiting += found[-1].__subclasses__()
    return found


def test_every_error_has_a_short_name_of_its_own():
    slugs = [error.__dict__.get("slug") for error in all_errors()]
    assert all(slug and re.fullmatch(r"[a-z]+(-[a-z]+)*", slug) for slug in slugs), slugs
    assert len(set(slugs)) == len(slugs)


def test_every_error_has_its_section_and_every_section_its_error():
    assert re.findall(r"^## (.+)$", PAGE, re.MULTILINE) == sorted(
        {error.slug for error in all_errors()}, key=PAGE.index
    )


def test_every_section_says_what_happened_why_and_what_to_do():
    for section in PAGE.split("\n## ")[1:]:
        assert [section.count(part) for part in PARTS] == [1, 1, 1], section.splitlines()[0]
        assert [section.index(part) for part in PARTS] == sorted(map(section.index, PARTS))
