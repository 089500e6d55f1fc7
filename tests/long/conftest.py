"""Tests that take over a minute: ``pytest tests/long`` runs them, nothing else does."""

collect_ignore = ["mutated_films"]
"""A program that the tests run; its files import each other and hold no tests."""
