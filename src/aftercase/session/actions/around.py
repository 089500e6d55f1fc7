"""Actions around the film: the strip, the rooms, the case, help."""

from __future__ import annotations

from typing import Final

from aftercase.session.actions.action import (
    EVERYWHERE,
    REPLAYING,
    REVIEWING,
    WHILE_WATCHING,
    Action,
)

STRIP_ACTIONS: Final[tuple[Action, ...]] = (
    Action("open-strip", "Open or close the strip", "Show instruments and single frames.", ("W",),
           "Strip", WHILE_WATCHING, "case", lambda s: s.use("open-strip")),
    Action("strip-in", "Shorter stretch", "Show a shorter stretch, around the shown frame.",
           ("Ctrl+Up",), "Strip", WHILE_WATCHING, "case", lambda s: s.use("strip-in")),
    Action("strip-out", "Longer stretch", "Show a longer stretch.", ("Ctrl+Down",), "Strip",
           WHILE_WATCHING, "case", lambda s: s.use("strip-out")),
    Action("strip-whole", "Whole case", "Show the whole case on the strip.", ("Ctrl+Home",),
           "Strip", WHILE_WATCHING, "case", lambda s: s.use("strip-whole")),
)  # fmt: skip

CASE_ACTIONS: Final[tuple[Action, ...]] = (
    Action("start", "Start page", "Recent cases and what is open.", ("Ctrl+1",), "Case",
           EVERYWHERE, "nothing", lambda s: s.enter("start")),
    Action("review", "Review", "Watch, mark and remark.", ("Ctrl+2",), "Case", EVERYWHERE, "case",
           lambda s: s.enter("review")),
    Action("replay", "Replay", "Watch the moments of a released review.", ("Ctrl+3",), "Case",
           EVERYWHERE, "case", lambda s: s.enter("replay")),
    Action("closing", "Closing", "Strengths, points to work on, goals; seal and release.",
           ("C",), "Case", WHILE_WATCHING, "case", lambda s: s.show_page("closing")),
    Action("report", "Write the report", "Write the critique with its tables and stills.",
           ("Ctrl+R",), "Case", WHILE_WATCHING, "case", lambda s: s.use("report")),
    Action("new-case", "New case", "Drop films in, put parts in order.", ("Ctrl+N",), "Case",
           EVERYWHERE, "nothing", lambda s: s.show_page("new-case")),
    Action("open-case", "Open a case", "Open a case folder.", ("Ctrl+O",), "Case", EVERYWHERE,
           "nothing", lambda s: s.show_page("open-case")),
    Action("case-facts", "About the case", "Eye, trainee, technique and the rest of the header.",
           ("Ctrl+E",), "Case", WHILE_WATCHING, "case", lambda s: s.show_page("case")),
    Action("eye-lies", "How the eye lies",
           "Show on the picture where 12 is, or where the surgeon sits.", ("V",), "Case",
           REVIEWING, "case", lambda s: s.ask("eye-lies")),
    Action("find-film", "Find the film", "Say where a moved film lies; its content is checked.",
           ("Ctrl+F",), "Case", WHILE_WATCHING, "case", lambda s: s.show_page("find-film")),
    Action("person", "Who reviews", "Say whose review this is.", ("Ctrl+P",), "Case", EVERYWHERE,
           "nothing", lambda s: s.show_page("person")),
    Action("save-again", "Save again", "Try to save once more.", ("Ctrl+S",), "Case",
           WHILE_WATCHING, "case", lambda s: s.use("save-again")),
    Action("settings", "Settings", "Keys, lead, theme, text size.", ("Ctrl+,",), "Case",
           EVERYWHERE, "nothing", lambda s: s.show_page("settings")),
)  # fmt: skip

REPLAY_ACTIONS: Final[tuple[Action, ...]] = (
    Action("next-moment", "Next moment", "Play the next moment.", ("Down",), "Replay", REPLAYING,
           "case", lambda s: s.replay("next")),
    Action("previous-moment", "Previous moment", "Play the moment before.", ("Up",), "Replay",
           REPLAYING, "case", lambda s: s.replay("previous")),
    Action("moment-again", "This moment again", "Play it from three seconds before.", ("Return",),
           "Replay", REPLAYING, "case", lambda s: s.replay("again")),
    Action("moment-slowly", "Slowly through it", "Go through it at a quarter of the speed.",
           ("Shift+Return",), "Replay", REPLAYING, "case", lambda s: s.replay("slowly")),
    Action("moment-over", "This moment over and over", "Play it over and over, with its lead-in.",
           ("Shift+Space",), "Replay", REPLAYING, "case", lambda s: s.replay("over")),
    Action("only-starred", "Only the starred", "Show only starred moments, or all.", ("F",),
           "Replay", REPLAYING, "case", lambda s: s.replay("starred")),
    Action("only-kind", "By kind", "Show one kind of remark after the other, then all.", ("T",),
           "Replay", REPLAYING, "case", lambda s: s.replay("kind")),
    Action("only-step", "By step", "Show the moments of one step after the other, then all.",
           ("S",), "Replay", REPLAYING, "case", lambda s: s.replay("step")),
    Action("understood", "Understood", "Say that you understood this one, or not yet.", ("G",),
           "Replay", REPLAYING, "case", lambda s: s.replay("understood")),
    Action("answer", "Answer or ask", "Write an answer or a question to this remark.", ("R",),
           "Replay", REPLAYING, "case", lambda s: s.replay("answer")),
    Action("before-the-case", "Before the next case",
           "Goals and their moments, under a minute; again: all.", ("M",), "Replay", REPLAYING,
           "case", lambda s: s.replay("before")),
    Action("side-by-side", "Both reviews", "Your own review and the teacher's on one strip.",
           ("B",), "Replay", REPLAYING, "case", lambda s: s.replay("both")),
    Action("beside", "Beside another case", "This step beside an earlier case's, in step.",
           ("V",), "Replay", REPLAYING, "case", lambda s: s.replay("beside")),
    Action("others-times", "Times of others", "Show the usual range, if you ask for it.",
           ("Y",), "Replay", REPLAYING, "case", lambda s: s.replay("others")),
)  # fmt: skip

HELP_ACTIONS: Final[tuple[Action, ...]] = (
    Action("keys", "Sheet of keys", "Show every key.", ("F1",), "Help", EVERYWHERE, "nothing",
           lambda s: s.show_page("keys")),
    Action("tour", "Five-minute tour", "Learn the program on the example case.", ("Shift+F1",),
           "Help", EVERYWHERE, "nothing", lambda s: s.show_page("tour")),
)  # fmt: skip
