"""Frozen records of what a person entered: case, review, guide; and their rules."""
