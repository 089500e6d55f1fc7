"""An invented practice-eye review in codes, small enough to count by hand.

Its marks, in seconds: side port 8-14, viscoelastic 16-22, main wound 24-36, flap 40-48, tear 48-74,
hydrodissection 78-84, groove 88-110, crack 110-118, viscoelastic again 120-123. Instruments: side
knife 8-14, cannula 16-22, keratome 24.5-36, needle 40-48, forceps 49.52-74, cannula 78-84, probe
88-117 with a chopper 90-117, cannula 120-123. Not seen: 84.5-86. The film lasts 150 s.

Measured on frames of 1920 x 1080: at 30 s a limbus 450 px wide and 480 px tall with wounds at its
left and its bottom, at 31.2 s 96 px, at 49.52 s a tip, at 120 s an outline, at 124 s an opening of
268 x 256 px on an optic of 300 px that is said to be 6 mm.
"""

from __future__ import annotations

import base64
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

import pytest

from aftercase.document.codec import decoded
from aftercase.document.guides import shipped_guides
from aftercase.metrics.subject import Settings, Subject
from aftercase.model.case import Case
from aftercase.model.review import Remark, Review
from aftercase.reports.bundle import critique_files
from aftercase.reports.content import Still, Stills

GOLD = Path(__file__).parents[1] / "gold"

ONE_PIXEL_PNG = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAQAAAC1HAwCAAAAC0lEQVR42mNk+A8AAQUBAScY42YAAAAASUVORK5CYII="
)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--update-gold", action="store_true", help="rewrite the expected reports")


@dataclass
class Seen(HTMLParser):
    """What an HTML page holds: elements with attributes, in order, and its text."""

    tags: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    pieces: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_data(self, data: str) -> None:
        self.pieces.append(data)

    @property
    def text(self) -> str:
        return " ".join("".join(self.pieces).split())

    def all(self, *names: str) -> list[dict[str, str]]:
        return [attributes for tag, attributes in self.tags if tag in names]


@pytest.fixture(scope="session")
def subject() -> Subject:
    case = decoded(Case, (GOLD / "sample/case.json").read_bytes(), GOLD)
    review = decoded(Review, (GOLD / "sample/review.json").read_bytes(), GOLD)
    return Subject(case, shipped_guides()[case.guide.id], review)


@pytest.fixture(scope="session")
def others() -> tuple[Review, ...]:
    """The trainee's own review, released; its replies are counted by hand in the tests."""
    return (decoded(Review, (GOLD / "sample/trainee.json").read_bytes(), GOLD),)


@pytest.fixture(scope="session")
def stills(subject: Subject) -> Stills:
    """A picture of every remark but the last, two of the one that was drawn on at two moments.

    And one of the first measure.
    """
    measure = subject.review.measures[0]
    drawn = Still(measure.id, measure.at_us, 1, 1, ONE_PIXEL_PNG, "image/png", 1, ("line",))
    remarks = subject.review.remarks[:-1]
    return {remark.id: tuple(_stills_of(remark)) for remark in remarks} | {measure.id: (drawn,)}


def _stills_of(remark: Remark) -> Iterator[Still]:
    drawn = {one.at_us for one in remark.drawings}
    for number, at_us in enumerate(sorted(drawn) or [remark.at_us], start=1):
        shapes = tuple(one.shape for one in remark.drawings if one.at_us == at_us)
        yield Still(remark.id, at_us, 1, 1, ONE_PIXEL_PNG, "image/png", number, shapes)


@pytest.fixture(scope="session")
def files(subject: Subject, stills: Stills, others: tuple[Review, ...]) -> dict[str, bytes]:
    return critique_files(subject, Settings(), stills, others=others)


@pytest.fixture(scope="session")
def read_html():
    def read(page: bytes | str) -> Seen:
        seen = Seen()
        seen.feed(page.decode() if isinstance(page, bytes) else page)
        return seen

    return read
