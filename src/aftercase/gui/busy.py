"""Work in processes of its own, and the line that shows how far it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from PyQt6.QtCore import QObject, Qt, QTimer
from PyQt6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QWidget

from aftercase.errors import AftercaseError, WorkStopped
from aftercase.session.background import TaskProcess

MOST_AT_ONCE: Final = 2
"""The others wait: this computer also shows a film."""

_LOOK_MS: Final = 60
_BAR_PX: Final = 130
_LONGEST_TITLE_PX: Final = 260
_STEPS: Final = 1000


@dataclass
class Work:
    """One task that was asked for.

    Attributes:
        title: What is done, in words.
        function: The task.
        args: What it is called with.
        done: Called with its result.
        failed: Called with why there is none.
        process: Where it runs; None while it waits for its turn.
        is_stopping: Somebody asked it to stop.
    """

    title: str
    function: Callable[..., Any]
    args: tuple[Any, ...]
    done: Callable[[Any], None]
    failed: Callable[[AftercaseError], None]
    process: TaskProcess[Any] | None = None
    is_stopping: bool = False


class BusyTasks(QObject):
    """Runs tasks one beside the other and tells their ends on the window's thread.

    Every task that is run ends in exactly one call: of `done`, or of `failed`, also where it was
    stopped. Only `stop_all`, when the window closes, ends tasks without a word.

    Args:
        parent: The window.
    """

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._works: list[Work] = []
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self._look)
        self.view = BusyList(self)

    @property
    def works(self) -> tuple[Work, ...]:
        """What goes on or waits, in the order it was asked for."""
        return tuple(self._works)

    @property
    def is_busy(self) -> bool:
        """Claim that some task goes on or waits."""
        return bool(self._works)

    def run(
        self,
        title: str,
        function: Callable[..., Any],
        *args: Any,
        done: Callable[[Any], None] = lambda result: None,
        failed: Callable[[AftercaseError], None] = lambda fault: None,
    ) -> None:
        """Run a task in a process of its own, now or when others have ended.

        Args:
            title: What is done, in words.
            function: A module-level task that takes ``watch=``.
            args: Its arguments, plain enough to be sent to a process.
            done: Called with its result.
            failed: Called with a fault of the world, or with `WorkStopped` where it was stopped.
        """
        self._works.append(Work(title, function, args, done, failed))
        self._begin_waiting()
        self._timer.start()
        self.view.refresh()

    def stop(self, work: Work) -> None:
        """Ask a task to stop, and return at once."""
        work.is_stopping = True
        if work.process is not None:
            work.process.cancel()
        self.view.refresh()

    def stop_all(self) -> None:
        """End all tasks, and call nobody; for when the window closes."""
        self._timer.stop()
        works, self._works = self._works, []
        for work in works:
            if work.process is not None:
                work.process.close()
        self.view.refresh()

    def _begin_waiting(self) -> None:
        n_running = sum(work.process is not None for work in self._works)
        waiting = [work for work in self._works if work.process is None and not work.is_stopping]
        for work in waiting[: max(0, MOST_AT_ONCE - n_running)]:
            work.process = TaskProcess(work.function, *work.args)

    def _look(self) -> None:
        """See which tasks have ended."""
        for work in self.works:
            if work in self._works and self._has_ended(work):
                return  # it was told; whoever was told may have asked for more
        self.view.refresh()

    def _has_ended(self, work: Work) -> bool:
        if work.process is None:
            if work.is_stopping:
                self._put_away(work)
                work.failed(_stopped(work))
            return work.is_stopping
        try:
            outcome = work.process.poll()
        except BaseException:
            self._put_away(work)
            raise
        if outcome is None:
            return False
        self._put_away(work)
        if outcome.is_cancelled:
            work.failed(_stopped(work))
        elif outcome.fault is not None:
            work.failed(outcome.fault)
        else:
            work.done(outcome.result)
        return True

    def _put_away(self, work: Work) -> None:
        self._works.remove(work)
        if work.process is not None:
            work.process.close()
        self._begin_waiting()
        if not self._works:
            self._timer.stop()
        self.view.refresh()


def _stopped(work: Work) -> WorkStopped:
    return WorkStopped(f"“{work.title}” was stopped.")


class BusyList(QWidget):
    """The line of tasks: the oldest one's title, how far it is, and how to stop it."""

    def __init__(self, tasks: BusyTasks) -> None:
        super().__init__()
        self._tasks = tasks
        self._title = QLabel()
        self._bar = QProgressBar()
        self._bar.setFixedWidth(_BAR_PX)
        self._stop = QPushButton("Stop")
        self._stop.clicked.connect(self._stop_shown)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 6, 0)
        for widget in (self._title, self._bar, self._stop):
            row.addWidget(widget)
        self.refresh()

    def refresh(self) -> None:
        """Show how far the tasks are now."""
        works = self._tasks.works
        self.setVisible(bool(works))
        if works:
            self._show(works[0], len(works) - 1)

    def _show(self, work: Work, n_others: int) -> None:
        words = f"{work.title} (and {n_others} more)" if n_others else work.title
        if words != self._title.toolTip():
            elided = self._title.fontMetrics().elidedText(
                words, Qt.TextElideMode.ElideRight, _LONGEST_TITLE_PX
            )
            self._title.setText(elided)
            self._title.setToolTip(words)
            self._bar.setAccessibleName(f"How far: {work.title}")
            self._stop.setAccessibleName(f"Stop: {work.title}")
        done, total = work.process.progress if work.process is not None else (0, 0)
        self._bar.setMaximum(_STEPS if total else 0)
        self._bar.setValue(_STEPS * min(done, total) // total if total else 0)
        self._stop.setEnabled(not work.is_stopping)

    def _stop_shown(self) -> None:
        if self._tasks.works:
            self._tasks.stop(self._tasks.works[0])
