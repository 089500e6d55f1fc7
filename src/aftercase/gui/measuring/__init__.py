"""Measuring on the shown frame, and showing how the eye lies on it."""
