"""The page loads nothing, runs nothing, and leads only to itself and, when asked, to the film."""

from __future__ import annotations

import base64
import re
from itertools import pairwise

import pytest

from aftercase.metrics.subject import Settings
from aftercase.reports.bundle import critique_files
from aftercase.reports.charts import tick_moments
from aftercase.reports.html import film_path, fragment


@pytest.fixture(scope="module")
def page(files, read_html):
    return read_html(files["critique.html"])


@pytest.fixture(scope="module")
def linked(subject, stills, read_html):
    made = critique_files(subject, Settings(), stills, film_link="film/PE 007.mp4")
    return read_html(made["critique.html"])


def test_nothing_outside_the_page_is_named(page, files):
    for attributes in (attributes for _, attributes in page.tags):
        assert attributes.get("src", "data:").startswith("data:")
        assert attributes.get("href", "#").startswith("#")
        assert not {"srcset", "action", "formaction", "background", "style", "poster"} & set(
            attributes
        )
        assert not [name for name in attributes if name.startswith("on")]
    assert not page.all("script", "link", "iframe", "object", "embed", "base", "form", "video")
    style = re.search("<style>(.*?)</style>", files["critique.html"].decode(), re.DOTALL)
    assert style is not None
    assert not re.search(r"url\(|@import|https?:|//", style[1])


def test_the_policy_forbids_everything_but_its_own_pictures_and_style(page):
    [policy] = [m for m in page.all("meta") if m.get("http-equiv") == "Content-Security-Policy"]
    assert policy["content"] == "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def test_every_picture_has_words_and_its_bytes(page, stills):
    pictures = page.all("img")
    # Two at the remark drawn on twice, one at five others; one for each of page one's points;
    # and one of a measure.
    assert len(pictures) == 2 + 5 + 3 + 1
    content = {still.content for each in stills.values() for still in each}
    for picture in pictures:
        assert picture["alt"].startswith("Picture at 0:0")
        kind, data = picture["src"].split(",")
        assert kind == "data:image/png;base64"
        assert base64.b64decode(data) in content


def test_every_id_is_unique_and_every_link_has_its_target(page):
    ids = [attributes["id"] for _, attributes in page.tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    named = [a["href"][1:] for a in page.all("a")]
    named += [word for _, a in page.tags for word in a.get("aria-labelledby", "").split()]
    assert named
    assert set(named) <= set(ids)


def test_headings_go_down_one_step_at_a_time(page):
    levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_the_language_and_the_title_are_said(page, files):
    assert page.all("html") == [{"lang": "en"}]
    assert "<title>Critique of case PE-007</title>" in files["critique.html"].decode()


def test_every_chart_is_told_in_words(page, files):
    charts = page.all("svg")
    assert len(charts) == 3
    assert all(chart["role"] == "img" for chart in charts)
    told = re.findall("<desc[^>]*>(.*?)</desc>", files["critique.html"].decode())
    assert "Side port: 0:00:08.000 to 0:00:14.000" in told[0]
    assert "Tear round: 0:00:26.000, of it idle 0:00:01.520" in told[1]
    assert "0:00:36.000: 0:00:04.000 long" in told[2]


def test_every_table_is_headed_by_columns_and_can_be_scrolled_with_keys(page):
    assert all(head["scope"] == "col" for head in page.all("th"))
    regions = [a for a in page.all("div") if a.get("class") == "scroll"]
    assert len(regions) == len(page.all("table"))
    assert all((a["role"], a["tabindex"]) == ("region", "0") for a in regions)


def test_without_a_film_a_time_leads_to_its_remark_or_measure(page, subject):
    links = {a["href"] for a in page.all("a") if a.get("class") == "when"}
    remarks = {f"#remark-{remark.id}" for remark in subject.review.remarks}
    assert links == remarks | {f"#measure-{measure.id}" for measure in subject.review.measures}


def test_with_a_film_times_lead_to_its_moments_by_media_fragment(linked):
    links = [a["href"] for a in linked.all("a") if a.get("class") == "when"]
    assert all(link.startswith("./film/PE%20007.mp4#t=") for link in links)
    assert "./film/PE%20007.mp4#t=58.400,64.000" in links  # the remark on a span
    assert "./film/PE%20007.mp4#t=112.360" in links  # the remark on a moment
    assert "./film/PE%20007.mp4#t=16.000" in links  # a step's first start


@pytest.mark.parametrize(
    ("link", "path"),
    [
        ("film.mp4", "./film.mp4"),
        ("../a b/100%.mp4", "./../a%20b/100%25.mp4"),
        ("javascript:alert(1)", "./javascript%3Aalert%281%29"),
        ("https://example.org/x", "./https%3A//example.org/x"),
        ('"><script>', "./%22%3E%3Cscript%3E"),
        ("手術#1.mp4", "./%E6%89%8B%E8%A1%93%231.mp4"),
        ("folder\\film.mp4", "./folder/film.mp4"),
    ],
)
def test_a_film_link_stays_a_path_beside_the_page(link, path):
    assert film_path(link) == path


@pytest.mark.parametrize(
    "link", ["/etc/x.mp4", "//host/x.mp4", "\\\\host\\x.mp4", "C:\\x.mp4", "c:/x"]
)
def test_an_absolute_film_link_is_refused(link):
    with pytest.raises(ValueError, match="relative path"):
        film_path(link)


def test_a_fragment_prints_milliseconds_by_ceiling():
    # 1001/30000 s = 33.3667 ms: 0.033 would show the frame before.
    assert fragment(33_367) == "#t=0.034"


def test_an_axis_has_few_round_moments_within_it():
    assert tick_moments(0, 150_000_000) == [
        0,
        30_000_000,
        60_000_000,
        90_000_000,
        120_000_000,
        150_000_000,
    ]
    assert tick_moments(5_000_001, 5_000_002) == []
    assert len(tick_moments(0, 7200 * 1_000_000)) <= 6
