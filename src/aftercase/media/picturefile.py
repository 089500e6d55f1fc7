"""A picture file that is read: a photo, a frame somebody saved."""

from __future__ import annotations

import struct
import warnings
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from aftercase.errors import ReadFailed, RecordingMissing, RecordingUnreadable

SUFFIXES: Final = (".png", ".jpg", ".jpeg")
_FORMATS: Final = ("PNG", "JPEG")


def is_picture_file(path: Path) -> bool:
    """Claim that a file is a single picture and no film, by its name."""
    return path.suffix.lower() in SUFFIXES


@dataclass(frozen=True)
class ReadPicture:
    """A picture as it is shown.

    Attributes:
        rgb: Red, green and blue, shape (height, width, 3).
        shrunk: How many times smaller it is than in the file, at least 1.
    """

    rgb: NDArray[np.uint8]
    shrunk: float


def picture_in(path: Path, *, max_side_px: int | None = None) -> ReadPicture:
    """Read a picture.

    Args:
        path: A PNG or JPEG file.
        max_side_px: Shrink to this longer side; None for full size.

    Raises:
        RecordingMissing: There is no such file.
        ReadFailed: It may not be read.
        RecordingUnreadable: It is no such picture, broken, or too large to be one.
    """
    # late: `aftercase --help` must stay instant
    from PIL import Image, ImageOps

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(path, formats=_FORMATS) as image:
                shown = ImageOps.exif_transpose(image).convert("RGB")
    except FileNotFoundError as error:
        raise RecordingMissing(
            f"There is no picture “{path.name}”.", hint="Look at its name.", path=path
        ) from error
    except (PermissionError, IsADirectoryError) as error:
        raise ReadFailed(
            f"“{path.name}” could not be read: {error.strerror}.",
            hint="Look at its rights, and try again.",
            path=path,
        ) from error
    except (
        OSError,
        SyntaxError,
        ValueError,
        struct.error,
        zlib.error,
        Image.DecompressionBombError,
        Image.DecompressionBombWarning,
    ) as error:
        raise RecordingUnreadable(
            f"“{path.name}” is no picture that can be read.",
            hint="Give a PNG or a JPEG file that other programs show.",
            path=path,
        ) from error
    width_px = shown.width
    if max_side_px is not None:
        shown.thumbnail((max_side_px, max_side_px), Image.Resampling.BOX)
    return ReadPicture(np.asarray(shown), width_px / shown.width)
