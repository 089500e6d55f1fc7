"""The resident's story in a real window, by real key events on a real display."""

import time
from pathlib import Path

import pytest

from aftercase.document.codec import decoded
from aftercase.document.folder import new_review, write_review
from aftercase.edit.review import release
from aftercase.model.base import id_source
from aftercase.model.review import Review
from aftercase.session.people import Person, remember_person
from aftercase.session.places import places
from aftercase.session.sample import REVIEW, sample_file
from aftercase.session.tasks.create import Wanted, new_case

SAMPLE = Path(__file__).resolve().parents[2] / "sample_media" / "demo.mp4"
LEAD_US = 3_000_000
TO_SEAL = ("Tab",) * 9  # past the remark, the last words, and the fields of a goal


@pytest.fixture
def handed_out(hands, monkeypatch):
    """Make the example case with the teacher's released review, for R07 at the keys."""

    def make(**header):
        monkeypatch.setenv("AFTERCASE_HOME", str(hands.home))
        at, new_id = places(), id_source()
        remember_person(at, Person("R07", "trainee"))
        wanted = Wanted(
            "PE-014", "cataract-phaco", films=(SAMPLE,), header={"trainee": "R07", **header}
        )
        opened = new_case(hands.home / "data" / "cases" / "PE-014", wanted, at, new_id)
        source = sample_file(REVIEW)
        said = decoded(Review, source.read_bytes(), source)
        review = release(said.changed(id=new_id(), case=opened.case.id))
        write_review(opened.folder, new_review(opened.folder, review), review)
        return opened.folder.path, review

    return make


def _replies(hands):
    return {reply["to"]["id"]: reply for reply in hands.review("R07").get("replies", ())}


def test_a_resident_replays_understands_answers_and_is_ready_for_the_next_case(hands, handed_out):
    case, theirs = handed_out()
    remarks = sorted(theirs.remarks, key=lambda one: one.at_us)
    first, second = remarks[0].id, remarks[1].id
    with hands.program(case):
        hands.wait(lambda: (hands.home / "state").exists())
        time.sleep(3.0)  # the window shows the case when its film is open
        hands.press("ctrl+3", "Down")
        hands.wait(lambda: _replies(hands).get(first, {}).get("watched"))
        hands.press("g")
        hands.wait(lambda: _replies(hands)[first]["understood"] == "understood")
        hands.press("Down")
        hands.wait(lambda: _replies(hands).get(second, {}).get("watched"))
        hands.press("r")
        hands.type("how far is too far?")
        hands.press("Tab", "space", "Escape")
        hands.wait(lambda: _replies(hands)[second]["asks"])
        assert _replies(hands)[second]["text"] == "how far is too far?"
        hands.press("m")
        [point, *_] = [one for one in remarks if one.id in theirs.closing.points]
        hands.wait(lambda: _replies(hands).get(point.id, {}).get("watched"))
        time.sleep(2.5)  # where one is is kept once a second
        place = hands.place("R07")
        assert place["room"] == "replay"
        assert point.at_us - LEAD_US <= place["at_us"] <= (point.end_us or point.at_us + LEAD_US)
        own = hands.review("R07")
    assert (own["state"], own["role"], own["steps"]) == ("draft", "trainee", [])
    assert len(list((case / "reviews").glob("*.json"))) == 1, "nothing was handed over"


def test_judged_first_the_teachers_review_opens_when_ones_own_is_sealed(hands, handed_out):
    case, theirs = handed_out(judge_first=True)
    with hands.program(case):
        hands.wait(lambda: (hands.home / "state").exists())
        time.sleep(3.0)
        hands.press("ctrl+3", "Down")
        hands.press("ctrl+2", "Return", "r")
        hands.type("- my hands shook")
        hands.press("ctrl+Return")
        hands.wait(lambda: len(hands.review("R07")["remarks"]) == 1)
        assert hands.review("R07")["replies"] == [], "the teacher's moments were not shown"
        hands.press("c")
        time.sleep(1.0)
        hands.press(*TO_SEAL, "space")
        hands.wait(lambda: hands.review("R07")["state"] == "sealed")
        hands.press("Escape", "ctrl+3", "Down")
        hands.wait(lambda: hands.review("R07")["revision"] == 2)
        hands.press("b")
        time.sleep(1.0)
        hands.press("Return")  # to the first difference: a step that only the teacher marked
        time.sleep(2.5)
        place = hands.place("R07")
        own = hands.review("R07")
    assert [remark["text"] for remark in own["remarks"]] == ["my hands shook"]
    assert [reply["watched"] for reply in own["replies"]] == [True]
    missing = [span.start_us for span in theirs.steps if span.step != "side-port"]
    assert place["at_us"] in missing
    assert (case / "reviews" / "R07.r1.json").exists()
