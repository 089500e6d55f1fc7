from __future__ import annotations

import json
from pathlib import Path

import pytest

from aftercase.document import codec
from aftercase.document.codec import DEEPEST, broken, decoded, encoded, parsed
from aftercase.edit import records
from aftercase.edit.header import change_header
from aftercase.errors import DocumentBroken
from aftercase.model.case import Case
from aftercase.model.problem import Problem
from aftercase.model.review import Review

PATH = Path("case.json")


def some_id(number):
    return f"id{number:024d}"


def with_field(case, text):
    """Return a case's file with a further field given as JSON text."""
    return encoded(case).replace(b'"code"', f'"zz": {text},\n  "code"'.encode(), 1)


def test_what_was_written_reads_back_the_same(case, review, guide):
    for record in (case, review, guide):
        assert decoded(type(record), encoded(record), PATH) == record


def test_what_was_read_writes_back_to_the_same_bytes(case, review, guide):
    for record in (case, review, guide):
        content = encoded(record)
        assert encoded(decoded(type(record), content, PATH)) == content


def test_the_file_is_sorted_unescaped_and_ends_with_a_line_end(review):
    text = encoded(review).decode("utf-8")
    assert text.endswith("}\n")
    assert not text.endswith("\n\n")
    assert "Größe 白内障 “ok”" in text

    def refuse_unsorted(pairs):
        names = [name for name, _ in pairs]
        assert names == sorted(names)
        return dict(pairs)

    json.loads(text, object_pairs_hook=refuse_unsorted)


def test_each_value_stands_on_its_own_line_so_that_one_change_is_one_line(review):
    before = encoded(review).splitlines()
    after = encoded(records.change(review, some_id(1), end_us=200)).splitlines()
    assert [(old, new) for old, new in zip(before, after, strict=True) if old != new] == [
        (b'      "end_us": 100,', b'      "end_us": 200,')
    ]


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["plain", "byte-order-mark"])
def test_a_byte_order_mark_is_read_over(mark, case):
    assert decoded(Case, mark + encoded(case), PATH) == case


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "Expecting value at line 1, column 1"),
        (b'{\n  "id": 1,\n  oops\n}', "at line 3, column 3"),
        (b'{"id": "x"', "line 1, column 11"),
        (b"[]", "no JSON object"),
        (b"null", "no JSON object"),
        (b"\xff\xfe{\x00}\x00", "no UTF-8 text: byte 0"),
        (b'{"a": "\xc3"}', "no UTF-8 text: byte 7"),
        (b'{"a": NaN}', "NaN is not a number that a file may hold"),
        (b'{"a": -Infinity}', "-Infinity is not a number"),
        (b'{"a": 1e999}', "the number 1e999 is too large"),
        (b'{"a": ' + b"9" * 5000 + b"}", "a whole number has 5000 digits"),
        (b'{"a": 1, "b": 2, "a": 3}', "the field “a” stands twice"),
        (b'{"x": {"b": 2, "b": 2}}', "the field “b” stands twice"),
        (b'{"a": ' + b"[" * 99 + b"1" + b"]" * 99 + b"}", None),
        (b'{"a": ' + b"[" * 100 + b"1" + b"]" * 100 + b"}", "nests more than 100"),
        (b'{"a": ' * 200 + b"1" + b"}" * 200, "nests more than 100"),
        (b"[" * 200_000, "nests more than 100"),
        (b'{"a":' * 200_000, "nests more than 100"),
    ],
    ids=lambda value: None,
)
def test_what_is_no_good_json_is_told_with_what_to_do(content, said):
    if said is None:
        parsed(content, PATH)
        return
    with pytest.raises(DocumentBroken) as caught:
        parsed(content, PATH)
    assert said in caught.value.message
    assert caught.value.path == "case.json"
    assert "kept version" in caught.value.hint


