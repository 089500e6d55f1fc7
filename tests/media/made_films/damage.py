"""Films that were cut off, overwritten, or begin where nothing can be decoded."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from made_films.boxes import without
from made_films.clocks import TS_PACKET, ts
from made_films.making import X264, base, coded, cut, ffmpeg, joined, repacked

OPEN_GROUPS = "open-gop=1:keyint=24:min-keyint=24:bframes=3"


def no_key_at_start(folder: Path) -> Path:
    whole = ts(folder, "whole.ts", n=80).read_bytes()
    start = int(len(whole) * 0.15) // TS_PACKET * TS_PACKET
    return joined(folder / "no_key.ts", whole[: 3 * TS_PACKET], whole[start:])


def hole(folder: Path) -> Path:
    """A transport stream that lost 6 % of its packets in one piece."""
    whole = ts(folder, "before.ts", n=80).read_bytes()
    start, stop = (int(len(whole) * at) // TS_PACKET * TS_PACKET for at in (0.5, 0.56))
    return joined(folder / "hole.ts", whole[:start], whole[stop:])


def damaged_middle(folder: Path) -> Path:
    content = bytearray(base().read_bytes())
    start, stop = int(len(content) * 0.45), int(len(content) * 0.5)
    content[start:stop] = np.random.default_rng(5).bytes(stop - start)
    return joined(folder / "damaged.mp4", bytes(content))


def fragmented(folder: Path) -> Path:
    flags = "frag_keyframe+empty_moov+default_base_moof"
    return repacked(folder, "fragmented.mp4", "-movflags", flags)


def fragmented_cut(folder: Path) -> Path:
    return cut(folder / "fragmented_cut.mp4", fragmented(folder), 0.7)


def faststart_cut(folder: Path) -> Path:
    whole = repacked(folder, "faststart.mp4", "-movflags", "+faststart")
    return cut(folder / "faststart_cut.mp4", whole, 0.62)


def mkv_cut(folder: Path) -> Path:
    return cut(folder / "cut.mkv", repacked(folder, "whole.mkv"), 0.6)


def avi_without_index(folder: Path) -> Path:
    whole = coded(folder / "mjpeg.avi", "-c:v", "mjpeg", "-q:v", "3", n=50)
    return cut(folder / "no_index.avi", whole, 0.9)


def no_moov(folder: Path) -> Path:
    content = base().read_bytes()
    return joined(folder / "no_moov.mp4", content[: content.index(b"moov") - 4])


def empty(folder: Path) -> Path:
    return joined(folder / "empty.mp4")


def text(folder: Path) -> Path:
    return joined(folder / "text.mp4", b"Dear colleague, here is the film.\n" * 40)


def open_group_part(folder: Path) -> Path:
    """The second part of a recording that was cut at a key whose leading pictures lost theirs."""
    coding = ("-c:v", "libx264", "-preset", "veryfast", "-x264-params", OPEN_GROUPS)
    whole = coded(folder / "whole.ts", *coding, n=100)
    pattern = folder / "part%d.ts"
    ffmpeg("-i", whole, "-c", "copy", "-f", "segment", "-segment_time", "0.9", pattern)
    return folder / "part1.ts"


def keys_claimed(folder: Path) -> Path:
    """An MP4 without its list of keys: every packet is then called one."""
    return joined(folder / "claimed.mp4", without(base().read_bytes(), b"stss"))


def offsets_missing(folder: Path) -> Path:
    """An MP4 that says of each packet when to decode it, and not when to show it."""
    content = without(without(base().read_bytes(), b"ctts"), b"edts")
    return joined(folder / "offsets_missing.mp4", content)


def intra_refresh(folder: Path, name: str = "refresh.mp4") -> Path:
    coding = (*X264, "-g", "60", "-bf", "0", "-x264-params", "intra-refresh=1")
    return coded(folder / name, *coding, n=110)


def intra_refresh_ts(folder: Path) -> Path:
    """Here every start of a refresh is called a key, though a whole refresh has to pass."""
    return intra_refresh(folder, "refresh.ts")
