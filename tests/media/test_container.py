import os
from fractions import Fraction

import pytest

from aftercase.errors import (
    AftercaseError,
    RecordingMissing,
    RecordingRefused,
    RecordingUnreadable,
)
from aftercase.media.container import fraction_of, open_film
from aftercase.media.kinds import KINDS, kind_of


@pytest.fixture
def real_film(made):
    return made("25_closed").path


def refusal(path) -> AftercaseError:
    with pytest.raises(AftercaseError) as caught:
        open_film(path)
    assert caught.value.path == os.path.abspath(path)
    assert caught.value.hint
    return caught.value


@pytest.mark.parametrize("name", ["list.mp4", "list.ffconcat", "list.txt", "list.mkv"])
def test_a_list_of_films_is_refused_whatever_it_is_called(tmp_path, real_film, name):
    path = tmp_path / name
    path.write_text(f"ffconcat version 1.0\nfile '{real_film}'\n")
    assert type(refusal(path)) is RecordingRefused


@pytest.mark.parametrize("name", ["play.mp4", "play.m3u8", "play.ts"])
def test_a_playlist_is_refused_whatever_it_is_called(tmp_path, real_film, name):
    path = tmp_path / name
    path.write_text(
        f"#EXTM3U\n#EXT-X-VERSION:3\n#EXT-X-TARGETDURATION:4\n#EXTINF:4,\n{real_film}\n"
        "#EXT-X-ENDLIST\n"
    )
    assert type(refusal(path)) is RecordingRefused


@pytest.mark.parametrize("name", ["dash.mp4", "dash.mpd"])
def test_a_streaming_description_is_refused(tmp_path, real_film, name):
    path = tmp_path / name
    path.write_text(
        '<?xml version="1.0"?><MPD xmlns="urn:mpeg:dash:schema:mpd:2011" type="static">'
        f"<Period><AdaptationSet><Representation><BaseURL>{real_film}</BaseURL>"
        "</Representation></AdaptationSet></Period></MPD>"
    )
    assert type(refusal(path)) is RecordingRefused


def test_a_series_of_pictures_is_refused(tmp_path):
    from PIL import Image

    for number in range(3):
        Image.new("RGB", (32, 32)).save(tmp_path / f"p{number}.png")
    assert type(refusal(tmp_path / "p0.png")) is RecordingRefused
    assert type(refusal(tmp_path / "p%d.png")) is RecordingMissing


def test_a_text_is_refused(tmp_path):
    path = tmp_path / "notes.mp4"
    path.write_text("Dear colleague, here is the film.\n" * 50)
    assert type(refusal(path)) is RecordingRefused


def test_a_missing_file_is_missing(tmp_path):
    assert type(refusal(tmp_path / "no.mp4")) is RecordingMissing


def test_a_folder_is_refused(tmp_path):
    assert type(refusal(tmp_path)) is RecordingRefused


def test_a_pipe_is_refused_without_waiting_for_it(tmp_path):
    path = tmp_path / "pipe.mp4"
    os.mkfifo(path)
    assert type(refusal(path)) is RecordingRefused


def test_an_empty_file_is_unreadable(tmp_path):
    path = tmp_path / "empty.mp4"
    path.touch()
    assert type(refusal(path)) is RecordingUnreadable


def test_a_film_the_recorder_did_not_finish_is_unreadable(tmp_path, real_film):
    path = tmp_path / "unfinished.mp4"
    path.write_bytes(real_film.read_bytes()[:9000])
    assert type(refusal(path)) is RecordingUnreadable


def test_sound_alone_is_unreadable(tmp_path, run_ffmpeg):
    path = tmp_path / "sound.mp4"
    run_ffmpeg("-f", "lavfi", "-i", "sine=d=1", path)
    assert type(refusal(path)) is RecordingUnreadable


def test_a_web_address_is_a_missing_file():
    with pytest.raises(RecordingMissing):
        open_film("http://127.0.0.1:9/film.mp4")


@pytest.mark.parametrize("name", ["10:30 case.mp4", "Öp 手術 #1 100%.mp4", "concat:a|b.mp4"])
def test_awkward_names_open(tmp_path, real_film, name, monkeypatch):
    (tmp_path / name).write_bytes(real_film.read_bytes())
    monkeypatch.chdir(tmp_path)
    film = open_film(name)
    assert film.kind.name == "MP4"
    film.close()


def test_a_name_that_is_not_text_opens(tmp_path, real_film):
    path = os.path.join(os.fsencode(tmp_path), b"case\xff.mp4")
    with open(path, "wb") as copy:
        copy.write(real_film.read_bytes())
    open_film(os.fsdecode(path)).close()


def test_the_content_decides_and_not_the_name(tmp_path, real_film):
    path = tmp_path / "film.txt"
    path.write_bytes(real_film.read_bytes())
    film = open_film(path)
    assert film.kind.name == "MP4"
    film.close()


@pytest.mark.parametrize("format_name", ["concat", "hls", "dash", "image2", "lavfi", "tty", "sdp"])
def test_formats_that_lead_elsewhere_are_in_no_kind(format_name):
    assert kind_of(format_name) is None


def test_no_demuxer_belongs_to_two_kinds():
    names = [name for kind in KINDS for name in kind.demuxers]
    assert len(names) == len(set(names))


def test_an_unset_rational_is_none_in_old_and_new_libraries():
    class Rational:  # as given since version 19: unset is 0/1 and falsy
        numerator, denominator = 0, 1

        def __bool__(self):
            return bool(self.numerator)

    assert fraction_of(None) is None
    assert fraction_of(Rational()) is None
    assert fraction_of(Fraction(30000, 1001)) == Fraction(30000, 1001)
