"""Aftercase: timed critique of a resident's eye operation from its recording."""

__version__ = "0.1.0"
