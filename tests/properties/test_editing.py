"""Whatever is edited, undone, redone, saved and loaded: a review reads back as it was written."""

from __future__ import annotations

import random
import shutil
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from aftercase.document.codec import decoded, encoded
from aftercase.document.folder import (
    CaseFolder,
    create_case,
    latest_of,
    new_review,
    read_reviews,
    write_review,
)
from aftercase.edit import records
from aftercase.edit.answer import add_flag, set_reply
from aftercase.edit.drawing import draw, undraw
from aftercase.edit.history import History
from aftercase.edit.measuring import (
    add_calibration,
    add_measure,
    change_calibration,
    change_measure,
)
from aftercase.edit.review import adopt, close_with
from aftercase.errors import EditRefused
from aftercase.model.base import id_source
from aftercase.model.case import Case, GuideReference
from aftercase.model.guide import Guide, Instrument, Step
from aftercase.model.measure import BASES, MEASURE_KINDS, Calibration, Measure
from aftercase.model.review import (
    COLOURS,
    RECORD_LISTS,
    SHAPES,
    UNDERSTANDINGS,
    Closing,
    Drawing,
    Goal,
    InstrumentSpan,
    Origin,
    Remark,
    Review,
)
from aftercase.model.rules import review_problems

END_US = 1_000_000
STEPS = ("incision", "rhexis", "hydro")
NOW = datetime(2031, 5, 20, tzinfo=UTC)

moments = st.integers(0, END_US - 1)
places = st.integers(0, 10**6)
shares = st.floats(0.0, 1.0)
ways = st.lists(st.tuples(shares, shares), max_size=12)
texts = st.text(st.characters(codec=None), max_size=12)

GUIDE = Guide(
    id="three-step",
    guide_version="1.0",
    name="Three steps",
    steps=tuple(Step(id=step, name=step, strip_label=step) for step in STEPS),
    instruments=(Instrument(id="knife", name="Knife"),),
)


