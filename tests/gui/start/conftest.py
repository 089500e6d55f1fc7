"""The same noted window as for pages."""

from __future__ import annotations

import importlib.util
from pathlib import Path

_PAGES = Path(__file__).parents[1] / "pages" / "conftest.py"
_spec = importlib.util.spec_from_file_location("pages_conftest", _PAGES)
assert _spec is not None
assert _spec.loader is not None
_pages = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(_pages)

host = _pages.host
new_id = _pages.new_id
case_without_film = _pages.case_without_film
desk = _pages.desk
_widgets_go_with_their_test = _pages._widgets_go_with_their_test
