"""Edits: pure functions ``Review -> Review`` and ``Case -> Case``, and their history."""
