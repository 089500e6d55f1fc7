"""The pages a reader starts from: their links lead somewhere, their commands are the real ones."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from markdown_it.token import Token

ROOT = Path(__file__).resolve().parents[2]
PAGES = [
    *(ROOT / name for name in ("README.md", "DEVELOPERS.md", "sample_media/README.md")),
    *sorted((ROOT / "docs").rglob("*.md")),
]


def tokens(page: Path) -> list[Token]:
    found = MarkdownIt().enable("table").parse(page.read_text(encoding="utf-8"))
    return [*found, *(child for token in found for child in token.children or ())]


def links(page: Path) -> list[str]:
    targets = [token.attrGet("href") or token.attrGet("src") for token in tokens(page)]
    return [str(target) for target in targets if target]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_link_leads_to_a_file_that_is_there(page: Path):
    inner = [link.partition("#")[0] for link in links(page) if "://" not in link]
    gone = [link for link in inner if link and not (page.parent / link).exists()]
    assert not gone


def test_every_page_can_be_reached_from_the_readme():
    reached: set[Path] = set()
    waiting = [ROOT / "README.md"]
    while waiting:
        page = waiting.pop()
        if page not in reached and page.suffix == ".md" and page.is_file():
            reached.add(page)
            waiting += [(page.parent / link.partition("#")[0]).resolve() for link in links(page)]
    assert not set(PAGES) - reached


def test_the_readme_has_two_commands_before_anything_else_is_to_be_typed():
    blocks = [t.content for t in tokens(ROOT / "README.md") if t.type == "fence"]
    assert [block.count("\n") for block in blocks[:2]] == [1, 1]
    assert blocks[0].endswith("&& .venv/bin/aftercase demo\n")
    assert blocks[1] == "bash tests/run\n"


def test_the_paths_named_in_developers_md_are_there():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = re.findall(r"`([\w.-]+(?:/[\w.-]+)+)/?`", text)
    homes = (ROOT, ROOT / "src" / "aftercase")
    assert named
    assert not [path for path in named if not any((home / path).exists() for home in homes)]
