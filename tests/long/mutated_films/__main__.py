"""Look at mutated films, each in a process of its own, and say what became of it.

``python tests/long/mutated_films --folder FOLDER`` prints one line of JSON for each of 300 films;
``--first N --count N`` chooses other seeds, ``--frames N`` makes longer films, names of files look
at those instead. ``--watched`` has them all read by one `ReaderProcess`, as the program does.
``--table`` prints counts as a table. Films that are not well are left in FOLDER. Needs Linux:
processes are forked and their memory is read from /proc.
"""

from __future__ import annotations

import argparse
import faulthandler
import json
import os
import signal
import sys
import time
import traceback
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

import av  # noqa: F401  loaded once, before the processes part
from films import MutatedFilm, mutated
from look import answered, looked_at

from aftercase.media.process import ReaderProcess

LIMIT_S = 10.0
LIMIT_MB = 1024
POLL_S = 0.01


@dataclass(frozen=True)
class Fate:
    """What became of a look at a film.

    Args:
        seed: Of the film.
        base: Name of the whole film.
        mutation: Name of what was done to it.
        outcome: As `look.looked_at`, or `fault`, `crash`, `hang`, `memory`.
        seconds: How long it took.
        most_mb: Memory in use at most.
        said: What was written on the way out: a traceback, or the stack at a crash.
    """

    seed: int
    base: str
    mutation: str
    outcome: str
    seconds: float
    most_mb: int
    said: str


def main(arguments: Sequence[str]) -> int:
    """Print the fate of every film asked for."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--frames", type=int, default=60)
    parser.add_argument("--folder", type=Path, required=True)
    parser.add_argument("--watched", action="store_true")
    parser.add_argument("--table", action="store_true")
    parser.add_argument("files", type=Path, nargs="*")
    options = parser.parse_args(arguments)
    films = (MutatedFilm(-1, path.name, "", path.read_bytes()) for path in options.files)
    if not options.files:
        seeds = range(options.first, options.first + options.count)
        films = (mutated(seed, options.frames, options.folder) for seed in seeds)
    fates = (
        watched_fates(films, options.folder)
        if options.watched
        else (fate_of(film, options.folder) for film in films)
    )
    if options.table:
        print(table_of(list(fates)))
    else:
        for fate in fates:
            print(json.dumps(asdict(fate)), flush=True)
    return 0


def table_of(fates: Sequence[Fate]) -> str:
    """Return how often what became of films, by the whole film they were made from."""
    kinds = ("fine", "damage shown", "told", "fault", "crash", "hang", "memory")
    counts = Counter((fate.base, fate.outcome.partition(":")[0]) for fate in fates)
    totals = Counter(fate.outcome.partition(":")[0] for fate in fates)
    lines = [f"| made from | {' | '.join(kinds)} |", "|---" * (len(kinds) + 1) + "|"]
    for base in dict.fromkeys(fate.base for fate in fates):
        lines.append(f"| {base} | {' | '.join(str(counts[base, kind]) for kind in kinds)} |")
    lines.append(f"| all | {' | '.join(str(totals[kind]) for kind in kinds)} |")
    slowest, largest = max(fate.seconds for fate in fates), max(fate.most_mb for fate in fates)
    return "\n".join([*lines, "", f"slowest {slowest} s, largest {largest} MB"])


def watched_fates(films: Iterable[MutatedFilm], folder: Path) -> Iterator[Fate]:
    """Yield the fates of films that one reader in a process of its own is asked for."""
    reader = ReaderProcess(stall_s=LIMIT_S)
    for film in films:
        path = folder / f"{film.seed}.film"
        path.write_bytes(film.content)
        begun = time.monotonic()
        outcome = answered(reader, path, film.seed)
        seconds = round(time.monotonic() - begun, 2)
        path.unlink()
        yield Fate(film.seed, film.base, film.mutation, outcome, seconds, 0, "")
    reader.close()


def fate_of(film: MutatedFilm, folder: Path) -> Fate:
    """Look at a film in a process of its own, kept to the limits.

    The film is left in the folder unless all went well.
    """
    path = folder / f"{film.seed}.film"
    path.write_bytes(film.content)
    answer = folder / f"{film.seed}.answer"
    begun = time.monotonic()
    child = os.fork()
    if child == 0:
        _look_and_leave(path, film.seed, answer)
    outcome, most_mb = _watched(child, begun)
    seconds = time.monotonic() - begun
    said = answer.read_text(encoding="utf-8", errors="replace")
    answer.unlink()
    if outcome == "":
        outcome, said = said, ""
    if outcome.startswith(("fine", "damage", "told")):
        path.unlink()
    return Fate(film.seed, film.base, film.mutation, outcome, round(seconds, 2), most_mb, said)


def _look_and_leave(path: Path, seed: int, answer: Path) -> None:
    """Look, write down what came and end the process; code 1 for a fault of our own."""
    with answer.open("w", encoding="utf-8") as file:
        faulthandler.enable(file)
        code = 0
        try:
            file.write(looked_at(path, seed))
        except BaseException:
            traceback.print_exc(file=file)
            code = 1
        file.flush()
        os._exit(code)


def _watched(child: int, begun: float) -> tuple[str, int]:
    """Wait for a process; return what went wrong, empty if nothing, and its memory in MB."""
    most_mb = 0
    while True:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            if os.WIFSIGNALED(status):
                return f"crash: {signal.Signals(os.WTERMSIG(status)).name}", most_mb
            return ("fault" if os.WEXITSTATUS(status) else ""), most_mb
        most_mb = max(most_mb, _memory_mb(child))
        wrong = "memory" if most_mb > LIMIT_MB else ""
        if time.monotonic() - begun > LIMIT_S:
            wrong = "hang"
        if wrong:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return wrong, most_mb
        time.sleep(POLL_S)


def _memory_mb(process: int) -> int:
    try:
        pages = int(Path(f"/proc/{process}/statm").read_text(encoding="ascii").split()[1])
    except (OSError, IndexError):
        return 0
    return pages * os.sysconf("SC_PAGE_SIZE") >> 20


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
