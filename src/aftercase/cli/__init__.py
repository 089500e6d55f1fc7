"""The command line: one file per command, each a thin door to a task."""
