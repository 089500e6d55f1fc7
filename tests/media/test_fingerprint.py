import hashlib
from dataclasses import replace

import pytest

from aftercase.errors import RecordingMissing
from aftercase.media.fingerprint import full_sha256, identity_of, quick_hash, same_film
from aftercase.media.recording import open_recording
from aftercase.media.watch import Watch, WorkCancelled


@pytest.fixture
def plain_film(made):
    return made("25_closed").path


@pytest.fixture
def recording(plain_film):
    with open_recording([plain_film]) as opened:
        yield opened


@pytest.fixture
def facts(recording):
    return recording.facts[0]


def test_the_whole_hash_is_the_files_sha256(plain_film):
    assert full_sha256(str(plain_film)) == hashlib.sha256(plain_film.read_bytes()).hexdigest()


def test_the_whole_hash_tells_its_progress_and_can_be_stopped(plain_film):
    told = []
    full_sha256(str(plain_film), Watch(progress=lambda done, total: told.append((done, total))))
    assert told[-1] == (plain_film.stat().st_size, plain_film.stat().st_size)
    with pytest.raises(WorkCancelled):
        full_sha256(str(plain_film), Watch(cancelled=lambda: True))


def test_the_quick_hash_follows_both_ends_the_size_and_the_times(
    plain_film, tmp_path, recording, made
):
    table = recording.table(0)
    content = plain_film.read_bytes() + bytes(3_000_000)
    hashes = []
    for n, changed in enumerate((content, b"x" + content[1:], content[:-1] + b"x", content + b"x")):
        path = tmp_path / f"{n}.mp4"
        path.write_bytes(changed)
        hashes.append(quick_hash(identity_of(str(path)), table))
    with open_recording([made("2997_long_groups").path]) as other:
        hashes.append(quick_hash(identity_of(str(tmp_path / "0.mp4")), other.table(0)))
    assert len(set(hashes)) == 5


def test_the_quick_hash_does_not_see_the_middle_which_is_why_it_proves_nothing(tmp_path, recording):
    content = bytearray(5_000_000)
    hashes = []
    for value in (0, 1):
        content[2_500_000] = value
        path = tmp_path / f"{value}.mp4"
        path.write_bytes(content)
        hashes.append(quick_hash(identity_of(str(path)), recording.table(0)))
    assert hashes[0] == hashes[1]


def test_a_copy_elsewhere_has_the_same_quick_hash(plain_film, tmp_path, facts):
    copy = tmp_path / "copy.mp4"
    copy.write_bytes(plain_film.read_bytes())
    with open_recording([copy]) as opened:
        assert opened.facts[0].quick_hash == facts.quick_hash


@pytest.mark.parametrize("hashing", [full_sha256, identity_of])
def test_a_film_that_is_gone_is_missing(tmp_path, hashing):
    with pytest.raises(RecordingMissing):
        hashing(str(tmp_path / "no.mp4"))


def test_only_the_whole_hash_proves_a_film_the_same(facts):
    proven = replace(facts, sha256="a" * 64)
    assert same_film(facts, facts).verdict == "alike"
    assert same_film(proven, facts).verdict == "alike"
    assert same_film(proven, proven).verdict == "same"


def test_what_changed_is_said(facts):
    found = replace(facts, size_bytes=5, quick_hash="b", sha256="c" * 64, width_px=9)
    comparison = same_film(replace(facts, sha256="d" * 64), found)
    assert comparison.verdict == "changed"
    assert len(comparison.changes) == 4
    assert comparison.changes[0] == f"the size in bytes was {facts.size_bytes}, now 5"
