"""The window: its rooms, what stands on the desk, and the film that plays."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from PyQt6.QtCore import QTimer, pyqtSignal
from PyQt6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent
from PyQt6.QtWidgets import (
    QApplication,
    QLabel,
    QMainWindow,
    QMessageBox,
    QSizePolicy,
    QStackedWidget,
    QWidget,
)

from aftercase.document.folder import CASE_FILE
from aftercase.errors import AftercaseError
from aftercase.gui.abilities import use
from aftercase.gui.background import begin_background
from aftercase.gui.busy import BusyTasks
from aftercase.gui.film.view import FilmView
from aftercase.gui.opening import Opening
from aftercase.gui.pages.cover import Cover
from aftercase.gui.pages.right_case_page import RightCasePage
from aftercase.gui.pages.table import PAGES
from aftercase.gui.screening import Screening
from aftercase.gui.sheet import Sheet
from aftercase.gui.shortcuts import Shortcuts
from aftercase.gui.sound import find_sound
from aftercase.gui.start.start_page import StartPage
from aftercase.gui.strip.strip import Strip
from aftercase.gui.theme import Theme, chosen_theme, wear
from aftercase.gui.workbench import Workbench
from aftercase.media.playback import Player
from aftercase.model.base import id_source
from aftercase.session.desk import Desk, Tone, in_words
from aftercase.session.people import Person, remembered_person, take_name
from aftercase.session.places import Places
from aftercase.session.positions import PlaceKeeper, Spot, kept_place, place_at
from aftercase.session.recents import Recent, remember_case
from aftercase.session.saver import Saver, SaveState
from aftercase.session.settings import Settings, change_settings
from aftercase.session.stage import Ability, Page, Question, Room
from aftercase.session.tasks.quick_case import quick_case_at

_WIDTH_PX, _HEIGHT_PX = 1280, 720
_LEAST_WIDTH_PX, _LEAST_HEIGHT_PX = 1024, 600
_KEEP_PLACE_MS: Final = 1000
_CLOSE_S: Final = 5.0


class Window(QMainWindow):
    """The program's window; see `host.Host` for what its parts may use of it.

    Args:
        at: The program's folders.
        settings: What the person chose.
        theme: The colours.
        player: Plays the films; one with the film's sound where left out.
    """

    _saving_told = pyqtSignal(object)

    def __init__(
        self, at: Places, settings: Settings, theme: Theme, *, player: Player | None = None
    ) -> None:
        super().__init__()
        self.at, self.settings, self.theme = at, settings, theme
        self.person: Person | None = remembered_person(at)
        self.desk: Desk | None = None
        self.room: Room = "start"
        sound, self._no_sound = find_sound()
        self.player = player or Player(sound=sound)
        self.player.set_rate(settings.last_rate)
        self.player.set_volume(1.0 if settings.sound_on else 0.0)
        self.film: FilmView = FilmView(theme)
        self.strip: Strip = Strip(theme)
        self.busy = BusyTasks(self)
        self._screening = Screening(self.player, self.film)
        self._opening = Opening(self.player, at, id_source())
        self._places = PlaceKeeper(at)
        self._spot: Spot | None = None
        self._recents = Saver[Recent](lambda case: remember_case(at, case.path, case.code))
        self._bench: Workbench | None = None
        self._start = StartPage(self)
        self._sheet = Sheet()
        self._rooms = QStackedWidget()
        for widget in (self._start, self._sheet):
            self._rooms.addWidget(widget)
        self.setCentralWidget(self._rooms)
        self._shortcuts = Shortcuts(self, self, settings.keys)
        self._cover = Cover(self, settings.idle_minutes)
        self._lay_out_frame()
        self._connect()

    # What actions use ---------------------------------------------------------------------

    def enter(self, room: Room) -> None:
        """Show a room."""
        if room != "start" and self._bench is None:
            return
        self.room = room
        self._sheet.clear()
        if room == "start":
            self.player.rest()
            self._start.refresh()
            self._rooms.setCurrentWidget(self._start)
        elif self._bench is not None:
            self._rooms.setCurrentWidget(self._bench)
            self._bench.show_room(room)
        self._shortcuts.refresh()

    def show_page(self, page: Page) -> None:
        """Show a page over the room."""
        self.show_widget(PAGES[page](self))

    def show_widget(self, page: QWidget) -> None:
        """Show a made page over the room."""
        self.player.rest()
        self._sheet.show_page(page)
        self._rooms.setCurrentWidget(self._sheet)
        self._shortcuts.refresh()

    def take_film_focus(self) -> None:
        """Give the keys back to the film."""
        if self._bench is not None:
            self._bench.take_focus()

    def leave_page(self) -> None:
        """Close the page that is open over the room."""
        self.enter(self.room)

    def ask(self, question: Question) -> None:
        """Ask something beside the film."""
        if self._bench is not None:
            self._bench.ask(question)

    def open_line(self, kind: str | None = None) -> None:
        """Open the line that remarks are typed in."""
        if self._bench is not None:
            self._bench.line.open(kind)

    def use(self, ability: Ability) -> None:
        """Do what only the window can."""
        use(self, ability)

    def replay(self, deed: str) -> None:
        """Do something in the replay room."""
        if self._bench is not None:
            self._bench.replay.do(deed)

    # What pages use -----------------------------------------------------------------------

    def be(self, person: Person | None) -> None:
        """Let somebody else review from now on; the case is opened again as theirs."""
        self.person = person
        self.tell("")
        self._cover.lift()
        if self.desk is None:
            self._start.refresh()
            return
        case = self.desk.opened.folder.path
        self._put_away()
        if person is not None:
            try:
                take_name(case, self.at, person)
            except AftercaseError as fault:
                self.tell(in_words(fault), "refused")
        self.open_path(case)

    def change_settings(self, **choices: Any) -> None:
        """Choose something anew, at once and for next time."""
        self.settings = change_settings(self.at, **choices)
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        self.theme = chosen_theme(self.settings.theme, application)
        wear(application, self.theme, self.settings.text_size_percent)
        self.film.wear(self.theme)
        self.strip.wear(self.theme)
        self._shortcuts.take_keys(self.settings.keys)
        self._cover.idle_minutes = self.settings.idle_minutes
        self.player.set_volume(1.0 if self.settings.sound_on else 0.0)
        if self.desk is not None:
            self.desk.take_settings(self.settings)

    def open_path(self, case: Path, spot: Spot | None = None) -> None:
        """Open a case folder and show it, at a spot where one is given."""
        self._put_away()
        self._spot = spot
        try:
            self._opening.open(case, self.person, self.settings, self._saving_told.emit)
        except AftercaseError as fault:
            self.tell(in_words(fault), "refused")
            return
        self._opening.look()

    def new_from(self, films: tuple[Path, ...]) -> None:
        """Make a case from films at once and show it."""
        self.in_background("Reading the film", quick_case_at, films, self.at, done=self.open_path)

    def in_background(
        self,
        title: str,
        function: Callable[..., Any],
        *args: Any,
        done: Callable[[Any], None] = lambda result: None,
        failed: Callable[[AftercaseError], None] | None = None,
    ) -> None:
        """Run a task in a process of its own, with progress and cancel in the window."""
        self.busy.run(
            title,
            function,
            *args,
            done=done,
            failed=failed or (lambda fault: self.tell(in_words(fault), "refused")),
        )

    def tell(self, text: str, tone: Tone = "done") -> None:
        """Say something to the person."""
        self._words.setText(text)
        self._words.setToolTip(text)
        self._words.setProperty("role", "warn" if tone == "refused" else "")
        style = self._words.style()
        if style is not None:
            style.polish(self._words)

    def show_given(self, given: tuple[Path, ...]) -> None:
        """Show what the program was started with: a case, films, or the start page."""
        self.enter("start")
        if self._no_sound:
            self.tell(self._no_sound)
        self._take(given)

    def saved_words(self) -> str:
        """Say whether everything is saved, in a sentence."""
        state = self.desk.hand.saving.word if self.desk is not None else "saved"
        if state == "not-saved":
            return "The last change is not saved yet; it is tried again when you change something."
        return "Everything you typed is saved."

    # Inside -------------------------------------------------------------------------------

    def _lay_out_frame(self) -> None:
        self.setWindowTitle("Aftercase")
        self.setMinimumSize(_LEAST_WIDTH_PX, _LEAST_HEIGHT_PX)
        self.resize(_WIDTH_PX, _HEIGHT_PX)
        self.setAcceptDrops(True)
        bar = self.statusBar()
        assert bar is not None
        self._words = QLabel()
        self._words.setAccessibleName("What happened")
        self._words.setMinimumWidth(0)
        self._words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        bar.addWidget(self._words, 1)
        bar.addPermanentWidget(self.busy.view)
        bar.setSizeGripEnabled(False)

    def _connect(self) -> None:
        self._saving_told.connect(self._saving_changed)  # from a saving thread: queued by Qt
        self._screening.shown.connect(self._moment_shown)
        self._screening.state_changed.connect(self._film_state_changed)
        self._opening.ready.connect(self._put_on_desk)
        self._sheet.left.connect(self.leave_page)
        self._place_timer = QTimer(self)
        self._place_timer.setSingleShot(True)
        self._place_timer.setInterval(_KEEP_PLACE_MS)
        self._place_timer.timeout.connect(self._keep_place)

    def _moment_shown(self) -> None:
        if self._opening.is_under_way:
            self._opening.look()
        if self.desk is not None and not self._opening.is_under_way:
            self.desk.show_moment(self.player.at_us)
            if not self._place_timer.isActive():
                self._place_timer.start()

    def _film_state_changed(self) -> None:
        if self._bench is not None:
            self._bench.clock_bar.show_speed()
        fault = self.player.fault
        if fault is not None and not self._opening.is_under_way:
            self.tell(in_words(fault), "refused")

    def _saving_changed(self, state: SaveState) -> None:
        if self.desk is not None:
            self.desk.saving_changed(self.desk.hand.saving)

    def _put_on_desk(self, desk: Desk, words: str) -> None:
        self.desk = desk
        desk.listen("words", self._tell_desk)
        self._bench = Workbench(self, desk, self.film, self.strip)
        self._rooms.addWidget(self._bench)
        desk.listen("review", self._shortcuts.refresh)
        desk.listen("case", lambda: self.player.set_bounds(*desk.bounds_us))
        self._recents.save(Recent(desk.opened.folder.path, desk.case.code))
        self.setWindowTitle(f"Aftercase – case {desk.case.code}")
        place = kept_place(self.at, desk)
        if self._spot is not None:
            place = place_at(desk, self._spot, place)
        self._show_case(place.room if place is not None else "review")
        if place is not None:
            desk.show_stretch(*place.strip_us)
            desk.select(*place.selection)
            self.player.go_to(place.at_us)
        if words:
            self.tell(words, "refused")
        begin_background(self, desk)

    def _show_case(self, room: Room) -> None:
        """Show the case on the desk; one that shares its film is asked about first."""
        is_shared = self.desk is not None and self.desk.case.window is not None
        self.enter("start" if is_shared else room)
        if is_shared:
            self.show_widget(RightCasePage(self, room))

    def _tell_desk(self) -> None:
        if self.desk is not None and self.desk.words is not None:
            self.tell(self.desk.words.text, self.desk.words.tone)

    def _keep_place(self) -> None:
        if self.desk is not None:
            self._places.keep(self.desk, self.room, self.player.rate)

    def _put_away(self) -> None:
        """Write what is waiting and take the case off the desk."""
        if self.desk is None:
            return
        self._keep_place()
        desk, self.desk = self.desk, None
        bench, self._bench = self._bench, None
        if bench is not None:
            bench.stop()
            for widget in (self.film, self.strip):
                widget.setParent(None)
            self._rooms.removeWidget(bench)
            bench.deleteLater()
        desk.close()

    def _take(self, given: tuple[Path, ...]) -> None:
        """Open a case folder, or make a case from films."""
        if len(given) == 1 and (given[0] / CASE_FILE).is_file():
            self.open_path(given[0])
        elif given:
            self.new_from(given)

    # Qt's own -----------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent | None) -> None:  # noqa: N802
        """Let files be dropped anywhere on the window."""
        data = event.mimeData() if event is not None else None
        if event is not None and data is not None and data.hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent | None) -> None:  # noqa: N802
        """Open a dropped case, or make a case from dropped films."""
        data = event.mimeData() if event is not None else None
        if event is not None and data is not None:
            event.acceptProposedAction()
            self._take(tuple(Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile()))

    def closeEvent(self, event: QCloseEvent | None) -> None:  # noqa: N802
        """Close when everything is written, or when the person says so."""
        assert event is not None
        if self.desk is not None and not self._may_close():
            event.ignore()
            return
        self._sheet.clear()
        self._put_away()
        self._start.stop()
        self.busy.stop_all()
        self._places.close()
        self._recents.close()
        self._screening.stop()
        self.player.close()
        event.accept()

    def _may_close(self) -> bool:
        assert self.desk is not None
        state = self.desk.hand.wait_until_saved(_CLOSE_S)
        if state.word == "saved":
            return True
        why = in_words(state.fault) if state.fault is not None else "The disk does not answer."
        answer = QMessageBox.warning(
            self,
            "Not saved",
            f"The last changes are not saved. {why}",
            QMessageBox.StandardButton.Retry
            | QMessageBox.StandardButton.Discard
            | QMessageBox.StandardButton.Cancel,
            QMessageBox.StandardButton.Retry,
        )
        if answer == QMessageBox.StandardButton.Retry:
            self.desk.hand.try_again()
            return self._may_close()
        return answer == QMessageBox.StandardButton.Discard
