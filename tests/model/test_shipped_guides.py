"""The three guides that come with the package, against lists written out by hand.

What the lists hold is common practice unless a test says otherwise.
"""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files

import pytest

from aftercase.model.guide import Guide
from aftercase.model.guide_rules import problems

NAMES = ("cataract-phaco", "cataract-manual-small", "practice")
CATARACT = NAMES[:2]


def words(text: str) -> list[str]:
    """Return the words of a list written as one text."""
    return text.split()


PLANNED = words(
    """
    prepare axis-marks side-port chamber-anaesthetic dye viscoelastic-in main-wound
    pupil-widening capsulorhexis hydrodissection hydrodelineation nucleus-free nucleus
    epinucleus cortex polish wound-enlarge lens-in lens-position axis-align
    viscoelastic-out pupil-constrict seal chamber-antibiotic suture finish
    """
)
UNPLANNED = words(
    """
    anterior-vitrectomy manual-conversion nucleus-by-hand lens-elsewhere lens-out
    capsule-ring capsule-hooks posterior-opening fragment-search iris-repair
    wound-burn-care other-procedure
    """
)
PARTS = {
    "capsulorhexis": "flap-start tear-round disc-lift",
    "nucleus": "nucleus-clear nucleus-groove nucleus-turn nucleus-crack nucleus-hold nucleus-chop "
    "nucleus-split nucleus-lift nucleus-bowl nucleus-pieces nucleus-aspirate",
    "cortex": "cortex-easy cortex-near-wound",
    "viscoelastic-out": "behind-lens",
    "seal": "hydrate leak-check",
}
MANUAL = words(
    """
    prepare holding-suture conjunctiva-open cautery-step groove-outer tunnel side-port dye
    viscoelastic-in capsule-opening inner-entry relaxing-cuts hydrodissection nucleus-up
    nucleus-delivery shell-flush cortex lens-in lens-position viscoelastic-out seal suture
    chamber-antibiotic conjunctiva-close finish
    """
)
MANUAL_UNPLANNED = words(
    """
    anterior-vitrectomy lens-elsewhere iris-repair fragment-search wound-extend
    extracapsular-conversion other-procedure
    """
)
DRILLS = words(
    """
    drill-centre drill-in-out drill-wound drill-side-port drill-visco drill-flap
    drill-tear drill-rescue drill-hydro drill-groove drill-crack drill-chop drill-pieces
    drill-cortex drill-lens drill-lens-load drill-seal drill-vitrectomy drill-complication
    suture-load suture-bite suture-throw suture-cut suture-bury suture-single suture-row
    """
)
CLASSES = {
    "action": "tear-started regrab tear-closed tool-swap re-entry turn-try crack-try refill "
    "stop-and-think help-asked",
    "rescue": "flap-rescue",
    "slip": "wound-off wound-leak wound-stretch eye-rolled picture-off tip-hidden chamber-shallow "
    "surge cornea-touch iris-touch iris-out pupil-smaller tear-outward capsule-poke edge-caught "
    "capsule-caught nucleus-stuck zonule-pull piece-loose lens-turned haptic-out membrane-caught "
    "bubbles conjunctiva-balloon bleeding",
    "complication": "anterior-tear posterior-open vitreous-seen zonule-loss piece-back piece-left "
    "membrane-off iris-torn wound-burn wound-not-tight lens-damaged lens-unstable pressure-behind "
    "wrong-lens",
    "outside": "patient-moved patient-pain anaesthetic-added machine-alarm equipment-fault "
    "light-changed wrong-item-opened teacher-speaks interruption",
}


def text_of(name: str) -> str:
    return (files("aftercase.data") / "guides" / f"{name}.json").read_text(encoding="utf-8")


@cache
def guide(name: str) -> Guide:
    return Guide.model_validate_json(text_of(name))


def ids(records: object) -> list[str]:
    return [record.id for record in records]  # type: ignore[attr-defined]


def top_level(name: str, *, unplanned: bool) -> list[str]:
    steps = guide(name).steps
    return [s.id for s in steps if s.parent is None and s.unplanned is unplanned]


@pytest.mark.parametrize("name", NAMES)
def test_a_shipped_guide_has_no_problems(name: str):
    assert problems(guide(name)) == []
    assert (guide(name).id, guide(name).version) == (name, "1.0")


@pytest.mark.parametrize("name", NAMES)
def test_a_shipped_guide_has_no_field_the_records_do_not_know(name: str):
    kept = json.loads(guide(name).model_dump_json(exclude_unset=True))
    assert kept == json.loads(text_of(name))

    def extras(record: object) -> list[str]:
        own = list(getattr(record, "model_extra", None) or {})
        inner = [v for field in type(record).model_fields for v in [getattr(record, field)]]  # type: ignore[attr-defined]
        nested = [v for value in inner for v in (value if isinstance(value, tuple) else (value,))]
        return own + [e for v in nested if hasattr(type(v), "model_fields") for e in extras(v)]

    assert extras(guide(name)) == []


