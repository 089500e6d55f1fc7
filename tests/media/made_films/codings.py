"""Films whose picture coding or pixel format is the difficulty."""

from __future__ import annotations

from pathlib import Path

import av
from made_films.clocks import LATE, ts
from made_films.damage import OPEN_GROUPS
from made_films.making import X264, base, coded, ffmpeg, joined

HLG = ("-color_primaries", "bt2020", "-color_trc", "arib-std-b67", "-colorspace", "bt2020nc")
DIVX = b"\x00\x00\x01\xb2DivX503b1393p"


def open_group_h264(folder: Path) -> Path:
    return coded(folder / "open.mp4", "-c:v", "libx264", "-x264-params", OPEN_GROUPS, n=100)


def open_group_hevc(folder: Path, name: str = "open_hevc.mp4") -> Path:
    params = "open-gop=1:keyint=24:log-level=0"
    return coded(folder / name, "-c:v", "libx265", "-x265-params", params)


def open_group_hevc_ts(folder: Path) -> Path:
    return open_group_hevc(folder, "open_hevc.ts")


def program_stream(folder: Path) -> Path:
    coding = ("-c:v", "mpeg2video", "-g", "15", "-bf", "2", "-q:v", "3", "-f", "vob")
    return coded(folder / "ps.mpg", *coding)


def mpeg1_program_stream(folder: Path) -> Path:
    coding = ("-c:v", "mpeg1video", "-g", "18", "-bf", "2", "-q:v", "3", "-f", "mpeg")
    return coded(folder / "one.mpg", *coding)


def mpeg2_interlaced(folder: Path) -> Path:
    coding = ("-c:v", "mpeg2video", "-flags", "+ildct+ilme", "-top", "1", "-q:v", "3", "-bf", "2")
    return coded(folder / "mpeg2.ts", *coding)


def h264_interlaced(folder: Path) -> Path:
    return coded(folder / "tff.mp4", *X264, "-x264-params", "tff=1", "-flags", "+ildct+ilme")


def camcorder_interlaced(folder: Path) -> Path:
    """59.94 fields a second in packets of 192 bytes, open groups, as high-definition camcorders."""
    coding = ("-c:v", "libx264", "-preset", "veryfast", "-flags", "+ildct+ilme")
    params = "tff=1:open-gop=1:keyint=15:min-keyint=15:bframes=2"
    container = ("-x264-params", params, "-mpegts_m2ts_mode", "1", "-f", "mpegts")
    return coded(folder / "00001.MTS", *coding, *container, rate="30000/1001")


def dv(folder: Path) -> Path:
    return coded(folder / "tape.dv", "-target", "pal-dv", n=12, size=(720, 576))


def avi_b_frames(folder: Path) -> Path:
    return coded(folder / "b.avi", "-c:v", "mpeg4", "-bf", "2", "-q:v", "3")


def avi_h264(folder: Path) -> Path:
    return coded(folder / "h264.avi", *X264)


def packed_b_frames(folder: Path) -> Path:
    """Two pictures in one packet, then a packet that says only "nothing new"."""
    plain = coded(folder / "plain.avi", "-c:v", "mpeg4", "-bf", "1", "-g", "12", "-q:v", "3")
    path = folder / "packed.avi"
    with av.open(str(plain)) as source, av.open(str(path), "w") as target:
        stream = target.add_stream_from_template(source.streams.video[0])
        packets = [bytes(packet) for packet in source.demux(video=0) if packet.size]
        nothing_new = b"\x00\x00\x01\xb6\x51\x9f"  # a P picture, time 0, not coded
        for number, content in enumerate(_packed(packets, nothing_new)):
            packet = av.Packet(content)
            packet.stream, packet.time_base = stream, stream.time_base
            packet.pts = packet.dts = number
            packet.is_keyframe = _vop_type(content) == 0
            target.mux(packet)
    return path


def _packed(packets: list[bytes], nothing_new: bytes) -> list[bytes]:
    """Every B picture moved into the packet before it, a filler left in its place."""
    result: list[bytes] = []
    for content in packets:
        if _vop_type(content) == 2:
            result[-1] += content
            result.append(nothing_new)
        else:
            place = content.index(b"\x00\x00\x01\xb6")
            result.append(content[:place] + DIVX + content[place:])
    return result


def _vop_type(content: bytes) -> int:
    """0 for an I, 1 for a P, 2 for a B picture of MPEG-4 part 2."""
    return content[content.index(b"\x00\x00\x01\xb6") + 4] >> 6


