"""Tests that take over a minute: ``pytest tests/long`` runs them, nothing else does."""

from tests.gui.conftest import at, film_case, new_id, opened, press, type_text, until, window

__all__ = ["at", "film_case", "new_id", "opened", "press", "type_text", "until", "window"]

collect_ignore = ["killed_reviews", "mutated_films"]
"""Programs that the tests run; their files import each other and hold no tests."""
