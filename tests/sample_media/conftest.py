"""Make the renderer importable, and keep cv2 from changing where Qt looks for its parts."""

import os
import sys
from pathlib import Path

_CHANGED_BY_CV2 = ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_QPA_FONTDIR", "LD_LIBRARY_PATH")

sys.path.insert(0, str(Path(__file__).parents[2] / "sample_media"))
_before = {name: os.environ.get(name) for name in _CHANGED_BY_CV2}
import cv2  # noqa: E402, F401

for _name, _value in _before.items():
    if _value is None:
        os.environ.pop(_name, None)
    else:
        os.environ[_name] = _value
