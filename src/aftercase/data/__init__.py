"""Guides and forms shipped with the package, as data."""
