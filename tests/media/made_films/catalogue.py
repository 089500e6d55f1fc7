"""Every kind of film the reader is tried on: how it is made, what it is, how its truth is known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial
from pathlib import Path

from made_films import clocks, codings, damage, streams
from made_films.clocks import dropped_stamps, held_stamps, slowing_stamps
from made_films.making import encode, even
from made_films.store import kept

N29, N59 = Fraction(1001, 30000), Fraction(1001, 60000)
TICK = Fraction(1, 90000)

RESTARTS = "ffprobe gives the restarting clock's own stamps"
NO_STAMPS = "the file says no times"
ONE_OR_TWO = range(1, 3)


@dataclass(frozen=True)
class Plan:
    """A film made with PyAV alone, whose true stamps are those it was made with."""

    says: str
    stamps: tuple[int, ...]
    time_base: Fraction
    options: dict[str, str] = field(default_factory=dict)

    def make(self, folder: Path) -> Path:
        return encode(folder / "film.mp4", self.stamps, self.time_base, options=self.options)


@dataclass(frozen=True)
class Kind:
    """A film made with the ffmpeg program.

    `stream` is the one that is the film. Where `even_us` is given, picture k is shown at
    k * even_us because the film was made so, and `because` says why ffprobe cannot tell.
    `losses` is how many pictures the container has a packet of that nobody can decode; those of
    `hurt` films may be wrong in part. Where `converted`, the ffmpeg program turns all pictures
    into the first one's format before it sums up their planes.
    """

    says: str
    make: Callable[[Path], Path]
    stream: int = 0
    even_us: int | None = None
    because: str = ""
    losses: range = range(1)
    hurt: bool = False
    converted: bool = False


PLANS = {
    "25_closed": Plan("25 a second, closed groups of 12, 2 B pictures", even(100), Fraction(1, 25)),
    "2997_long_groups": Plan(
        "29.97 a second, groups of 90, B pictures that others refer to",
        even(150),
        N29,
        {"g": "90", "bf": "3", "b-pyramid": "normal"},
    ),
    "5994": Plan("59.94 a second", even(120), N59, {"g": "30", "bf": "3"}),
    "variable_drops": Plan("recorder drops frames: steps of 1, 2, 3, 6", dropped_stamps(90), TICK),
    "variable_60_then_15": Plan("rate falls from 60 to 15 half way", slowing_stamps(90), TICK),
    "late_start": Plan("first stamp is 1.5 s", even(75, 1001, 45045), Fraction(1, 30000)),
    "no_b_frames": Plan("no B pictures", even(60), Fraction(1, 25), {"bf": "0", "g": "10"}),
    "one_frame": Plan("a single picture", (0,), Fraction(1, 25)),
    "long_hold": Plan("one picture stays 20 s", held_stamps(60), Fraction(1, 25)),
}

KINDS = {
    "ms_rounding": Kind("Matroska, 29.97 a second in whole milliseconds", clocks.ms_rounding),
    "open_group_h264": Kind("H.264, open groups", codings.open_group_h264),
    "open_group_hevc": Kind("HEVC, open groups", codings.open_group_hevc),
    "open_group_hevc_ts": Kind("the same in a transport stream", codings.open_group_hevc_ts),
    "edit_list_cut": Kind("MP4 cut by copying inside a group", clocks.edit_list_cut),
    "edit_list_delay": Kind("MP4, picture 1.5 s after the sound", clocks.edit_list_delay),
    "edit_list_of_two": Kind("MP4 that shows two pieces of itself", clocks.edit_list_of_two),
    "negative_start": Kind(
        "Matroska, starts at -0.5 s",
        clocks.negative_start,
        even_us=40_000,
        because="ffprobe 5.1 leaves out stamps before zero",
    ),
    "ts_late": Kind("transport stream that starts at one hour", clocks.ts_late),
    "ts_wrap": Kind("the 33-bit clock wraps inside", clocks.ts_wrap),
    "ts_clock_restarts": Kind(
        "two takes joined, same clock again", clocks.ts_clock_restarts, 0, 40_000, RESTARTS
    ),
    "ts_clock_jumps": Kind(
        "two takes joined, ten minutes apart", clocks.ts_clock_jumps, 0, 40_000, RESTARTS
    ),
    "ts_same_twice": Kind(
        "the same take twice, byte for byte", clocks.ts_same_twice, 0, 40_000, RESTARTS
    ),
    "ps_clock_restarts": Kind(
        "program stream of two takes", clocks.ps_clock_restarts, 0, 40_000, RESTARTS
    ),
    "ts_no_key_at_start": Kind("begins inside a group", damage.no_key_at_start),
    "ts_hole": Kind("6 % missing in one piece", damage.hole, hurt=True),
    "program_stream": Kind("MPEG-2 program stream", codings.program_stream),
    "mpeg1_program_stream": Kind("MPEG-1 program stream", codings.mpeg1_program_stream),
    "mpeg2_interlaced": Kind("MPEG-2, interlaced, open groups", codings.mpeg2_interlaced),
    "h264_interlaced": Kind("H.264, interlaced", codings.h264_interlaced),
    "camcorder_interlaced": Kind(
        "camcorder's stream, 59.94 fields, open groups", codings.camcorder_interlaced
    ),
    "avi_b_frames": Kind("AVI with B pictures: no display stamps", codings.avi_b_frames),
    "avi_h264": Kind("H.264 in AVI", codings.avi_h264, even_us=40_000, because=NO_STAMPS),
    "packed_b_frames": Kind(
        "AVI, two pictures in a packet", codings.packed_b_frames, even_us=40_000, because=NO_STAMPS
    ),
    "avi_without_index": Kind("AVI cut off, no index", damage.avi_without_index, losses=ONE_OR_TWO),
    "faststart_cut": Kind("MP4 cut off after its index", damage.faststart_cut, losses=ONE_OR_TWO),
    "fragmented": Kind("MP4 in fragments", damage.fragmented),
    "fragmented_cut": Kind("MP4 in fragments, cut off", damage.fragmented_cut, losses=ONE_OR_TWO),
    "mkv_cut": Kind("Matroska cut off", damage.mkv_cut),
    "damaged_middle": Kind("5 % overwritten", damage.damaged_middle, losses=range(1, 8), hurt=True),
    "open_group_part": Kind("part that begins in an open group", damage.open_group_part),
    "keys_claimed": Kind("MP4 whose index calls every packet a key", damage.keys_claimed),
    "offsets_missing": Kind(
        "MP4 with decoding times only, B pictures",
        damage.offsets_missing,
        even_us=40_000,
        because="ffprobe takes the times to decode for times to show",
    ),
    "anamorphic": Kind("pixels 16:11", codings.anamorphic),
    "turned_90": Kind("turned by 90 degrees", partial(codings.turned, degrees=90)),
    "turned_180": Kind("turned by 180 degrees", partial(codings.turned, degrees=180)),
    "turned_270": Kind("turned by 270 degrees", partial(codings.turned, degrees=270)),
    "mirrored": Kind("mirrored", partial(codings.turned, degrees=0, mirrored=True)),
    "ten_bit": Kind("HEVC, 10 bit, BT.2020, HLG", codings.ten_bit_hlg),
    "ten_bit_full_range": Kind("HEVC, 10 bit, full range", codings.ten_bit_full_range),
    "full_range": Kind("full range BT.709", codings.full_range),
    "odd_size": Kind("227 x 161, 4:4:4", codings.odd_size),
    "cover_first_mp4": Kind("cover before the film", streams.cover_first_mp4),
    "cover_first_mkv": Kind("the same, not marked as cover", streams.cover_first_mkv, stream=1),
    "two_films": Kind("small preview before the film", streams.two_films, stream=1),
    "many_streams": Kind("3 sounds, subtitles, time code", streams.many_streams, stream=3),
    "size_changes": Kind("half as large from the middle on", codings.size_changes),
    "sound_longer": Kind("2 s of picture, 4 s of sound", streams.sound_longer),
    "sound_first": Kind("sound a second before the picture", clocks.sound_first),
    "bare_stream": Kind("H.264 without container", clocks.bare_stream, 0, 40_000, NO_STAMPS),
    "intra_refresh": Kind("refreshed by columns, 2 keys", damage.intra_refresh),
    "intra_refresh_ts": Kind("the same, starts of refresh called keys", damage.intra_refresh_ts),
    "equal_stamps": Kind("three pictures repeat a stamp", clocks.equal_stamps),
    "some_without_stamps": Kind(
        "every seventh picture has no stamp",
        clocks.some_without_stamps,
        even_us=40_000,
        because="ffprobe has none for them either",
    ),
    "pixels_change": Kind(
        "first picture 4:2:2, then 4:2:0", codings.first_picture_other_format, converted=True
    ),
    "vp9_hidden_pictures": Kind("VP9 with hidden pictures", codings.vp9_hidden_pictures),
    "vp8_hidden_pictures": Kind("VP8 with hidden pictures", codings.vp8_hidden_pictures),
    "av1": Kind("AV1", codings.av1),
    "dv": Kind("DV tape, interlaced, pixels 16:15", codings.dv),
    "awkward_name": Kind("a name of many scripts and signs", streams.awkward_name),
    "card": Kind("part 1 of 3 from a card", streams.card),
    "mpeg4_mov": Kind("MPEG-4 part 2 in MOV, 59.94 a second", codings.mpeg4_mov),
    "huge_timescale": Kind("a hundred million ticks a second", clocks.huge_timescale),
    "negative_offsets": Kind("MP4 with negative offsets", clocks.negative_offsets),
    "wmv": Kind("Windows Media", codings.wmv),
    "flv": Kind("Flash video, milliseconds", codings.flv),
    "mxf": Kind("MXF, MPEG-2", codings.mxf),
    "theora": Kind("Theora in Ogg", codings.theora),
    "mjpeg_mov": Kind("single JPEGs in MOV", codings.mjpeg_mov),
    "prores": Kind("production coding, 10 bit 4:2:2", codings.prores),
}

REFUSED = {
    "no_moov": Kind("not finished by the recorder: no index", damage.no_moov),
    "empty": Kind("no bytes", damage.empty),
    "text": Kind("a text named .mp4", damage.text),
}

ALL: dict[str, Plan | Kind] = {**PLANS, **KINDS}


def film_path(name: str) -> Path:
    """The film of a name, made if need be."""
    return kept(name, {**ALL, **REFUSED}[name].make)
