"""What a window holds: memory, its processes' too, widgets, threads, and cases put away."""

from __future__ import annotations

import gc
import multiprocessing
import sys
import threading
from pathlib import Path

import pytest
from PyQt6.QtWidgets import QApplication

from aftercase.gui.workbench import Workbench
from aftercase.session.desk import Desk

on_linux = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="the system does not tell what a process holds"
)


def held_mb() -> dict[str, float]:
    """Return what each process of the window holds in memory, itself first, by name."""
    held = {"window": _held_mb("self")}
    for process in multiprocessing.active_children():
        held[process.name] = held.get(process.name, 0.0) + _held_mb(str(process.pid))
    return held


def _held_mb(pid: str) -> float:
    status = Path("/proc", pid, "status").read_text(encoding="utf-8")
    [line] = [line for line in status.splitlines() if line.startswith("VmRSS:")]
    return int(line.split()[1]) * 1024 / 1e6


def counted() -> dict[str, int]:
    """Return how many there are of what must not become more from case to case."""
    gc.collect()
    objects = gc.get_objects()
    return {
        "widgets": len(QApplication.allWidgets()),
        "cases": sum(isinstance(one, Desk) for one in objects),
        "rooms of cases": sum(isinstance(one, Workbench) for one in objects),
        "threads": threading.active_count(),
        "processes": len(multiprocessing.active_children()),
        "open files": len(list(Path("/proc/self/fd").iterdir())),
    }
