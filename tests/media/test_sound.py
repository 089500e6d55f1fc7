"""The sound of recordings on their clock, to the sample; checked against the ffmpeg program."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from aftercase.media.parts import PartFacts
from aftercase.media.recording import open_recording
from aftercase.media.sound import BLOCK_FRAMES, SoundBlock, SoundTrack
from aftercase.media.soundout import RATE_HZ
from aftercase.media.soundstream import open_sound
from aftercase.media.tempo import stages

SECOND_US = 1_000_000
PICTURES_FPS = 25
CHUNK = 1024
LOUD = 12_000


def film_with_sound(
    path: Path,
    samples: np.ndarray,
    *,
    seconds: float,
    coding: str = "pcm_s16le",
    rate_hz: int = RATE_HZ,
    sound_at_s: float = 0.0,
    picture_at_s: float = 0.0,
    gap: tuple[int, float] | None = None,
) -> Path:
    """Write a film of grey pictures with a sound stream.

    Args:
        path: Where.
        samples: (moments, channels).
        seconds: Length of its picture.
        coding: Of the sound.
        rate_hz: Of the sound.
        sound_at_s: When the sound begins on the file's clock.
        picture_at_s: When the picture begins on the file's clock.
        gap: Sample before which the sound pauses, and for how many seconds.
    """
    layout = "mono" if samples.shape[1] == 1 else "stereo"
    with av.open(str(path), "w") as container:
        picture = container.add_stream("libx264", rate=PICTURES_FPS, options={"g": "25"})
        picture.width, picture.height, picture.pix_fmt = 64, 48, "yuv420p"
        sound = container.add_stream(coding, rate=rate_hz, layout=layout)
        packets = []
        grey = np.full((48, 64, 3), 128, np.uint8)
        for number in range(round(seconds * PICTURES_FPS)):
            frame = av.VideoFrame.from_ndarray(grey, format="rgb24")
            frame.pts = number + round(picture_at_s * PICTURES_FPS)
            frame.time_base = Fraction(1, PICTURES_FPS)
            packets += picture.encode(frame)
        packets += picture.encode()
        for first in range(0, len(samples), CHUNK):
            block = np.ascontiguousarray(samples[first : first + CHUNK]).reshape(1, -1)
            frame = av.AudioFrame.from_ndarray(block, format="s16", layout=layout)
            pause_s = gap[1] if gap is not None and first >= gap[0] else 0.0
            frame.sample_rate, frame.time_base = rate_hz, Fraction(1, rate_hz)
            frame.pts = first + round((sound_at_s + pause_s) * rate_hz)
            packets += sound.encode(frame)
        packets += sound.encode()
        packets.sort(key=lambda packet: packet.dts * packet.time_base)
        container.mux(packets)
    return path


def numbered(n_frames: int, first: int = 1) -> np.ndarray:
    """Sound whose every moment is its own number, from 1 on: silence is no moment."""
    numbers = np.arange(first, first + n_frames, dtype="<u4")
    return numbers.view("<i2").reshape(-1, 2)


def clicks(seconds: float, rate_hz: int = RATE_HZ) -> np.ndarray:
    """A tone of 440 Hz with a millisecond's click at each half second, in one channel."""
    moments = np.arange(round(seconds * rate_hz))
    tone = 1500 * np.sin(2 * np.pi * 440 * moments / rate_hz)
    tone[moments % (rate_hz // 2) < rate_hz // 1000] = 24_000
    return tone.astype(np.int16).reshape(-1, 1)


def bursts(seconds: float) -> tuple[np.ndarray, list[float]]:
    """Noise in bursts of a tenth of a second at odd times, like speech; and when they begin."""
    chance = np.random.default_rng(4)
    sound = chance.normal(0, 60, round(seconds * RATE_HZ))
    starts_s = np.cumsum(chance.uniform(0.35, 0.65, int(2 * seconds))).tolist()
    starts_s = [start_s for start_s in starts_s if start_s < seconds - 0.3]
    for start_s in starts_s:
        first = round(start_s * RATE_HZ)
        sound[first : first + RATE_HZ // 10] = chance.normal(0, 5000, RATE_HZ // 10)
    return sound.clip(-32000, 32000).astype(np.int16).reshape(-1, 1), starts_s


def chord(seconds: float, rate_hz: int) -> np.ndarray:
    """Four rising tones, other ones left and right, that fill the scale to three quarters."""
    moments_s = np.arange(round(seconds * rate_hz)) / rate_hz
    rising = [np.sin(2 * np.pi * (f + 40 * moments_s) * moments_s) for f in range(200, 3400, 400)]
    sides = [sum(rising[0::2]), sum(rising[1::2])]
    return (np.stack(sides, axis=1) * 6000).astype(np.int16)


def track_of(*paths: Path) -> SoundTrack:
    return SoundTrack(facts_of(*paths))


def facts_of(*paths: Path) -> tuple[PartFacts, ...]:
    with open_recording(paths) as recording:
        return recording.facts


def joined(blocks: Iterable[SoundBlock]) -> np.ndarray:
    """All sound of some blocks, (moments, 2)."""
    return np.frombuffer(b"".join(block.pcm for block in blocks), "<i2").reshape(-1, 2)


def heard(track: SoundTrack, at_us: int, seconds: float, rate: float = 1.0) -> np.ndarray:
    """What is heard of a track for some seconds, (moments, 2)."""
    n_blocks = -(-round(seconds * RATE_HZ) // BLOCK_FRAMES)
    taken = [block for block, _ in zip(track.blocks(at_us, rate), range(n_blocks), strict=False)]
    return joined(taken)[: round(seconds * RATE_HZ)]


def numbers_in(samples: np.ndarray) -> list[int]:
    return np.ascontiguousarray(samples).view("<u4").ravel().tolist()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("sounds")


@pytest.fixture(scope="module")
def exact(folder: Path) -> Path:
    """Four seconds of numbered sound that is coded without loss."""
    return film_with_sound(folder / "exact.mov", numbered(4 * RATE_HZ), seconds=4)


# What there is nothing to be heard of ------------------------------------------------------


def test_a_recording_without_sound_gives_nothing(tmp_path: Path, film_maker: Callable[..., Path]):
    track = track_of(film_maker("mute.mp4", 25))
    assert not track.has_sound()
    assert list(track.blocks(0)) == []


def test_no_parts_give_nothing():
    assert list(SoundTrack(()).blocks(0)) == []


def test_nothing_is_heard_at_the_end(exact: Path):
    assert list(track_of(exact).blocks(4 * SECOND_US)) == []


# Right to the sample -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("at_us", "number"),
    [
        (0, 1),
        (10, 1),  # samples are 20.83 microseconds apart: the first is the nearest
        (11, 2),
        (1_000_000, 48_001),
        (2_345_678, 112_594),  # 2.345678 * 48000 = 112592.54
        (3_999_979, 192_000),
    ],
)
def test_sound_begins_on_the_very_sample(exact: Path, at_us: int, number: int):
    numbers = numbers_in(joined(track_of(exact).blocks(at_us)))
    n_left = 4 * RATE_HZ + 1 - number
    assert numbers[:n_left] == list(range(number, 4 * RATE_HZ + 1))
    assert numbers[n_left:] in ([], [0])  # the last may be nearest to where the film is over


def test_blocks_are_of_equal_length_and_say_which_moment_they_are_of(exact: Path):
    blocks = list(track_of(exact).blocks(1_000_000))
    assert {len(block.pcm) // 4 for block in blocks} == {BLOCK_FRAMES}
    assert [block.at_us for block in blocks] == list(range(1_000_000, 4_000_000, 50_000))


def test_before_the_recording_it_is_silent(exact: Path):
    assert numbers_in(heard(track_of(exact), -500_000, 0.6))[23_999:24_002] == [0, 1, 2]


def test_a_track_may_be_begun_anywhere_again_and_again(exact: Path):
    track = track_of(exact)
    for second in (3, 1, 2, 0, 3):
        assert numbers_in(heard(track, second * SECOND_US, 0.1))[0] == second * RATE_HZ + 1
    track.close()


def test_sound_that_begins_after_the_picture_is_awaited_in_silence(folder: Path):
    film = film_with_sound(folder / "later.mov", numbered(RATE_HZ), seconds=2, sound_at_s=0.3)
    numbers = numbers_in(joined(track_of(film).blocks(0)))
    assert numbers[:14_400] == [0] * 14_400
    assert numbers[14_400:62_400] == list(range(1, RATE_HZ + 1))
    assert numbers[62_400:] == [0] * (2 * RATE_HZ - 62_400)


def test_sound_that_begins_before_the_picture_is_cut(folder: Path):
    film = film_with_sound(
        folder / "earlier.mkv", numbered(3 * RATE_HZ), seconds=2, picture_at_s=0.4
    )
    numbers = numbers_in(joined(track_of(film).blocks(0)))
    assert numbers == list(range(19_201, 19_201 + 2 * RATE_HZ))


def test_a_gap_in_the_sound_is_silent_and_what_follows_is_in_its_place(folder: Path):
    film = film_with_sound(
        folder / "gap.mkv", numbered(2 * RATE_HZ), seconds=4, gap=(40 * CHUNK, 0.5)
    )
    numbers = np.array(numbers_in(joined(track_of(film).blocks(0))))
    before, after = 40 * CHUNK, 40 * CHUNK + RATE_HZ // 2
    assert numbers[:before].tolist() == list(range(1, before + 1))
    # This container's stamps are whole milliseconds, 48 samples.
    silent = np.flatnonzero(numbers[: after + 100] == 0)
    assert (silent[0], len(silent)) == (before, pytest.approx(RATE_HZ // 2, abs=48))
    assert numbers[after + 100] == pytest.approx(before + 101, abs=48)
    inside_us = round((before + RATE_HZ // 4) / RATE_HZ * SECOND_US)
    assert not heard(track_of(film), inside_us, 0.2).any()


@pytest.mark.parametrize(
    ("name", "coding", "rate_hz", "most_off"),
    [
        ("aac.mp4", "aac", 48_000, 1),
        ("aac44.mp4", "aac", 44_100, 1),
        ("ac3.ts", "ac3", 48_000, 1),
        ("mp2.mpg", "mp2", 44_100, 1),
        ("flac.mkv", "flac", 48_000, 0),
        ("pcm.avi", "pcm_s16le", 32_000, 1),
        # Here stamps are whole milliseconds, and these codings begin between two.
        ("mp3.mkv", "mp3", 44_100, 48),
        ("opus.mkv", "libopus", 48_000, 48),
    ],
)
def test_clicks_of_one_channel_are_heard_on_both_and_where_they_are(
    folder: Path, name: str, coding: str, rate_hz: int, most_off: int
):
    film = film_with_sound(
        folder / name, clicks(6, rate_hz), seconds=6, coding=coding, rate_hz=rate_hz
    )
    track = track_of(film)
    for at_us in (0, 2_300_000):
        sound = heard(track, at_us, 3).astype(int)
        assert (sound[:, 0] == sound[:, 1]).all()
        loud = np.flatnonzero(sound[:, 0] > LOUD)
        begun = loud[np.diff(loud, prepend=-RATE_HZ) > RATE_HZ // 10]
        wanted = np.arange(-at_us % 500_000, 3_000_000, 500_000) * RATE_HZ / SECOND_US
        assert len(begun) == len(wanted)
        assert np.abs(begun - wanted).max() <= most_off


@pytest.mark.parametrize(
    ("name", "coding"),
    [("l.mp4", "aac"), ("l.mkv", "mp3"), ("l.ts", "mp2"), ("l.mpg", "mp2"), ("l.avi", "pcm_s16le")],
)
def test_a_file_is_entered_shortly_before_the_moment(folder: Path, name: str, coding: str):
    film = film_with_sound(folder / name, clicks(60), seconds=60, coding=coding)
    stream = open_sound(str(film))
    assert stream is not None
    for second in (50, 20, 55):
        first = next(stream.pieces_from(Fraction(second)))
        assert second - 5 < first.at_s <= second - Fraction(1, 4)
    stream.close()


# Parts -------------------------------------------------------------------------------------


def test_parts_are_joined_on_the_sample(folder: Path, exact: Path):
    # 51 pictures, 2.04 s; its sound is longer and is cut at the joint.
    first = film_with_sound(
        folder / "first.mov", numbered(3 * RATE_HZ, 1_000_001), seconds=51 / PICTURES_FPS
    )
    numbers = numbers_in(joined(track_of(first, exact).blocks(0)))
    assert numbers[:97_920] == list(range(1_000_001, 1_097_921))
    assert numbers[97_920:] == list(range(1, 4 * RATE_HZ + 1))


def test_a_part_that_is_missing_or_mute_is_silent_and_keeps_its_place(
    exact: Path, film_maker: Callable[..., Path]
):
    mute = film_maker("mute.mp4", 25)
    first, second, third, fourth = facts_of(exact, mute, exact, exact)
    parts = (first, second, replace(third, path="/nowhere/gone.mov"), fourth)
    numbers = numbers_in(joined(SoundTrack(parts).blocks(3_900_000)))
    assert numbers[:4_800] == list(range(187_201, 192_001))
    assert set(numbers[4_800 : 4_800 + 5 * RATE_HZ]) == {0}
    assert numbers[4_800 + 5 * RATE_HZ :] == list(range(1, 4 * RATE_HZ + 1))


def test_where_stamps_restart_within_a_file_it_is_silent(folder: Path):
    stream = film_with_sound(folder / "once.ts", clicks(3), seconds=3, coding="mp2")
    twice = folder / "twice.ts"
    twice.write_bytes(stream.read_bytes() * 2)
    assert track_of(stream).has_sound()
    [facts] = facts_of(twice)
    assert facts.duration_us == pytest.approx(6 * SECOND_US, abs=200_000)
    assert not SoundTrack([facts]).has_sound()


def test_damaged_sound_is_as_long_as_it_was(folder: Path):
    film = film_with_sound(folder / "whole.mkv", clicks(6), seconds=6, coding="mp3")
    facts = facts_of(film)
    content = bytearray(film.read_bytes())
    chance = np.random.default_rng(1)
    for place in chance.integers(len(content) // 4, len(content) * 3 // 4, 200):
        content[place] ^= 0xFF
    broken = film.with_name("broken.mkv")
    broken.write_bytes(content)
    sound = joined(SoundTrack([replace(facts[0], path=str(broken))]).blocks(0))
    assert len(sound) == 6 * RATE_HZ
    assert np.abs(sound[:RATE_HZ]).max() > LOUD


# Speeds ------------------------------------------------------------------------------------


@pytest.mark.parametrize("rate", [0.25, 0.4, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0])
def test_the_stages_of_a_speed_make_it_and_each_is_within_a_half_and_two(rate: float):
    made = stages(rate)
    assert np.prod(made) == pytest.approx(rate)
    assert all(0.5 <= stage <= 2 for stage in made)


@pytest.mark.parametrize("rate", [0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 4.0])
def test_at_other_speeds_the_pitch_is_kept_and_the_length_is_not(folder: Path, rate: float):
    film = folder / "tone.mov"
    if not film.exists():
        tone = 8000 * np.sin(2 * np.pi * 440 * np.arange(8 * RATE_HZ) / RATE_HZ)
        film_with_sound(film, tone.astype(np.int16).reshape(-1, 1), seconds=8)
    sound = joined(track_of(film).blocks(0, rate))[:, 0].astype(float)
    assert len(sound) == pytest.approx(8 * RATE_HZ / rate, abs=0.15 * RATE_HZ)
    middle = sound[RATE_HZ // 4 : RATE_HZ // 4 + RATE_HZ]
    spectrum = np.abs(np.fft.rfft(middle * np.hanning(len(middle))))
    assert int(spectrum.argmax()) == pytest.approx(440, abs=2)  # bins of 1 Hz


@pytest.mark.parametrize("rate", [0.25, 0.5, 0.75, 1.0, 1.5, 2.0])
def test_at_other_speeds_sound_stays_within_40_ms_of_its_moment(folder: Path, rate: float):
    sound, starts_s = bursts(20)
    film = folder / "bursts.mov"
    if not film.exists():
        film_with_sound(film, sound, seconds=20)
    at_us = 3_000_000
    made = joined(track_of(film).blocks(at_us, rate))[:, 0].astype(float)
    # Loudness by half milliseconds; a burst begins where it rises beyond a quarter.
    loudness = np.abs(made[: len(made) // 24 * 24]).reshape(-1, 24).mean(axis=1) > 1000
    begun = np.flatnonzero(loudness & ~np.roll(loudness, 1))
    moments_s = at_us / SECOND_US + begun * 24 / RATE_HZ * rate
    wanted = [start_s for start_s in starts_s if start_s > 3.1]
    nearest = [moments_s[np.abs(moments_s - start_s).argmin()] - start_s for start_s in wanted]
    assert len(wanted) > 25
    assert np.abs(nearest).max() < 0.040


def test_at_another_speed_blocks_say_which_moment_they_are_of(exact: Path):
    blocks = list(track_of(exact).blocks(0, 2.0))
    assert [block.at_us for block in blocks[:4]] == [0, 100_000, 200_000, 300_000]


# Against another program ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "coding", "rate_hz", "most_off"),
    [
        ("flac.mkv", "flac", 48_000, 0),
        ("aac.mp4", "aac", 48_000, 4),
        ("pcm44.mov", "pcm_s16le", 44_100, 800),  # resampled on grids a part of a sample apart
    ],
)
@pytest.mark.parametrize("at_s", ["0", "1.5", "2.34"])
def test_the_ffmpeg_program_decodes_the_same_stretch(
    folder: Path,
    run_ffmpeg: Callable[..., None],
    name: str,
    coding: str,
    rate_hz: int,
    most_off: int,
    at_s: str,
):
    film = folder / f"outside-{name}"
    if not film.exists():
        sounding = chord(5, rate_hz)
        film_with_sound(film, sounding, seconds=5, coding=coding, rate_hz=rate_hz)
    raw = folder / f"outside-{name}-{at_s}.raw"
    form = ["-f", "s16le", "-ar", str(RATE_HZ), "-ac", "2"]
    run_ffmpeg("-ss", at_s, "-i", str(film), "-t", "2", "-vn", *form, str(raw))
    theirs = np.fromfile(raw, "<i2").reshape(-1, 2).astype(int)
    ours = heard(track_of(film), round(Fraction(at_s) * SECOND_US), 2).astype(int)
    assert theirs.shape == ours.shape == (2 * RATE_HZ, 2)
    assert np.abs(theirs - ours).max() <= most_off
    assert np.abs(theirs[1:] - ours[:-1]).max() > 6000  # so much is one sample


def test_sound_is_only_read_from_files_that_are_films(tmp_path: Path, exact: Path):
    playlist = tmp_path / "list.mp4"
    playlist.write_text(f"ffconcat version 1.0\nfile {exact}\n", encoding="utf-8")
    [facts] = facts_of(exact)
    parts: Sequence[PartFacts] = [replace(facts, path=str(playlist))]
    assert not SoundTrack(parts).has_sound()
