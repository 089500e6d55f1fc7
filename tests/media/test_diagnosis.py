"""Files that no program opens, made by hand or by an encoder, and what is said of each."""

from __future__ import annotations

import io
import itertools
import random
import zipfile
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from aftercase.errors import AftercaseError, RecordingRefused, RecordingUnreadable
from aftercase.media.container import open_film
from aftercase.media.diagnosis import boxes, diagnosis, protection

Encoded = Callable[..., Path]


def encode(path: Path, **options: str) -> Path:
    with av.open(str(path), "w", options=options) as container:
        stream = container.add_stream("mpeg2video" if path.suffix != ".mp4" else "libx264", rate=25)
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
        for number in range(40):
            noise = np.random.default_rng(number).integers(0, 255, (48, 64, 3), np.uint8)
            frame = av.VideoFrame.from_ndarray(noise, format="rgb24")
            frame.pts, frame.time_base = number, Fraction(1, 25)
            container.mux(stream.encode(frame))
        container.mux(stream.encode())
    return path


def said_of(path: Path) -> AftercaseError:
    with pytest.raises((RecordingRefused, RecordingUnreadable)) as told:
        open_film(path)
    assert told.value.hint
    return told.value


def written(path: Path, content: bytes) -> Path:
    path.write_bytes(content)
    return path


def test_a_file_of_no_bytes_is_empty(tmp_path: Path) -> None:
    assert "empty" in said_of(written(tmp_path / "a.mp4", b"")).message


def test_a_file_of_zeros_was_reserved_and_never_filled(tmp_path: Path) -> None:
    error = said_of(written(tmp_path / "a.mp4", bytes(300_000)))
    assert isinstance(error, RecordingUnreadable)
    assert "zeros" in error.message


def test_a_film_without_its_table_says_what_can_be_saved(tmp_path: Path) -> None:
    whole = encode(tmp_path / "whole.mp4").read_bytes()
    table = whole.index(b"moov") - 4
    error = said_of(written(tmp_path / "a.mp4", whole[:table]))
    assert isinstance(error, RecordingUnreadable)
    assert "did not finish" in error.message
    assert "card" in error.hint
    # A recorder that lost power has often not even written how long its pictures are.
    start = whole.index(b"mdat") - 4
    open_ended = whole[:start] + bytes(4) + whole[start + 4 : table]
    assert said_of(written(tmp_path / "b.mp4", open_ended)).message == error.message


def test_a_copy_that_was_cut_says_how_much_is_here(tmp_path: Path) -> None:
    whole = encode(tmp_path / "whole.mp4").read_bytes()
    cut = whole[: (whole.index(b"mdat") + whole.index(b"moov")) // 2]
    error = said_of(written(tmp_path / "a.mp4", cut))
    assert "cut short" in error.message
    assert str(len(cut)) in error.message


def picture_file(form: str) -> bytes:
    buffer = io.BytesIO()
    Image.new("RGB", (8, 8), (200, 30, 30)).save(buffer, form)
    return buffer.getvalue()


def packed(locked: bool) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("film.mp4", b"x" * 1000)
    content = bytearray(buffer.getvalue())
    content[6] |= locked  # general purpose flag 0: encrypted (APPNOTE 4.4.4)
    return bytes(content)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (picture_file("JPEG"), "JPEG"),
        (picture_file("PNG"), "PNG"),
        (picture_file("GIF"), "GIF"),
        (picture_file("BMP"), "BMP"),
        (picture_file("TIFF"), "TIFF"),
        (packed(False), "a packed file (ZIP)."),
        (packed(True), "locked with a password"),
        (b"%PDF-1.7\n" + bytes(500), "PDF"),
        (bytes(128) + b"DICM" + bytes(300), "DICOM"),
        (b"ffconcat version 1.0\nfile other.mp4\n", "a text"),
        ("Größe: 手術\n".encode() * 60, "a text"),
        (b"MZ" + bytes([0x90]) * 400, "a program"),
    ],
    ids=lambda value: None if isinstance(value, bytes) else value,
)
def test_what_is_no_film_is_named(tmp_path: Path, content: bytes, words: str) -> None:
    error = said_of(written(tmp_path / "film.mp4", content))
    assert isinstance(error, RecordingRefused)
    assert words in error.message


