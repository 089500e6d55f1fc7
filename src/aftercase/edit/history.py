"""Undo and redo: the list of earlier states, none of which is ever changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, Generic, TypeVar

State = TypeVar("State")

MOST_LEVELS: Final = 500


@dataclass(frozen=True)
class Level(Generic[State]):
    """A state that can be gone back to, and the words for the edit that left it."""

    state: State
    label: str
    merge_key: str | None


@dataclass(frozen=True)
class History(Generic[State]):
    """The present state with those before and after it.

    Attributes:
        present: What is shown and saved.
        past: Earlier states, oldest first.
        future: Undone states, the next redo last.

    Example:
        >>> history = History("a").edited("b", "write b").edited("c", "write c")
        >>> history.undone().present, history.undone().undone().redone().present
        ('b', 'b')
    """

    present: State
    past: tuple[Level[State], ...] = ()
    future: tuple[Level[State], ...] = ()

    def edited(self, state: State, label: str, *, merge_key: str | None = None) -> History[State]:
        """Return the history after an edit; what was undone is forgotten.

        Args:
            state: The new state.
            label: What was done, in words, for "undo ...".
            merge_key: Edits in a row with the same key (typing in one field, one drag) are
                undone as one.
        """
        if state == self.present:
            return self
        merges = merge_key is not None and self.past and self.past[-1].merge_key == merge_key
        past = self.past if merges else (*self.past, Level(self.present, label, merge_key))
        return History(state, past[-MOST_LEVELS:], ())

    def everywhere(self, change: Callable[[State], State]) -> History[State]:
        """Return the history with a change in every state of it: undo never takes it back.

        Example:
            >>> History("a").edited("ab", "write b").everywhere(str.upper).undone().present
            'A'
        """

        def changed(levels: tuple[Level[State], ...]) -> tuple[Level[State], ...]:
            return tuple(replace(level, state=change(level.state)) for level in levels)

        return History(change(self.present), changed(self.past), changed(self.future))

    def settled(self) -> History[State]:
        """Return the history with nothing more to be merged into its last edit: a drag is over."""
        if not self.past or self.past[-1].merge_key is None:
            return self
        return replace(self, past=(*self.past[:-1], replace(self.past[-1], merge_key=None)))

    def undone(self) -> History[State]:
        """Return the history one edit back; the same one where there is none."""
        if not self.past:
            return self
        last = self.past[-1]
        ahead = replace(last, state=self.present)
        return History(last.state, self.past[:-1], (*self.future, ahead))

    def redone(self) -> History[State]:
        """Return the history one undone edit forward; the same one where there is none."""
        if not self.future:
            return self
        ahead = self.future[-1]
        behind = replace(ahead, state=self.present)
        return History(ahead.state, (*self.past, behind), self.future[:-1])

    @property
    def undo_label(self) -> str | None:
        """What undo would take back, None where there is nothing."""
        return self.past[-1].label if self.past else None

    @property
    def redo_label(self) -> str | None:
        """What redo would do again, None where there is nothing."""
        return self.future[-1].label if self.future else None
