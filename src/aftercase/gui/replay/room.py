"""The two sides of the replay room: the moments on the left, what is said of one on the right."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import (
    QComboBox,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPlainTextEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from aftercase.clock import text_of
from aftercase.gui.host import Host
from aftercase.gui.replay.beside import beside_page
from aftercase.gui.replay.both import BothReviews
from aftercase.model.review import Remark, Review
from aftercase.session.desk import Desk
from aftercase.session.replaying import (
    ReplayMoment,
    Shown,
    moments_of,
    next_choice,
    replayed,
)
from aftercase.session.tasks.hand_over import may_open
from aftercase.session.verbs import replying
from aftercase.session.verbs.remarks import KIND_NAMES, KIND_SIGNS

_SIGN_OF: Final = {kind: sign for sign, kind in KIND_SIGNS.items()}
_SLOWLY: Final = 0.25
_NOTHING: Final = (
    "Nothing is released for this case yet. When a review is released, its moments stand here."
)


class ReplaySides:
    """What stands left and right of the film in the replay room.

    Args:
        host: The window.
        desk: The case on the desk.
    """

    def __init__(self, host: Host, desk: Desk) -> None:
        self._host, self._desk = host, desk
        self._shown = Shown()
        self._place = 0
        self._is_shown = False
        self._list = QListWidget()
        self._list.setAccessibleName("Moments")
        self._list.setWordWrap(True)
        self._list.setSpacing(3)
        self._list.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._list.itemClicked.connect(self._clicked)
        self._list.itemActivated.connect(self._clicked)
        self._whose = QComboBox()
        self._whose.setAccessibleName("Whose review is replayed")
        self._whose.activated.connect(lambda _: self._show_list())
        self._filter = _wrapped()
        self.left = _column(self._whose, self._filter, self._list)
        self._head, self._words, self._times = _wrapped("heading"), _wrapped(), _wrapped("soft")
        self._answer = QPlainTextEdit()
        self._answer.setAccessibleName("Your answer or question")
        self._answer.setPlaceholderText("Your answer or question (it goes into your own review)")
        self._answer.setTabChangesFocus(True)
        self._answer.textChanged.connect(self._typed)
        self._understood = QPushButton()
        self._understood.clicked.connect(lambda: self.do("understood"))
        self._ask = QPushButton("It is a question")
        self._ask.setCheckable(True)
        self._ask.clicked.connect(self._asked)
        self.right = _scrolled(
            self._head, self._words, self._times, self._understood, self._answer, self._ask
        )
        self._deeds: dict[str, Callable[[], None]] = {
            "next": lambda: self._go(1),
            "previous": lambda: self._go(-1),
            "again": lambda: self._play(1.0),
            "slowly": lambda: self._play(_SLOWLY),
            "starred": lambda: self._narrow(starred=not self._shown.starred),
            "kind": lambda: self._turn("kind"),
            "step": lambda: self._turn("step"),
            "understood": self._switch_understood,
            "answer": lambda: self._answer.setFocus(Qt.FocusReason.ShortcutFocusReason),
            "before": self._before_the_case,
            "both": self._both,
            "beside": self._beside,
            "others": self._others_times,
        }
        self._reviews = self._found()
        for review in self._reviews:
            self._whose.addItem(_whose_words(review))
        self._whose.setVisible(len(self._reviews) > 1)
        self._stops = [desk.listen("review", self._show_moment)]
        self._show_list()

    @property
    def review(self) -> Review | None:
        """The review that is replayed, None where there is none."""
        place = self._whose.currentIndex()
        return self._reviews[place] if 0 <= place < len(self._reviews) else None

    @property
    def moment(self) -> ReplayMoment | None:
        """The moment that is shown, None where there is none."""
        moments = self._moments()
        return moments[min(self._place, len(moments) - 1)] if moments else None

    def shown(self, is_shown: bool) -> None:
        """Take note that the room is entered or left."""
        self._is_shown = is_shown
        if is_shown:
            self._show_moment()

    def do(self, deed: str) -> None:
        """Do one of the room's deeds, named as in the table of actions."""
        self._deeds[deed]()

    def stop(self) -> None:
        """Listen no more."""
        for stop in self._stops:
            stop()

    def _found(self) -> tuple[Review, ...]:
        desk = self._desk
        reviews = [stored.record for stored in desk.opened.reviews]
        who = desk.review.reviewer
        found = replayed(reviews, who)
        return tuple(one for one in found if may_open(desk.case, desk.review, one) is None)

    def _moments(self) -> list[ReplayMoment]:
        review = self.review
        if review is None:
            return []
        every = moments_of(review, self._desk.guide, self._desk.bounds_us)
        return [moment for moment in every if self._shown.takes(moment)]

    def _show_list(self) -> None:
        self._list.clear()
        for moment in self._moments():
            self._list.addItem(QListWidgetItem(_row(moment, self._desk)))
        self._filter.setText(_filter_words(self._shown, self._desk))
        self._place = min(self._place, max(self._list.count() - 1, 0))
        self._show_moment()

    def _show_moment(self) -> None:
        moment, review = self.moment, self.review
        for widget in (self._answer, self._ask, self._understood, self._times):
            widget.setVisible(moment is not None and self._is_anothers)
        if moment is None or review is None:
            self._head.setText("")
            self._words.setText(_refused_words(self._desk) or _NOTHING)
            return
        self._times.setVisible(moment.step_span_us is not None)
        self._list.setCurrentRow(self._place)
        remark = moment.remark
        self._head.setText(f"{_SIGN_OF.get(remark.kind, '')} {_kind(remark)} · {_time(remark)}")
        self._words.setText(_said(remark))
        self._times.setText(_step_words(moment, self._desk))
        reply = replying.reply_to(self._desk, review, remark)
        word = reply.understood if reply is not None else "not-said"
        self._understood.setText(
            {"understood": "Understood ✓", "not-yet": "Not yet clear"}.get(word, "Understood?")
        )
        text = reply.text if reply is not None else ""
        if self._answer.toPlainText() != text and not self._answer.hasFocus():
            self._answer.blockSignals(True)
            self._answer.setPlainText(text)
            self._answer.blockSignals(False)
        self._ask.setChecked(reply is not None and reply.asks)
        for widget in (self._answer, self._ask, self._understood):
            widget.setEnabled(self._desk.is_draft)

    @property
    def _is_anothers(self) -> bool:
        return self.review is not None and self.review.reviewer != self._desk.review.reviewer

    def _clicked(self, item: QListWidgetItem) -> None:
        self._place = self._list.row(item)
        self._play(1.0)

    def _go(self, places: int) -> None:
        count = len(self._moments())
        if not count:
            return
        self._place = min(max(self._place + places, 0), count - 1)
        self._play(1.0)

    def _play(self, rate: float) -> None:
        moment, review = self.moment, self.review
        if moment is None or review is None:
            return
        self._answer.clearFocus()
        self._show_moment()
        player = self._host.player
        player.stop_loop()
        player.set_rate(rate)
        player.play_span(moment.start_us, moment.end_us)
        if self._is_anothers and self._desk.is_draft:
            replying.say_watched(self._desk, review, moment.remark)

    def _narrow(self, **changes: bool) -> None:
        self._shown = Shown(self._shown.kind, self._shown.step, **changes)
        self._place = 0
        self._show_list()

    def _turn(self, field: str) -> None:
        review = self.review
        if review is None:
            return
        every = moments_of(review, self._desk.guide, self._desk.bounds_us)
        self._shown = next_choice(self._shown, field, every)
        self._place = 0
        self._show_list()

    def _switch_understood(self) -> None:
        if self.moment is not None and self.review is not None and self._is_anothers:
            replying.switch_understood(self._desk, self.review, self.moment.remark)

    def _typed(self) -> None:
        if self.moment is not None and self.review is not None and self._is_anothers:
            text = self._answer.toPlainText()
            replying.say_answer(self._desk, self.review, self.moment.remark, text)

    def _asked(self) -> None:
        if self.moment is not None and self.review is not None and self._is_anothers:
            asks = self._ask.isChecked()
            replying.say_asks(self._desk, self.review, self.moment.remark, asks)

    def _before_the_case(self) -> None:
        """Show the goals, and play the first point to work on: what to think of before a case."""
        review = self.review
        if review is None:
            return
        goals = [goal.act for goal in review.goals] or ["No goal was set."]
        self._desk.tell("Before the next case: " + " · ".join(goals))
        self._shown = Shown()
        self._show_list()
        points = review.closing.points
        places = [n for n, moment in enumerate(self._moments()) if moment.remark.id in points]
        if places:
            self._place = places[0]
            self._play(1.0)

    def _both(self) -> None:
        if self.review is not None and self._is_anothers:
            self._host.show_widget(BothReviews(self._host, self._desk, self.review))
        else:
            self._desk.tell("There is no other review to lay beside your own.", "refused")

    def _beside(self) -> None:
        moment = self.moment
        step = moment.step if moment is not None else ""
        if not step:
            self._desk.tell("Choose a moment inside a step first.", "refused")
            return
        self._host.show_widget(beside_page(self._host, self._desk, step))

    def _others_times(self) -> None:
        self._desk.tell(
            "Times of others come from the department's library. A range stands only for five "
            "other residents and twenty cases, and duration is not quality.",
        )