def test_bytes_without_sense_are_refused_without_a_guess(tmp_path: Path) -> None:
    content = bytes([0xC1]) + random.Random(4).randbytes(5000)
    assert "not a film of a kind" in said_of(written(tmp_path / "a.mp4", content)).message


def test_an_encrypted_film_opens_nowhere_though_its_table_is_whole(tmp_path: Path) -> None:
    path = encode(
        tmp_path / "a.mp4",
        encryption_scheme="cenc-aes-ctr",
        encryption_key="76a6c65c5ea762046bd749a2e632ccbb",
        encryption_kid="a7e61c373e219033c21091fa607bf3b8",
    )
    assert b"encv" in path.read_bytes()
    assert "encrypted" in said_of(path).message


def test_scrambled_streams_say_so(tmp_path: Path) -> None:
    plain = encode(tmp_path / "plain.ts").read_bytes()
    scrambled = bytearray(plain)
    for packet in range(0, len(plain), 188):
        scrambled[packet + 3] |= 0x80  # transport_scrambling_control (13818-1, table 2-4)
    open_film(tmp_path / "plain.ts").close()
    assert "encrypted" in said_of(written(tmp_path / "a.ts", bytes(scrambled))).message


def test_a_protected_disc_says_so(tmp_path: Path) -> None:
    plain = encode(tmp_path / "plain.vob").read_bytes()
    open_film(tmp_path / "plain.vob").close()
    scrambled = bytearray(plain)
    at = -1
    while (at := plain.find(b"\x00\x00\x01\xe0", at + 1)) >= 0:
        scrambled[at + 6] |= 0x10  # PES_scrambling_control (13818-1, table 2-23)
    assert "encrypted" in said_of(written(tmp_path / "a.vob", bytes(scrambled))).message


def test_a_coding_without_a_decoder_is_named_by_its_letters(tmp_path: Path) -> None:
    whole = encode(tmp_path / "whole.mp4").read_bytes()
    error = said_of(written(tmp_path / "a.mp4", whole.replace(b"avc1", b"zzzz")))
    assert isinstance(error, RecordingUnreadable)
    assert "“zzzz”" in error.message


def test_sound_alone_is_no_moving_picture(tmp_path: Path) -> None:
    path = tmp_path / "a.mp4"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("aac", rate=8000, layout="mono")
        frame = av.AudioFrame.from_ndarray(np.zeros((1, 1024), np.float32), "fltp", "mono")
        frame.rate = 8000
        container.mux(stream.encode(frame))
        container.mux(stream.encode())
    assert "no moving picture" in said_of(path).message


def test_a_whole_film_has_nothing_wrong(tmp_path: Path) -> None:
    content = encode(tmp_path / "a.mp4").read_bytes()

    def read_at(start: int, length: int) -> bytes:
        return content[start : start + length]

    assert protection(read_at, len(content)) is diagnosis(read_at, len(content)) is None
    kinds = [box.kind for box in boxes(read_at, 0, len(content))]
    assert kinds == [b"ftyp", b"free", b"mdat", b"moov"]
    assert sum(box.size for box in boxes(read_at, 0, len(content))) == len(content)


def test_no_broken_box_makes_the_walk_fail_or_go_on_for_ever(tmp_path: Path) -> None:
    whole = encode(tmp_path / "a.mp4").read_bytes()
    start = whole.index(b"moov") - 4
    chance = random.Random(8)
    nested = b"".join((8 * (500 - n)).to_bytes(4) + b"moov" for n in range(500))
    broken = [bytes(8) + b"ftyp", b"\x00\x00\x00\x01mdat", nested]
    for _ in range(200):
        changed = bytearray(whole)
        for _ in range(5):
            changed[chance.randrange(start, len(whole))] = chance.randrange(256)
        broken.append(bytes(changed))
    for content in itertools.chain(broken, (whole[:length] for length in range(0, 200, 7))):
        diagnosis(lambda at, length, held=content: held[at : at + length], len(content))
