"""The order rules and sequences of the shipped guides, against published operations and by hand."""

from __future__ import annotations

import csv
import re
from collections import Counter
from functools import cache
from importlib.resources import files
from itertools import groupby
from pathlib import Path

import pytest

from aftercase.model.guide import Guide
from aftercase.model.guide_rules import (
    Either,
    Maybe,
    One,
    Repeated,
    Row,
    SequencePart,
    parse_sequence,
)

SHARED_DATA = Path(__file__).parents[2].parent / "shared" / "data"

STRICT = [
    ("hydrodissection", ("capsulorhexis",)),
    ("nucleus", ("capsulorhexis",)),
    ("cortex", ("nucleus",)),
    ("lens-in", ("cortex",)),
    ("viscoelastic-out", ("lens-in",)),
]


@cache
def guide(name: str) -> Guide:
    text = (files("aftercase.data") / "guides" / f"{name}.json").read_text(encoding="utf-8")
    return Guide.model_validate_json(text)


def test_the_five_strict_and_three_usual_rules_are_these():
    order = guide("cataract-phaco").order
    assert [(r.step, r.not_before) for r in order if r.kind == "strict"] == STRICT
    assert [(r.step, r.not_before, r.last_visit) for r in order if r.kind == "usual"] == [
        ("capsulorhexis", ("viscoelastic-in",), False),
        ("nucleus", ("hydrodissection",), False),
        ("seal", ("viscoelastic-out",), True),
    ]


def test_the_strict_rules_of_manual_surgery_are_these():
    order = guide("cataract-manual-small").order
    assert {rule.kind for rule in order} == {"strict"}
    assert [(rule.step, rule.not_before) for rule in order] == [
        ("tunnel", ("groove-outer",)),
        ("nucleus-delivery", ("capsule-opening", "inner-entry", "nucleus-up")),
        ("cortex", ("nucleus-delivery",)),
        ("lens-in", ("cortex",)),
    ]


PHASE_STEPS = {
    "3": "capsulorhexis",
    "4": "hydrodissection",
    "5": "nucleus",
    "6": "cortex",
    "8": "lens-in",
    "9": "viscoelastic-out",
}


def published_operations() -> dict[str, list[str]]:
    """Phases of each operation in order of their start, repeats joined (Cataract-101, 2018)."""
    path = SHARED_DATA / "cataract101" / "annotations.csv"
    if not path.exists():
        pytest.skip("the published annotations are not beside the checkout")
    with path.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream, delimiter=";"))
    rows.sort(key=lambda row: (row["VideoID"], int(row["FrameNo"])))
    return {
        video: [phase for phase, _ in groupby(row["Phase"] for row in visits)]
        for video, visits in groupby(rows, key=lambda row: row["VideoID"])
    }


def test_none_of_101_published_operations_breaks_a_strict_rule():
    operations = published_operations()
    assert len(operations) == 101
    rules = [rule for rule in guide("cataract-phaco").order if rule.kind == "strict"]
    broken, judged = [], 0
    for video, phases in operations.items():
        steps = [PHASE_STEPS.get(phase, "") for phase in phases]
        for rule in rules:
            for earlier in rule.not_before:
                if rule.step in steps and earlier in steps:
                    judged += 1
                    if steps.index(rule.step) < steps.index(earlier):
                        broken.append((video, rule.step))
    assert broken == []
    assert judged > 450


def test_one_fixed_list_would_mark_36_of_the_101():
    orders = Counter(tuple(phases) for phases in published_operations().values())
    assert len(orders) == 21
    assert 101 - orders.most_common(1)[0][1] == 36


def as_pattern(tree: SequencePart) -> str:
    match tree:
        case One(step):
            return f"(?:{step} )"
        case Row(parts):
            return "(?:" + "".join(map(as_pattern, parts)) + ")"
        case Either(options):
            return "(?:" + "|".join(map(as_pattern, options)) + ")"
        case Repeated(part):
            return as_pattern(part) + "*"
        case Maybe(part):
            return as_pattern(part) + "?"


@pytest.mark.parametrize(
    ("technique", "visits", "usual"),
    [
        ("divide-and-conquer", "groove turn groove crack turn crack turn crack pieces", True),
        ("divide-and-conquer", "groove turn groove turn groove crack pieces pieces", True),
        ("divide-and-conquer", "groove crack turn groove crack turn groove crack pieces", True),
        ("divide-and-conquer", "crack groove pieces", False),
        ("stop-and-chop", "groove crack turn hold chop pieces turn hold chop pieces pieces", True),
        ("stop-and-chop", "hold chop turn", False),
        ("horizontal-chop", "clear hold chop turn hold chop turn pieces", True),
        ("vertical-chop", "hold chop turn pieces", True),
        ("vertical-chop", "groove hold chop turn", False),
        ("pre-chop", "split turn split pieces", True),
        ("tilt", "lift pieces pieces", True),
        ("soft-lens", "aspirate", True),
        ("soft-lens", "bowl lift aspirate", True),
        ("soft-lens", "aspirate bowl", False),
        ("laser-prepared", "chop turn pieces", True),
        ("laser-prepared", "split pieces", True),
        ("laser-prepared", "groove pieces", False),
    ],
)
def test_a_usual_course_fits_its_technique(technique: str, visits: str, usual: bool):
    tree = parse_sequence(guide("cataract-phaco").technique_by_id[technique].sequence)
    course = "".join(f"nucleus-{visit} " for visit in visits.split())
    assert (re.fullmatch(as_pattern(tree), course) is not None) is usual


def test_nothing_is_judged_where_the_technique_is_mixed_or_converted():
    phaco = guide("cataract-phaco").technique_by_id
    assert len(phaco) == 10
    assert [t.id for t in phaco.values() if not t.sequence] == ["manual-after-conversion", "mixed"]
    assert [t.id for t in phaco.values() if t.converted] == ["manual-after-conversion"]