def _refused_words(desk: Desk) -> str | None:
    """Return why nothing may be replayed yet, in words; None where nothing stands in the way."""
    reviews = [stored.record for stored in desk.opened.reviews]
    who = desk.review.reviewer
    return next(
        (
            why
            for review in replayed(reviews, who)
            if (why := may_open(desk.case, desk.review, review)) is not None
        ),
        None,
    )


def _whose_words(review: Review) -> str:
    return f"{review.reviewer}, {review.role.replace('-', ' ')}, revision {review.revision}"


def _kind(remark: Remark) -> str:
    return KIND_NAMES.get(remark.kind, remark.kind)


def _time(remark: Remark) -> str:
    return text_of(remark.at_us)[:-4]


def _row(moment: ReplayMoment, desk: Desk) -> str:
    remark = moment.remark
    star = "★ " if remark.starred else ""
    step = f" · {desk.guide.step_name(moment.step)}" if moment.step else ""
    return (
        f"{_SIGN_OF.get(remark.kind, '·')} {star}{_time(remark)} {_kind(remark)}{step}\n"
        f"{remark.text}"
    )


def _said(remark: Remark) -> str:
    parts = [remark.text]
    if remark.reason:
        parts.append(f"Why: {remark.reason}")
    if remark.next_time:
        parts.append(f"Next time: {remark.next_time}")
    return "\n\n".join(part for part in parts if part)


