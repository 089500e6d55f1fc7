"""The one place that imports OpenCV.

Its import changes where Qt looks for its parts and every later program for its libraries; all that
is put back here, so whoever needs OpenCV takes it from this module.
"""

from __future__ import annotations

import os

__all__ = ["cv2"]

_CHANGED = ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_QPA_FONTDIR", "LD_LIBRARY_PATH")

_before = {name: os.environ.get(name) for name in _CHANGED}

import cv2  # noqa: E402  # after what it changes was noted

for _name, _value in _before.items():
    if _value is None:
        os.environ.pop(_name, None)
    else:
        os.environ[_name] = _value
