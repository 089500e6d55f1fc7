"""The one place that imports OpenCV.

Its import changes where Qt looks for its parts and every later program for its libraries; all that
is put back here, so whoever needs OpenCV takes it from this module.
"""

from __future__ import annotations

import os

from aftercase.errors import AftercaseError

__all__ = ["cv2"]

_CHANGED = ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_QPA_FONTDIR", "LD_LIBRARY_PATH")

_before = {name: os.environ.get(name) for name in _CHANGED}

try:
    import cv2  # after what it changes was noted
except ImportError as error:  # the package is there, a library of the system is not
    raise AftercaseError(
        f"Pictures cannot be looked at: OpenCV does not load ({error}).",
        hint="On Debian: apt install libgl1 libglib2.0-0",
    ) from error

for _name, _value in _before.items():
    if _value is None:
        os.environ.pop(_name, None)
    else:
        os.environ[_name] = _value