def _step_words(moment: ReplayMoment, desk: Desk) -> str:
    if moment.step_span_us is None:
        return ""
    start_us, end_us = moment.step_span_us
    return (
        f"{desk.guide.step_name(moment.step)}: {text_of(start_us)[:-4]} to {text_of(end_us)[:-4]}, "
        f"{text_of(end_us - start_us)}. Duration is not quality."
    )


def _filter_words(shown: Shown, desk: Desk) -> str:
    parts = [
        KIND_NAMES.get(shown.kind, shown.kind),
        desk.guide.step_name(shown.step) if shown.step else "",
        "starred" if shown.starred else "",
    ]
    return "Only: " + ", ".join(p for p in parts if p) if any(parts) else "All moments"


def _wrapped(role: str = "") -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setProperty("role", role)
    return label


def _column(*widgets: QWidget) -> QWidget:
    column = QWidget()
    rows = QVBoxLayout(column)
    rows.setContentsMargins(6, 6, 6, 6)
    for widget in widgets:
        rows.addWidget(widget)
    return column


def _scrolled(*widgets: QWidget) -> QScrollArea:
    inner = _column(*widgets)
    layout = inner.layout()
    assert isinstance(layout, QVBoxLayout)
    layout.addStretch(1)
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setWidget(inner)
    return area