def test_a_file_that_is_far_too_large_is_refused_unread(monkeypatch):
    monkeypatch.setattr(codec, "MOST_BYTES", 10)
    with pytest.raises(DocumentBroken, match="too large"):
        parsed(b"{          }", PATH)


def test_whatever_reads_can_also_be_written(case):
    """The deepest nesting and the largest numbers that are let in are let out again."""
    deep = "[" * (DEEPEST - 1) + "]" * (DEEPEST - 1)
    for text in (deep, "9" * 40, "-1.7976931348623157e308", "5e-324", "1E5", '"\\ud800"', "{}"):
        content = with_field(case, text)
        first = decoded(Case, content, PATH)
        assert decoded(Case, encoded(first), PATH) == first, text
        assert first.model_extra["zz"] == json.loads(text)


def test_half_a_surrogate_pair_survives_as_odd_file_names_hold_them(review):
    odd = "Film \udce4.mp4"
    changed = records.change(review, some_id(3), text=odd)
    content = encoded(changed)
    content.decode("utf-8")
    assert decoded(Review, content, PATH) == changed
    assert json.loads(content)["remarks"][0]["text"] == odd


def test_each_broken_place_is_named(review):
    data = json.loads(encoded(review))
    data["steps"][0]["start_us"] = "0"
    data["events"][0]["place"]["x"] = 1.5
    data["reviewer"] = "../x"
    del data["remarks"][0]["id"]
    with pytest.raises(DocumentBroken) as caught:
        decoded(Review, json.dumps(data).encode(), PATH)
    assert "breaks 4 rule(s)" in caught.value.message
    for place in ("steps/0/start_us: ", "events/0/place/x: ", "reviewer: ", "remarks/0/id: "):
        assert f"\n  - {place}" in caught.value.message


@pytest.mark.parametrize("us", ["0.0", "1.5", '"1"', "true", "null", "1e3", str(2**62 + 1)])
def test_a_time_is_a_whole_number_and_nothing_else(us, review):
    content = encoded(review).replace(b'"end_us": 100', f'"end_us": {us}'.encode())
    with pytest.raises(DocumentBroken, match="steps/0/end_us"):
        decoded(Review, content, PATH)


def test_of_many_broken_places_the_first_five_are_named_and_the_rest_counted():
    problems = [Problem(f"steps/{n}", "wrong") for n in range(7)]
    message = broken(problems, PATH).message
    assert message.count("steps/") == 5
    assert message.endswith("and 2 more")
    assert "more" not in broken(problems[:5], PATH).message


def test_fields_of_a_newer_minor_version_survive_reading_editing_and_writing(review):
    newer = json.loads(encoded(review))
    newer["version"] = "1.7"
    places = (
        newer,
        newer["steps"][0],
        newer["events"][0],
        newer["events"][0]["place"],
        newer["events"][0]["hour"],
        newer["closing"],
    )
    for number, place in enumerate(places):
        place["weather"] = {"rain": [number, None, True, 0.1, {"deep": "ü"}]}
    read = decoded(Review, json.dumps(newer).encode(), PATH)
    edited = records.change(read, some_id(1), end_us=90)
    edited = records.change(edited, some_id(2), at_us=6)
    edited = records.add(edited, "remarks", edited.remarks[0].changed(id=some_id(50)))
    written = json.loads(encoded(edited))
    assert written["version"] == "1.7"
    newer_again = json.loads(json.dumps(newer))
    newer_again["steps"][0]["end_us"] = 90
    newer_again["events"][0]["at_us"] = 6
    newer_again["remarks"].append({**newer_again["remarks"][0], "id": some_id(50)})
    assert written == newer_again


def test_fields_of_a_newer_header_survive_an_edit_of_the_header(case):
    newer = json.loads(encoded(case))
    newer |= {"version": "1.3", "weather": "rain"}
    newer["guide"]["colour"] = "blue"
    edited = change_header(decoded(Case, json.dumps(newer).encode(), PATH), eye="left")
    assert json.loads(encoded(edited)) == {**newer, "eye": "left"}
