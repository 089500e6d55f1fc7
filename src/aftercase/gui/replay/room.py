"""The replay room: which moment is looked at, and what is done with it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Final

from aftercase.gui.host import Host
from aftercase.gui.replay import words
from aftercase.gui.replay.beside import BesidePage
from aftercase.gui.replay.both import BothReviews
from aftercase.gui.replay.moment_list import MomentList
from aftercase.gui.replay.moment_panel import MomentPanel
from aftercase.model.review import Review
from aftercase.session.answers import answers_to
from aftercase.session.cases import cases_near
from aftercase.session.desk import Desk
from aftercase.session.replaying import (
    ReplayMoment,
    Shown,
    moments_of,
    next_choice,
    openable,
    shown_moments,
)
from aftercase.session.verbs import replying

if TYPE_CHECKING:
    from aftercase.session.tasks.others_times import OthersTimes

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
        self._place, self._whose = 0, 0
        self._is_shown = self._has_begun = False
        self._rate = 1.0
        self._reviews: tuple[Review, ...] = ()
        self._refused = self._asked_of = ""
        self.left = MomentList(host, self._choose, self._choose_review)
        self.right = MomentPanel(
            self._switch_understood, self._answer, self._ask, host.take_film_focus
        )
        self._deeds: dict[str, Callable[[], None]] = {
            "next": lambda: self._go(1),
            "previous": lambda: self._go(-1),
            "again": lambda: self._play(1.0),
            "slowly": lambda: self._play(_SLOWLY),
            "over": lambda: self._play(self._host.player.rate, again=True),
            "starred": lambda: self._narrow(starred=not self._shown.starred),
            "kind": lambda: self._turn("kind"),
            "step": lambda: self._turn("step"),
            "understood": self._switch_understood,
            "answer": self.right.take_answer,
            "before": self._before_the_case,
            "both": self._both,
            "beside": self._beside,
            "others": self._others_times,
        }
        self._stops = [desk.listen("review", self._own_changed)]
        self._refresh()

    @property
    def review(self) -> Review | None:
        """The review that is replayed, None where there is none."""
        return self._reviews[self._whose] if self._reviews else None

    @property
    def moment(self) -> ReplayMoment | None:
        """The moment that is shown, None where there is none."""
        moments = self._moments()
        return moments[min(self._place, len(moments) - 1)] if moments else None

    def shown(self, is_shown: bool) -> None:
        """Take note that the room is entered or left; its speed stays in it."""
        player = self._host.player
        if is_shown and not self._is_shown:
            self._rate = player.rate
        elif self._is_shown and not is_shown:
            player.stop_loop()
            player.set_rate(self._rate)
        self._is_shown = is_shown
        self._refresh()

    def do(self, deed: str) -> None:
        """Do one of the room's deeds, named as in the table of actions."""
        self._deeds[deed]()

    def stop(self) -> None:
        """Listen no more."""
        for stop in self._stops:
            stop()

    # What is shown ------------------------------------------------------------------------

    def _own_changed(self) -> None:
        if self._is_shown:  # while marking nobody looks at this
            self._refresh()

    def _refresh(self) -> None:
        """Show anew which reviews can be opened, and the moment; sealing one's own opens more."""
        desk = self._desk
        before = self.review
        on_disk = [stored.record for stored in desk.opened.reviews]
        self._reviews, self._refused = openable(desk.case, on_disk, desk.review)
        who = None if before is None else before.reviewer
        people = [one.reviewer for one in self._reviews]
        self._whose = people.index(who) if who in people else 0
        names = [words.whose_words(one, desk.review.reviewer) for one in self._reviews]
        self.left.show_whose(names, self._whose)
        self._show()

    def _show(self) -> None:
        desk, review = self._desk, self.review
        if self._is_shown or desk.replayed is not None:
            desk.show_replayed(review if self._is_shown else None)
        moments = self._moments()
        self._place = min(self._place, max(len(moments) - 1, 0))
        rows = [
            words.moment_row(
                one, desk.guide, replying.reply_to(desk, review, one.remark) if review else None
            )
            for one in moments
        ]
        self.left.show_rows(rows, words.filter_words(self._shown, desk.guide), self._place)
        before = self._shown.before_a_case and review is not None
        self.right.show_goals(words.goal_words(review, desk.guide) if before and review else "")
        self._show_moment()

    def _show_moment(self) -> None:
        desk, moment, review = self._desk, self.moment, self.review
        if moment is None or review is None:
            nothing = "" if review is not None else _NOTHING
            self.right.show_others("")
            self.right.show_moment("", self._refused or nothing, "", "")
            self.right.show_reply(None, is_open=False)
            return
        remark = moment.remark
        if remark.id != self._asked_of:
            self.right.show_others("")
        answers = {} if self._is_anothers else answers_to(desk.opened, review)
        self.right.show_moment(
            words.head_words(remark),
            words.said_words(remark),
            words.step_words(moment, desk.guide),
            "\n\n".join(answers.get(remark.id, ())) or self._refused,
        )
        reply = replying.reply_to(desk, review, remark)
        self.right.show_reply(reply, is_open=self._is_anothers and replying.may_reply(desk))

    def _moments(self) -> tuple[ReplayMoment, ...]:
        if self.review is None:
            return ()
        desk = self._desk
        return shown_moments(self.review, desk.guide, desk.bounds_us, self._shown)

    @property
    def _is_anothers(self) -> bool:
        return self.review is not None and self.review.reviewer != self._desk.review.reviewer

    # Going through them -------------------------------------------------------------------

    def _choose(self, place: int) -> None:
        self._place = place
        self._play(1.0)

    def _choose_review(self, place: int) -> None:
        self._whose, self._has_begun = place, False
        self._narrow()

    def _go(self, places: int) -> None:
        """Play the next or previous moment; the one that waits, where none was played yet."""
        count = len(self._moments())
        if not count:
            return
        if self._has_begun:
            self._place = min(max(self._place + places, 0), count - 1)
        self._play(1.0)

    def _play(self, rate: float, *, again: bool = False) -> None:
        moment, review = self.moment, self.review
        if moment is None or review is None:
            return
        self._has_begun = True
        self._host.take_film_focus()
        player = self._host.player
        player.stop_loop()
        player.set_rate(rate)
        if again:
            player.loop(moment.start_us, moment.end_us)
        else:
            player.play_span(moment.start_us, moment.end_us)
        if self._is_anothers:
            replying.say_watched(self._desk, review, moment.remark)
        self._show()

    def _narrow(self, **changes: bool) -> None:
        self._show_only(Shown(self._shown.kind, self._shown.step, **changes))

    def _turn(self, field: str) -> None:
        if self.review is not None:
            every = moments_of(self.review, self._desk.guide, self._desk.bounds_us)
            self._show_only(next_choice(self._shown, field, every))

    def _show_only(self, shown: Shown) -> None:
        self._shown = shown
        self._place, self._has_begun = 0, False
        self._show()

    # Saying something to them -------------------------------------------------------------

    def _switch_understood(self) -> None:
        if self.moment is not None and self.review is not None and self._may_reply():
            replying.switch_understood(self._desk, self.review, self.moment.remark)

    def _answer(self, text: str) -> None:
        if self.moment is not None and self.review is not None and self._may_reply():
            replying.say_answer(self._desk, self.review, self.moment.remark, text)

    def _ask(self, asks: bool) -> None:
        if self.moment is not None and self.review is not None and self._may_reply():
            replying.say_asks(self._desk, self.review, self.moment.remark, asks)
            self._show_moment()

    def _may_reply(self) -> bool:
        return self._is_anothers and replying.may_reply(self._desk)

    # Beside them --------------------------------------------------------------------------

    def _before_the_case(self) -> None:
        """Show the goals and play the first point to work on; again: all moments."""
        if self.review is None:
            return
        begins = not self._shown.before_a_case
        self._show_only(Shown(before_a_case=begins))
        if begins:
            self._play(1.0)

    def _both(self) -> None:
        chosen = [self.review] if self.review is not None else []
        others = [
            one for one in (*chosen, *self._reviews) if one.reviewer != self._desk.review.reviewer
        ]
        if others:
            self._host.show_widget(BothReviews(self._host, self._desk, others[0]))
        else:
            why = self._refused or "There is no other review to lay beside your own."
            self._desk.tell(why, "refused")

    def _beside(self) -> None:
        moment, review = self.moment, self.review
        if moment is None or review is None or moment.step_span_us is None:
            self._desk.tell("Choose a moment inside a step first.", "refused")
            return
        start_us = moment.step_span_us[0]
        page = BesidePage(self._host, self._desk, review, moment.step, start_us)
        self._host.show_widget(page)

    def _others_times(self) -> None:
        """Look for the times of others, because they were asked for."""
        desk, moment = self._desk, self.moment
        if moment is None or not moment.step:
            desk.tell("Choose a moment inside a step first.", "refused")
            return
        # Late: it loads pandas, and the window must show at once.
        from aftercase.session.tasks.others_times import times_of_others

        self._asked_of = moment.remark.id
        self.right.show_others("Looking for times of others…")
        self._host.in_background(
            "Times of others",
            partial(times_of_others, moment.step, desk.case.trainee),
            cases_near(desk.opened.folder.path, self._host.at),
            self._host.at,
            done=partial(self._take_others, moment.remark.id),
        )

    def _take_others(self, remark_id: str, found: OthersTimes) -> None:
        if remark_id == self._asked_of and self.moment is not None:
            self.right.show_others(words.others_words(found))
