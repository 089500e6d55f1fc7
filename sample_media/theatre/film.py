"""The session as an H.264 film."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import av
import cv2

from theatre.camera import Camera

_KEYFRAME_S: Final = 2


def filmed(camera: Camera, path: Path, *, crf: float = 29.3, preset: str = "slow") -> None:
    """Render every frame of the camera's session into an MP4 file.

    Args:
        camera: Draws the frames.
        path: The file, written anew.
        crf: Quality; higher is smaller.
        preset: Effort of the encoder.
    """
    settings = camera.session.settings
    with av.open(str(path), "w", options={"movflags": "+faststart"}) as container:
        stream = container.add_stream("libx264", rate=settings.rate)
        stream.width, stream.height = settings.width_px, settings.height_px
        stream.pix_fmt = "yuv420p"
        stream.options = {"crf": str(crf), "preset": preset}
        stream.codec_context.gop_size = round(_KEYFRAME_S * settings.rate)
        for number in range(settings.n_frames):
            planes = cv2.cvtColor(camera.picture(number), cv2.COLOR_BGR2YUV_I420)
            frame = av.VideoFrame.from_ndarray(planes, format="yuv420p")
            frame.pts = number
            frame.time_base = 1 / settings.rate
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