@pytest.mark.parametrize("name", NAMES)
def test_a_shipped_guide_is_written_so_that_changes_are_seen_line_by_line(name: str):
    text = text_of(name)
    again = json.dumps(json.loads(text), ensure_ascii=False, indent=2, sort_keys=True)
    assert text == again + "\n"


def test_phacoemulsification_has_its_26_planned_and_12_unplanned_steps():
    assert top_level("cataract-phaco", unplanned=False) == PLANNED
    assert top_level("cataract-phaco", unplanned=True) == UNPLANNED
    assert (len(PLANNED), len(UNPLANNED)) == (26, 12)


def test_parts_stand_behind_the_step_they_belong_to():
    phaco = guide("cataract-phaco")
    for parent, parts in PARTS.items():
        assert ids(phaco.children_of(parent)) == parts.split()
        start = ids(phaco.steps).index(parent)
        expected = [parent, *parts.split()]
        assert ids(phaco.steps)[start : start + len(expected)] == expected
    assert sum(step.parent is not None for step in phaco.steps) == 19


@pytest.mark.parametrize(
    ("name", "critical"),
    [
        ("cataract-phaco", "main-wound capsulorhexis nucleus cortex lens-in"),
        (
            "cataract-manual-small",
            "tunnel capsule-opening nucleus-up nucleus-delivery cortex lens-in",
        ),
        ("practice", ""),
    ],
)
def test_the_proposed_critical_portions_are_these(name: str, critical: str):
    assert [s.id for s in guide(name).steps if s.critical == "yes"] == critical.split()


def test_these_steps_are_critical_where_a_program_says_so():
    local = [s.id for s in guide("cataract-phaco").steps if s.critical == "local"]
    planned = words("side-port hydrodissection epinucleus viscoelastic-out seal")
    unplanned = words("anterior-vitrectomy manual-conversion nucleus-by-hand lens-elsewhere")
    assert local == planned + unplanned


def test_these_planned_steps_cannot_be_missing_from_a_whole_operation():
    steps = guide("cataract-phaco").steps
    assert [s.id for s in steps if not s.optional] == (
        words(
            "side-port viscoelastic-in main-wound capsulorhexis hydrodissection nucleus cortex "
            "lens-in lens-position viscoelastic-out seal"
        )
    )


def test_these_steps_are_done_once():
    steps = guide("cataract-phaco").steps
    assert [s.id for s in steps if not s.repeats] == ["prepare", "main-wound", "finish"]


@pytest.mark.parametrize("name", CATARACT)
def test_an_unplanned_step_is_never_missing_and_may_come_again(name: str):
    unplanned = [step for step in guide(name).steps if step.unplanned]
    assert all(step.optional and step.repeats for step in unplanned)


def test_a_case_with_one_of_these_steps_is_unlike_the_others():
    assert [s.id for s in guide("cataract-phaco").steps if s.unlike] == [
        *UNPLANNED[:5],
        "other-procedure",
    ]


def test_manual_surgery_has_its_25_planned_and_7_unplanned_steps():
    assert top_level("cataract-manual-small", unplanned=False) == MANUAL
    assert top_level("cataract-manual-small", unplanned=True) == MANUAL_UNPLANNED
    assert (len(MANUAL), len(MANUAL_UNPLANNED)) == (25, 7)


def test_practice_has_its_19_eye_and_7_suturing_drills_as_numbered_attempts():
    practice = guide("practice")
    assert ids(practice.steps) == DRILLS
    assert all(step.attempts for step in practice.steps)
    assert not any(step.attempts for name in CATARACT for step in guide(name).steps)


def test_an_attempt_ends_in_one_of_five_ways():
    assert ids(guide("practice").attempt_results) == [
        "done",
        "done-with-flaw",
        "not-finished",
        "stopped",
        "spoiled-material",
    ]


def test_events_have_these_classes():
    all_kinds = guide("cataract-phaco").events
    by_class = {c: [k.id for k in all_kinds if k.event_class == c] for c in CLASSES}
    assert by_class == {c: words(kinds) for c, kinds in CLASSES.items()}
    assert len(all_kinds) == 50 + 9


@pytest.mark.parametrize(
    ("kind", "hour"),
    [
        ("regrab", "halves"),
        ("flap-rescue", "whole"),
        ("tool-swap", "no"),
        ("eye-rolled", "no"),
        ("posterior-open", "whole"),
        ("zonule-loss", "span"),
        ("membrane-off", "span"),
        ("iris-torn", "span"),
        ("piece-back", "no"),
        ("wrong-lens", "no"),
        ("machine-alarm", "no"),
    ],
)
def test_an_event_asks_for_its_hour_as_fits_it(kind: str, hour: str):
    assert guide("cataract-phaco").event_by_id[kind].hour == hour


