"""The critique of a case: content built once, and writers that only format it."""
