"""The coding of a scrub copy: small pictures, each a key that is decoded on its own."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from aftercase.errors import WriteFailed
from aftercase.media.deinterlace import uncombed_at
from aftercase.media.pixels import matrix_of, range_of

if TYPE_CHECKING:
    from av.video.codeccontext import VideoCodecContext
    from av.video.frame import VideoFrame

COPY_LINES: Final = 480
"""Height of a copy's pictures; a film that is lower keeps its own."""

# Trial on a noisy 1080p film, beside plain decoding at 11 ms of processor time a frame: 1.2 ms to
# shrink by BILINEAR, 1.0 ms to code, 22 MB a minute; then 0.5 ms to decode a frame to R, G, B.
_ENCODER: Final = "libx264"
_OPTIONS: Final = {
    "preset": "ultrafast",
    "tune": "fastdecode,zerolatency",
    "g": "1",
    "crf": "28",
}
_ANY_RATE: Final = Fraction(1, 25)


@dataclass(frozen=True, slots=True)
class _Form:
    """What one encoder takes; frames of another form need another."""

    width_px: int
    height_px: int
    matrix: int
    range: int


class SmallPictureWriter:
    """Code frames of any size and colour, one at a time; not for use by two threads."""

    def __init__(self) -> None:
        from av.video.reformatter import VideoReformatter  # late: see container

        self._scaler = VideoReformatter()
        self._form: _Form | None = None
        self._encoder: VideoCodecContext | None = None

    def coded(self, frame: VideoFrame) -> bytes:
        """Return a frame made small and coded; the same bytes decode without any other."""
        form = _form_of(frame)
        if self._encoder is None or form != self._form:
            self._form, self._encoder = form, _encoder_of(form)
        small = self._scaler.reformat(
            uncombed_at(frame, form.height_px),
            width=form.width_px,
            height=form.height_px,
            format="yuv420p",
            src_colorspace=form.matrix,
            dst_colorspace=form.matrix,
            src_color_range=form.range,
            dst_color_range=form.range,
            interpolation="BILINEAR",
            threads=1,
        )
        small.pts = None
        return b"".join(bytes(packet) for packet in self._encoder.encode(small))


class SmallPictureReader:
    """Decode what `SmallPictureWriter` coded, in any order; not for use by two threads."""

    def __init__(self) -> None:
        import av  # late: see container
        from av.codec.context import Flags  # late, as above

        decoder = av.CodecContext.create("h264", "r")
        decoder.thread_type, decoder.thread_count = "NONE", 1
        decoder.flags |= Flags.low_delay
        self._decoder = decoder

    def frame(self, coded: bytes) -> VideoFrame | None:
        """Return the frame; None where the bytes are no such picture."""
        import av  # late, as above

        try:
            frames = self._decoder.decode(av.Packet(coded))
        except av.FFmpegError:
            return None
        return frames[0] if len(frames) == 1 else None


def small_size(width_px: int, height_px: int) -> tuple[int, int]:
    """Return a copy's size: at most `COPY_LINES` high, in proportion, even both ways.

    Example:
        >>> small_size(1920, 1080)
        (854, 480)
        >>> small_size(721, 405)
        (720, 404)
        >>> small_size(1, 2000)
        (2, 480)
    """
    height = min(height_px, COPY_LINES)
    return _even(width_px * height / height_px), _even(height)


def _even(length: float) -> int:
    return max(2, 2 * round(length / 2))


def _form_of(frame: VideoFrame) -> _Form:
    width_px, height_px = small_size(frame.width, frame.height)
    matrix = matrix_of(frame.colorspace, frame.height)
    return _Form(width_px, height_px, matrix, range_of(frame))


def _encoder_of(form: _Form) -> VideoCodecContext:
    """Return an encoder that writes matrix and range down, so that small HD is not taken for SD."""
    import av  # late: see container
    from av.codec.codec import UnknownCodecError  # late, as above

    try:
        encoder = av.CodecContext.create(_ENCODER, "w")
    except UnknownCodecError as error:
        raise WriteFailed(
            "This computer's video library cannot code H.264, so no scrub copy can be made.",
            hint="Turn scrub copies off in the settings; everything else works without them.",
        ) from error
    encoder.width, encoder.height, encoder.pix_fmt = form.width_px, form.height_px, "yuv420p"
    encoder.time_base, encoder.thread_count = _ANY_RATE, 1
    encoder.colorspace, encoder.color_range = form.matrix, form.range
    encoder.options = dict(_OPTIONS)
    return encoder