@pytest.mark.parametrize("name", CATARACT)
def test_only_a_wrong_lens_presses_for_local_reporting(name: str):
    assert [kind.id for kind in guide(name).events if kind.report_locally] == ["wrong-lens"]


@pytest.mark.parametrize("name", CATARACT)
def test_a_complication_is_also_to_be_reported_to_the_hospital(name: str):
    assert "report through your own hospital’s system as well" in guide(name).notice


@pytest.mark.parametrize("name", NAMES)
def test_events_from_outside_are_the_same_everywhere_and_ask_no_hour(name: str):
    outside = [kind for kind in guide(name).events if kind.event_class == "outside"]
    assert ids(outside) == CLASSES["outside"].split()
    assert {kind.hour for kind in outside} == {"no"}


def test_manual_surgery_shares_the_events_but_two_and_has_nine_of_its_own():
    phaco, manual = ids(guide("cataract-phaco").events), ids(guide("cataract-manual-small").events)
    assert set(phaco) - set(manual) == {"surge", "piece-loose"}
    own = set(manual) - set(phaco)
    assert own == set(
        words(
            "tunnel-shallow tunnel-deep early-entry inner-too-small side-tear nucleus-to-cornea "
            "iris-with-nucleus opening-too-small root-tear"
        )
    )
    classes = {guide("cataract-manual-small").event_by_id[kind].event_class for kind in own}
    assert classes == {"slip", "complication"}
    root_tear = guide("cataract-manual-small").event_by_id["root-tear"]
    assert (root_tear.event_class, root_tear.hour) == ("complication", "span")


def test_a_drill_asks_for_the_hour_as_fits_the_drill():
    steps = guide("practice").step_by_id
    asked = {name: steps[name].event_hour for name in ("drill-tear", "drill-wound", "drill-groove")}
    assert asked == {"drill-tear": "halves", "drill-wound": "whole", "drill-groove": "no"}


def test_the_suturing_events_are_slips_without_an_hour():
    kinds = guide("practice").event_by_id
    suturing = words(
        "needle-drop needle-bent bite-uneven tissue-torn second-try loop-lost suture-broken "
        "hand-not-supported"
    )
    found = {(kinds[word].event_class, kinds[word].hour) for word in suturing}
    assert found == {("slip", "no")}


def test_nothing_in_practice_is_a_complication():
    assert "complication" not in {kind.event_class for kind in guide("practice").events}


def test_practice_knows_no_patient():
    practice = guide("practice")
    assert practice.default_setting == "practice-eye"
    assert practice.density is None
    assert practice.difficulties == ()
    assert {found.field for found in practice.header_lists} == {"setting", "seat", "hand"}
    (settings,) = (found for found in practice.header_lists if found.field == "setting")
    assert "patient" not in ids(settings.words)
    assert "cataract-phaco with the setting practice-eye" in practice.notice


def test_phacoemulsification_has_36_instruments_and_manual_surgery_seven_more():
    phaco = guide("cataract-phaco").instrument_by_id
    manual = guide("cataract-manual-small").instrument_by_id
    assert len(phaco) == 36
    assert set(manual) - set(phaco) == set(
        words("blade irrigating-vectis snare glide needle-hook cannula-two-way maintainer")
    )
    assert set(phaco) <= set(manual)


def test_what_stays_in_place_or_lies_beside_does_not_count_as_in_use():
    instruments = guide("cataract-manual-small").instruments
    assert {i.id for i in instruments if not i.counts} == set(
        words("sponge iris-hooks pupil-ring speculum dropper maintainer")
    )
    assert {i.id for i in instruments if i.hand == "second"} == set(
        words("forceps-fixation chopper manipulator ia-irrigating irrigating-cannula")
    )


def test_manual_delivery_has_six_techniques_with_their_instruments():
    techniques = guide("cataract-manual-small").techniques
    assert {t.id: (t.main, t.second) for t in techniques} == {
        "irrigating-loop": (("irrigating-vectis",), ("manipulator",)),
        "pressure-visco": (("cannula-visco",), ("manipulator",)),
        "maintainer-glide": (("glide",), ("manipulator", "maintainer")),
        "bent-needle": (("needle-hook",), ()),
        "two-instrument": (("vectis",), ("manipulator",)),
        "divided-in-chamber": (("snare", "chopper"), ("vectis",)),
    }


def test_looking_a_word_up_does_not_change_a_guide():
    one, other = (Guide.model_validate_json(text_of("practice")) for _ in range(2))
    assert one.step_by_id["drill-tear"].measure
    assert one == other
    assert one.model_dump() == other.model_dump()
    assert one.step_name("no-such-step") == "no-such-step (not in the guide)"
    assert one.parent_of("drill-tear") == "drill-tear"
    assert guide("cataract-phaco").parent_of("leak-check") == "seal"
