"""One file per task; the command line and the window call the same functions."""
