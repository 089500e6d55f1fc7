"""Tests that take over a minute: ``pytest tests/long`` runs them, nothing else does."""

collect_ignore = ["killed_reviews", "mutated_films"]
"""Programs that the tests run; their files import each other and hold no tests."""
