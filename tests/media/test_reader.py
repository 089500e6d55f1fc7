import pickle
from dataclasses import fields, is_dataclass
from fractions import Fraction

import pytest

from aftercase.media.reader import RecordingReader
from aftercase.media.source import (
    Cancel,
    Cancelled,
    Failed,
    Finished,
    Opened,
    OpenRecording,
    PictureAt,
    PicturesIn,
    Shown,
    Source,
)

PLAIN = (int, float, str, bytes, bool, type(None), Fraction)


@pytest.fixture
def path(made):
    return str(made("25_closed").path)


@pytest.fixture
def reader(path):
    source: Source = RecordingReader()
    [opened] = source.answers(OpenRecording(1, (path,)))
    assert isinstance(opened, Opened)
    yield source
    source.close()


def assert_plain(value):
    """Nothing but numbers, texts and bytes in frozen records and tuples, all picklable."""
    if isinstance(value, tuple):
        for item in value:
            assert_plain(item)
    elif is_dataclass(value):
        assert value.__dataclass_params__.frozen
        for field in fields(value):
            assert_plain(getattr(value, field.name))
    else:
        assert isinstance(value, PLAIN), type(value)


def test_opening_answers_the_parts(path):
    reader = RecordingReader()
    [opened] = reader.answers(OpenRecording(7, (path,)))
    assert opened.request_id == 7
    assert opened.end_us == 4_000_000
    assert [part.path for part in opened.parts] == [path]
    assert opened.differences == ()
    reader.close()


def test_a_picture_comes_as_bytes_of_the_right_size(reader, read_number):
    [shown] = reader.answers(PictureAt(2, 1_000_000))
    pixels = shown.picture.pixels
    assert isinstance(shown, Shown)
    assert shown.request_id == 2
    assert (pixels.width_px, pixels.height_px) == (256, 144)
    assert pixels.stride_bytes >= 3 * 256
    assert len(pixels.rgb) == pixels.stride_bytes * 144
    assert read_number(shown.picture) == 25


def test_a_range_comes_in_order_and_ends(reader, read_number):
    *shown, last = reader.answers(PicturesIn(3, 400_000, 800_000))
    assert [read_number(answer.picture) for answer in shown] == list(range(10, 20))
    assert last == Finished(3, 10)


def test_an_empty_range_ends_at_once(reader):
    assert list(reader.answers(PicturesIn(4, 800_000, 800_000))) == [Finished(4, 0)]


def test_cancel_stops_a_range_between_two_pictures(reader):
    answers = reader.answers(PicturesIn(5, 0, 4_000_000))
    next(answers)
    next(answers)
    assert list(reader.answers(Cancel(5))) == []
    assert list(answers) == [Cancelled(5)]


def test_cancel_before_the_first_picture_sends_none(reader):
    for request in (PicturesIn(6, 0, 4_000_000), PictureAt(6, 0)):
        answers = reader.answers(request)
        list(reader.answers(Cancel(6)))
        assert list(answers) == [Cancelled(6)]


def test_cancel_of_something_else_changes_nothing(reader):
    answers = reader.answers(PicturesIn(8, 0, 80_000))
    list(reader.answers(Cancel(99)))
    assert list(answers)[-1] == Finished(8, 2)


def test_cancel_of_what_is_done_does_not_stop_the_next_of_that_id(reader):
    list(reader.answers(PictureAt(9, 0)))
    list(reader.answers(Cancel(9)))
    [shown] = reader.answers(PictureAt(9, 0))
    assert isinstance(shown, Shown)


def test_cancel_stops_opening(path):
    reader = RecordingReader()
    answers = reader.answers(OpenRecording(10, (path,)))
    list(reader.answers(Cancel(10)))
    assert list(answers) == [Cancelled(10)]


def test_a_fault_is_answered_with_its_words(reader, tmp_path):
    gone = str(tmp_path / "no.mp4")
    [failed] = reader.answers(OpenRecording(11, (gone,)))
    assert isinstance(failed, Failed)
    assert (failed.slug, failed.path) == ("recording-missing", gone)
    assert failed.message
    assert failed.hint


def test_a_time_outside_is_answered(reader):
    [failed] = reader.answers(PictureAt(12, 99_000_000))
    assert failed.slug == "time-outside"


def test_asking_before_opening_is_our_own_fault():
    with pytest.raises(ValueError, match="opened before"):
        list(RecordingReader().answers(PictureAt(13, 0)))


def test_all_messages_are_plain_and_survive_pickling(reader, path, tmp_path):
    requests = [
        OpenRecording(20, (path,)),
        OpenRecording(21, (str(tmp_path / "no.mp4"),)),
        OpenRecording(22, (path,)),
        PictureAt(23, 0, 64),
        PicturesIn(24, 0, 80_000),
        Cancel(25),
    ]
    messages = [*requests, *(answer for asked in requests for answer in reader.answers(asked))]
    assert len(messages) == 13
    for message in messages:
        assert_plain(message)
        assert pickle.loads(pickle.dumps(message)) == message
