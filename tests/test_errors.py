from __future__ import annotations

from pathlib import Path

import pytest

from aftercase.errors import AftercaseError, WriteFailed


def test_a_bare_fault_is_one_sentence():
    fault = AftercaseError("The film is not there.")
    assert str(fault) == "The film is not there."
    assert (fault.message, fault.hint, fault.path) == ("The film is not there.", "", None)


def test_file_and_next_step_follow_the_sentence(tmp_path):
    fault = WriteFailed("Not written.", hint="Make room.", path=tmp_path / "a ü.json")
    assert str(fault).splitlines() == [
        "Not written.",
        f"  file: {tmp_path / 'a ü.json'}",
        "  what to do: Make room.",
    ]


def test_a_path_is_kept_as_text():
    assert AftercaseError("x", path=Path("a")).path == "a"
    assert AftercaseError("x", path="a").path == "a"


def test_every_kind_is_caught_as_the_program_s_own():
    with pytest.raises(AftercaseError):
        raise WriteFailed("Not written.")