class Editing(RuleBasedStateMachine):
    """A review in hand beside a plain list of all its states."""

    def __init__(self) -> None:
        super().__init__()
        self.new_id = id_source(random.Random(7))
        self.root = Path(tempfile.mkdtemp())
        self.case = Case(
            id=self.new_id(),
            code="PE-01",
            guide=GuideReference(id=GUIDE.id, guide_version="1.0"),
            stated_duration_us=END_US,
        )
        self.folder = CaseFolder(self.root / "case", self.root / "drafts")
        create_case(self.folder, self.case, GUIDE)
        review = Review(id=self.new_id(), case=self.case.id, reviewer="T1")
        self.history = History(review)
        self.states, self.at = [review], 0
        self.stored = new_review(self.folder, review)

    def teardown(self) -> None:
        shutil.rmtree(self.root)

    @initialize(starts=st.lists(moments, max_size=6))
    def another_person_has_marked(self, starts):
        other = Review(id=self.new_id(), case=self.case.id, reviewer="T2")
        for start_us in starts:
            other = records.begin_step(other, STEPS[start_us % 3], start_us, END_US, self.new_id)
        self.other = other

    @property
    def review(self) -> Review:
        return self.history.present

    def edit(self, edit):
        """Apply an edit to the history and to the plain list; a refused one changes nothing."""
        before = encoded(self.review)
        try:
            after = edit(self.review)
        except EditRefused:
            return
        finally:
            assert encoded(self.review) == before
        self.history = self.history.edited(after, "edit")
        if after != self.states[self.at]:
            self.states = [*self.states[: self.at + 1], after]
            self.at += 1

    def all_records(self):
        return [record for name in RECORD_LISTS for record in getattr(self.review, name)]

    def some_record(self, place):
        found = self.all_records()
        return found[place % len(found)].id if found else self.new_id()

    @rule(start_us=moments, length_us=st.integers(-5, 300_000))
    def add_an_instrument(self, start_us, length_us):
        end_us = min(END_US, start_us + length_us)
        fields = {"id": self.new_id(), "instrument": "knife"}
        span = InstrumentSpan(**fields, start_us=start_us, end_us=end_us)
        self.edit(lambda review: records.add(review, "instruments", span))

    @rule(at_us=moments, text=texts)
    def add_a_remark(self, at_us, text):
        remark = Remark(id=self.new_id(), at_us=at_us, text=text)
        self.edit(lambda review: records.add(review, "remarks", remark))

    @rule(place=places)
    def set_a_goal(self, place):
        """Its evidence is a record that later edits may delete or join with another."""
        known = self.all_records()
        evidence = known[place % len(known)].id if known else None
        goal = Goal(id=self.new_id(), act="Hold still", evidence=evidence)
        self.edit(lambda review: records.add(review, "goals", goal))

    @rule(place=places, at_us=moments)
    def move(self, place, at_us):
        record_id = self.some_record(place)
        bound = (*self.review.goals, *self.review.calibrations, *self.review.measures)
        if record_id in {record.id for record in bound}:
            return  # it has no time, or is bound to its frame
        moments = (*self.review.remarks, *self.review.flags, *self.review.replies)
        field = "at_us" if record_id in {r.id for r in moments} else "start_us"
        self.edit(lambda review: records.change(review, record_id, **{field: at_us}))

    @rule(place=places, note=texts)
    def note(self, place, note):
        record_id = self.some_record(place)
        if record_id in {reply.id for reply in self.review.replies}:
            return  # it is all note
        self.edit(lambda review: records.change(review, record_id, note=note))

    @rule(place=places, shape=st.sampled_from(SHAPES), colour=st.sampled_from(COLOURS), way=ways)
    def draw(self, place, shape, colour, way):
        points = tuple(way if shape == "freehand" else way[:2])
        drawing = Drawing(shape=shape, colour=colour, at_us=place, points=points)
        self.edit(lambda review: draw(review, self.some_record(place), drawing))

    @rule(place=places)
    def undraw(self, place):
        drawn = [remark for remark in self.review.remarks if remark.drawings]
        if drawn:
            remark = drawn[place % len(drawn)]
            drawing = remark.drawings[place % len(remark.drawings)]
            self.edit(lambda review: undraw(review, remark.id, drawing))

    @rule(at_us=moments, note=texts)
    def flag(self, at_us, note):
        self.edit(lambda review: add_flag(review, at_us, self.new_id, note))

    @rule(
        number=st.integers(0, 3),
        understood=st.sampled_from((None, *UNDERSTANDINGS)),
        text=st.none() | texts,
        asks=st.none() | st.booleans(),
    )
    def reply(self, number, understood, text, asks):
        to = Origin(case=self.case.id, reviewer="T2", revision=1, id=f"remark{number:020d}")
        said = {"watched": True, "understood": understood, "text": text, "asks": asks}
        self.edit(lambda review: set_reply(review, to, number, self.new_id, **said))

    @rule(
        start_us=moments, length_us=st.integers(-5, 600_000), basis=st.sampled_from(BASES), way=ways
    )
    def calibrate(self, start_us, length_us, basis, way):
        span = {"start_us": start_us, "end_us": min(END_US, start_us + length_us)}
        fields = {"basis": basis, "size_mm": 6.0, "size_from": "measured", "points": tuple(way)}
        ruler = Calibration(id=self.new_id(), at_us=start_us, **span, **fields)
        self.edit(lambda review: add_calibration(review, ruler))

    @rule(
        at_us=moments,
        kind=st.sampled_from(MEASURE_KINDS),
        way=ways,
        place=places,
        known=st.booleans(),
    )
    def measure(self, at_us, kind, way, place, known):
        rulers = self.review.calibrations
        ruler = rulers[place % len(rulers)] if rulers and known else None
        if ruler is not None:
            at_us = ruler.start_us
        times_us = tuple(at_us + n for n in range(len(way))) if kind == "tip-path" else ()
        measure = Measure(
            id=self.new_id(),
            kind=kind,
            at_us=at_us,
            points=tuple(way),
            times_us=times_us,
            calibration=ruler.id if ruler else None,
        )
        self.edit(lambda review: add_measure(review, measure))

    @rule(place=places, at_us=moments, way=ways)
    def measure_again(self, place, at_us, way):
        for records_, change in (
            (self.review.measures, change_measure),
            (self.review.calibrations, change_calibration),
        ):
            if records_:
                one = records_[place % len(records_)]
                self.edit(lambda r, one=one, change=change: change(r, one.id, points=tuple(way)))
                self.edit(lambda r, one=one, change=change: change(r, one.id, at_us=at_us))

    @rule(place=places)
    def delete(self, place):
        self.edit(lambda review: records.delete(review, self.some_record(place)))

    @rule(place=places, at_us=moments)
    def split(self, place, at_us):
        record_id = self.some_record(place)
        self.edit(lambda review: records.split(review, record_id, at_us, self.new_id))

    @rule(name=st.sampled_from(("steps", "instruments")), one=places, other=places)
    def join(self, name, one, other):
        spans = getattr(self.review, name)
        if spans:
            pair = spans[one % len(spans)].id, spans[other % len(spans)].id
            self.edit(lambda review: records.join(review, *pair))

    @rule(step=st.sampled_from(STEPS), at_us=moments)
    def begin_step(self, step, at_us):
        self.edit(lambda review: records.begin_step(review, step, at_us, END_US, self.new_id))

    @rule(data=st.data(), words=texts)
    def close(self, data, words):
        ids = [remark.id for remark in self.review.remarks]
        chosen = data.draw(st.lists(st.sampled_from(ids), max_size=3)) if ids else []
        closing = Closing(strengths=tuple(chosen[:2]), points=tuple(chosen), words=words)
        self.edit(lambda review: close_with(review, closing))

    @rule()
    def adopt(self):
        self.edit(lambda review: adopt(review, self.other, self.new_id))
        adopted = {span.adopted_from.id for span in self.review.steps if span.adopted_from}
        assert adopted <= {span.id for span in self.other.steps}

    @rule()
    def undo(self):
        self.history = self.history.undone()
        self.at = max(0, self.at - 1)

    @rule()
    def redo(self):
        self.history = self.history.redone()
        self.at = min(len(self.states) - 1, self.at + 1)

    @rule()
    def save(self):
        self.stored = write_review(self.folder, self.stored, self.review, now=NOW)

    @rule()
    def load(self):
        if self.stored.digest is None:
            return
        saved = latest_of(read_reviews(self.folder, self.case.id), "T1")
        assert saved == self.stored

    @invariant()
    def it_reads_back_as_it_was_written(self):
        assert decoded(Review, encoded(self.review), Path("r.json")) == self.review

    @invariant()
    def undo_and_redo_agree_with_a_plain_list(self):
        assert self.review == self.states[self.at]
        assert bool(self.history.undo_label) == (self.at > 0)
        assert bool(self.history.redo_label) == (self.at < len(self.states) - 1)

    @invariant()
    def no_rule_is_broken(self):
        assert review_problems(self.review, self.case, GUIDE) == []

    @invariant()
    def records_stand_in_the_order_of_time(self):
        for name in ("steps", "instruments"):
            starts = [span.start_us for span in getattr(self.review, name)]
            assert starts == sorted(starts)


TestEditing = Editing.TestCase
TestEditing.settings = settings(
    max_examples=200,
    stateful_step_count=40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
