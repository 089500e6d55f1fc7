"""The teacher's story in a real window, by real key events on a real display."""

import time
from pathlib import Path

SAMPLE = Path(__file__).resolve().parents[2] / "sample_media" / "demo.mp4"


def test_a_teacher_marks_remarks_closes_and_releases_by_keys_alone(hands):
    with hands.program(SAMPLE):
        hands.wait(lambda: list((hands.home / "data" / "cases").glob("*/case.json")))
        time.sleep(3.0)  # the window shows the case when its film is open
        hands.press("Return")
        hands.wait(lambda: len(hands.review()["steps"]) == 1)
        hands.press("space")
        time.sleep(2.0)
        hands.press("Return")
        hands.wait(lambda: len(hands.review()["steps"]) == 2)
        hands.press("0")
        hands.wait(lambda: len(hands.review()["pauses"]) == 1)
        hands.press("r")
        hands.type("- turn the eye less")
        hands.press("ctrl+Return")
        hands.wait(lambda: len(hands.review()["remarks"]) == 1)
        review = hands.review()
    assert [step["step"] for step in review["steps"]] == ["side-port", "viscoelastic-in"]
    assert review["steps"][0]["end_us"] == review["steps"][1]["start_us"] > 0
    [remark] = review["remarks"]
    assert (remark["kind"], remark["text"], remark["starred"]) == (
        "work-on",
        "turn the eye less",
        True,
    )


def test_killed_in_the_middle_it_opens_where_it_was_with_the_open_text(hands):
    with hands.program(SAMPLE) as running:
        hands.wait(lambda: list((hands.home / "data" / "cases").glob("*/case.json")))
        time.sleep(3.0)
        hands.press("Return", "0")
        hands.wait(lambda: len(hands.review()["pauses"]) == 1)
        hands.press("r")
        hands.type("half a thou")
        time.sleep(1.5)  # an open text is on disk within a second
        running.kill()
    [case] = [path.parent for path in (hands.home / "data" / "cases").glob("*/case.json")]
    with hands.program(case):
        time.sleep(4.0)
        hands.press()  # the line is open again
        hands.type("ght")
        hands.press("Return")
        hands.wait(lambda: len(hands.review()["remarks"]) == 1)
        review = hands.review()
    assert review["remarks"][0]["text"] == "half a thought"
    assert len(review["steps"]) == 1
    assert len(review["pauses"]) == 1