def mpeg4_mov(folder: Path) -> Path:
    return coded(folder / "m4v.mov", "-c:v", "mpeg4", "-bf", "2", "-q:v", "3", rate="60000/1001")


def ten_bit_hlg(folder: Path) -> Path:
    coding = ("-c:v", "libx265", "-x265-params", "log-level=0", "-pix_fmt", "yuv420p10le")
    return coded(folder / "ten.mp4", *coding, *HLG)


def ten_bit_full_range(folder: Path) -> Path:
    params = "log-level=0:range=full:colormatrix=bt709"
    coding = ("-c:v", "libx265", "-x265-params", params, "-color_range", "pc")
    return coded(folder / "full10.mp4", *coding, "-pix_fmt", "yuv420p10le")


def full_range(folder: Path) -> Path:
    tags = ("-pix_fmt", "yuvj420p", "-color_range", "pc", "-colorspace", "bt709")
    return coded(folder / "full.mp4", *X264, *tags)


def odd_size(folder: Path) -> Path:
    return coded(folder / "odd.mp4", *X264, "-pix_fmt", "yuv444p", size=(227, 161))


def size_changes(folder: Path) -> Path:
    return joined(
        folder / "size.ts",
        ts(folder, "s1.ts", *LATE, "0", n=50).read_bytes(),
        ts(folder, "s2.ts", *LATE, "2.08", first=50, n=50, size=(128, 72)).read_bytes(),
    )


def first_picture_other_format(folder: Path) -> Path:
    pieces = []
    for name, form, first, n in (("a", "yuvj422p", 0, 1), ("b", "yuvj420p", 1, 29)):
        path = folder / f"pixels_{name}.avi"
        coded(path, "-c:v", "mjpeg", "-q:v", "3", "-pix_fmt", form, n=n, first=first)
        pieces.append(path)
    names = folder / "pixels.txt"
    names.write_text("".join(f"file '{piece}'\n" for piece in pieces))
    path = folder / "pixels.avi"
    ffmpeg("-f", "concat", "-safe", "0", "-i", names, "-c", "copy", path)
    return path


def vp9_hidden_pictures(folder: Path) -> Path:
    coding = ("-c:v", "libvpx-vp9", "-auto-alt-ref", "1", "-lag-in-frames", "16", "-b:v", "200k")
    return coded(folder / "vp9.webm", *coding, "-deadline", "realtime", "-cpu-used", "8", n=60)


def vp8_hidden_pictures(folder: Path) -> Path:
    coding = ("-c:v", "libvpx", "-auto-alt-ref", "1", "-lag-in-frames", "12", "-b:v", "300k")
    return coded(folder / "vp8.webm", *coding, "-cpu-used", "8", "-g", "30", n=60)


def av1(folder: Path) -> Path:
    coding = ("-c:v", "libsvtav1", "-preset", "10", "-g", "30", "-crf", "35")
    return coded(folder / "av1.mp4", *coding, n=60)


def wmv(folder: Path) -> Path:
    return coded(folder / "wm.wmv", "-c:v", "wmv2", "-g", "20", "-q:v", "3")


def flv(folder: Path) -> Path:
    return coded(folder / "h264.flv", *X264, rate="30000/1001")


def mxf(folder: Path) -> Path:
    return coded(folder / "clip.mxf", "-c:v", "mpeg2video", "-g", "12", "-bf", "2", "-q:v", "3")


def theora(folder: Path) -> Path:
    return coded(folder / "theora.ogv", "-c:v", "libtheora", "-q:v", "8", "-g", "32")


def mjpeg_mov(folder: Path) -> Path:
    return coded(folder / "jpegs.mov", "-c:v", "mjpeg", "-q:v", "3", rate="30000/1001", n=40)


def prores(folder: Path) -> Path:
    return coded(folder / "intra.mov", "-c:v", "prores_ks", "-pix_fmt", "yuv422p10le", n=25)


def anamorphic(folder: Path) -> Path:
    return coded(folder / "wide.mp4", *X264, "-vf", "setsar=16/11")


def turned(folder: Path, degrees: int, *, mirrored: bool = False) -> Path:
    """The plain film with a display matrix; `mirrored` left and right."""
    path = folder / "turned.mp4"
    with av.open(str(base())) as source, av.open(str(path), "w") as target:
        stream = target.add_stream_from_template(source.streams.video[0])
        stream.set_display_rotation(degrees, hflip=mirrored)
        for packet in source.demux(video=0):
            if packet.size:
                packet.stream = stream
                target.mux(packet)
    return path
