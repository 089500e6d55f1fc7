from __future__ import annotations

import threading

from aftercase.errors import WriteFailed
from aftercase.session.saver import SAVED, Saver, SaveState

SOON_S = 10.0


def test_a_saver_with_nothing_to_do_says_saved() -> None:
    saver: Saver[int] = Saver(lambda document: None)
    assert saver.close(SOON_S) == SAVED


def test_what_is_handed_in_is_written_before_closing() -> None:
    written: list[int] = []
    saver: Saver[int] = Saver(written.append)
    saver.save(7)
    assert saver.close(SOON_S) == SAVED
    assert written == [7]


def test_handing_in_never_waits_and_only_the_newest_of_those_waiting_is_written() -> None:
    written: list[int] = []
    let_go = threading.Event()
    begun = threading.Event()

    def slow_disk(document: int) -> None:
        begun.set()
        assert let_go.wait(SOON_S)
        written.append(document)

    saver: Saver[int] = Saver(slow_disk)
    saver.save(0)
    assert begun.wait(SOON_S)
    for document in range(1, 100):
        saver.save(document)  # would hang here if it waited for the disk
    assert saver.state.word == "saving"
    let_go.set()
    assert saver.close(SOON_S) == SAVED
    assert written == [0, 99]


def test_a_full_disk_is_told_and_trying_again_saves() -> None:
    full = True
    written: list[str] = []
    states: list[SaveState] = []

    def disk(document: str) -> None:
        if full:
            raise WriteFailed("The disk is full.", hint="Make room.")
        written.append(document)

    saver: Saver[str] = Saver(disk, told=states.append)
    saver.save("work")
    assert saver.wait(SOON_S).word == "not-saved"
    assert saver.state.fault is not None
    assert saver.state.fault.slug == "write-failed"
    full = False
    saver.save("work")
    assert saver.wait(SOON_S) == SAVED
    saver.close(SOON_S)
    assert written == ["work"]
    assert [state.word for state in states] == ["saving", "not-saved", "saving", "saved"]


def test_saved_is_never_told_while_a_newer_version_waits() -> None:
    told: list[tuple[str, int]] = []
    handed_in = 0
    gate = threading.Semaphore(0)

    def disk(document: int) -> None:
        assert gate.acquire(timeout=SOON_S)

    saver: Saver[int] = Saver(disk, told=lambda state: told.append((state.word, handed_in)))
    for handed_in in range(1, 4):
        saver.save(handed_in)
    for _ in range(3):
        gate.release()
    saver.close(SOON_S)
    assert [count for word, count in told if word == "saved"] == [3]
