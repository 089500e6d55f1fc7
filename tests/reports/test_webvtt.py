"""The caption tracks re-read with PyAV and with webvtt-py."""

from __future__ import annotations

import io

import av
import pytest
import webvtt

from aftercase.reports.content import Cue
from aftercase.reports.webvtt import remarks_vtt, stamp, steps_vtt

# Start and end in seconds, from the marks in conftest.py; a moment lasts 4 s.
STEPS_S = [
    (8, 14),
    (16, 22),
    (24, 36),
    (40, 48),
    (48, 74),
    (78, 84),
    (88, 110),
    (110, 118),
    (120, 123),
]
REMARKS_S = [(31.2, 35.2), (58.4, 64), (66, 70), (81, 85), (96, 103), (112.36, 116.36), (119, 123)]


def av_cues(content: bytes) -> list[tuple[int, int]]:
    """Return start and end of each cue in milliseconds, as FFmpeg's reader gives them."""
    with av.open(io.BytesIO(content), format="webvtt") as container:
        packets = [packet for packet in container.demux() if packet.pts is not None]
    assert all(1 / packet.time_base == 1000 for packet in packets)
    return [(packet.pts, packet.pts + packet.duration) for packet in packets]


def in_ms(spans_s):
    return [(round(start * 1000), round(end * 1000)) for start, end in spans_s]


@pytest.mark.parametrize(("name", "spans_s"), [("steps.vtt", STEPS_S), ("remarks.vtt", REMARKS_S)])
def test_two_readers_find_each_cue_at_its_time(name, spans_s, files):
    assert av_cues(files[name]) == in_ms(spans_s)
    captions = webvtt.from_string(files[name].decode())
    assert [(c.start_in_seconds, c.end_in_seconds) for c in captions] == [
        (int(start), int(end)) for start, end in spans_s
    ]


def test_cues_carry_the_ids_and_the_words_of_their_marks(files, subject):
    captions = list(webvtt.from_string(files["remarks.vtt"].decode()))
    remarks = subject.review.remarks
    assert [caption.identifier for caption in captions] == [f"remark-{r.id}" for r in remarks]
    assert captions[-1].text == f"Question: {remarks[-1].text}"
    steps = list(webvtt.from_string(files["steps.vtt"].decode()))
    assert [step.text for step in steps][:2] == ["Side port", "Viscoelastic in"]
    assert {step.identifier for step in steps} == {f"step-{s.id}" for s in subject.review.steps}


class Content:
    """As much of a critique as a track needs."""

    title = "Critique of case X"

    def __init__(self, *cues: Cue) -> None:
        self.step_cues = self.remark_cues = cues


def test_a_track_without_cues_is_still_a_track():
    assert steps_vtt(Content()) == b"WEBVTT\n\nNOTE Critique of case X: steps\n"


def test_a_cue_shorter_than_a_millisecond_is_not_empty():
    assert av_cues(steps_vtt(Content(Cue("a", 5_000_100, 5_000_200, "x")))) == [(5001, 5002)]


def test_a_mark_before_the_clock_begins_is_written_at_its_beginning():
    assert av_cues(steps_vtt(Content(Cue("a", -40_000, 40_000, "x")))) == [(0, 40)]


def test_milliseconds_are_taken_by_ceiling():
    # 1001/30000 s = 33.3667 ms: 33 would show the frame before.
    assert (
        "00:00:00.034 --> 00:00:00.067"
        in steps_vtt(Content(Cue("a", 33_367, 66_734, "x"))).decode()
    )


@pytest.mark.parametrize(
    "text", ["a --> b", "a\n\n\nb", "<v Bob>x</v>", "&lt;", "a\x00b\u202e", "NOTE", "1"]
)
def test_hostile_words_neither_end_a_cue_nor_start_another(text):
    content = remarks_vtt(
        Content(Cue("a", 0, 1_000_000, text), Cue("b", 2_000_000, 3_000_000, "end"))
    )
    assert av_cues(content) == [(0, 1000), (2000, 3000)]
    assert [c.identifier for c in webvtt.from_string(content.decode())] == ["a", "b"]


def test_hours_have_two_signs_or_more():
    assert (stamp(0), stamp(360_000_000)) == ("00:00:00.000", "100:00:00.000")
