"""Measures of one person's review: tables of numbers, each defined in docs/reference/metrics.md."""
