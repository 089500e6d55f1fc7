"""Find every broken rule of a case folder, with its place."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from aftercase.document.files import Stored, read_document, read_guide
from aftercase.document.folder import CaseFolder, read_case, review_files
from aftercase.errors import AftercaseError
from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.problem import Problem
from aftercase.model.review import Review
from aftercase.model.rules import case_problems, review_problems
from aftercase.session.locator import films_of
from aftercase.session.places import Places


@dataclass(frozen=True)
class Finding:
    """A broken rule and the file it stands in."""

    path: Path
    problem: Problem

    def __str__(self) -> str:
        return f"{self.path}: {self.problem}"


@dataclass(frozen=True)
class Checked:
    """What was looked at and what was found.

    Attributes:
        files: The files that were looked at.
        findings: Broken rules; none where all is well.
        notes: What is no broken rule but good to know, such as a film that is not at hand.
    """

    files: tuple[Path, ...]
    findings: tuple[Finding, ...]
    notes: tuple[str, ...]


def check_case(path: Path, at: Places) -> Checked:
    """Read every file of a case and apply every rule; a broken file does not stop the rest.

    Raises:
        DocumentMissing: The folder is no case folder.
    """
    folder = CaseFolder(path, at.drafts)
    files: list[Path] = [folder.case_file, folder.guide_file]
    findings: list[Finding] = []
    guide = _read_guide(folder, findings)
    case = _read_header(folder, guide, findings)
    if case is None:
        return Checked(tuple(files), tuple(findings), ())
    for review_path in review_files(folder, case.id):
        files.append(review_path)
        findings.extend(_review_findings(review_path, case, guide))
    return Checked(tuple(files), tuple(findings), tuple(_film_notes(folder, case, at)))


def _read_guide(folder: CaseFolder, findings: list[Finding]) -> Guide | None:
    try:
        return read_guide(folder.guide_file).record
    except AftercaseError as error:
        findings.append(_unreadable(folder.guide_file, error))
        return None


def _read_header(folder: CaseFolder, guide: Guide | None, findings: list[Finding]) -> Case | None:
    if not folder.case_file.is_file():
        read_case(folder)  # says that this is no case folder
    try:
        case = read_case(folder).record
    except AftercaseError as error:
        findings.append(_unreadable(folder.case_file, error))
        return None
    findings.extend(Finding(folder.case_file, fault) for fault in case_problems(case, guide))
    return case


def _review_findings(path: Path, case: Case, guide: Guide | None) -> list[Finding]:
    try:
        stored: Stored[Review] = read_document(Review, path)
    except AftercaseError as error:
        return [_unreadable(path, error)]
    if guide is None:
        return []
    return [Finding(path, fault) for fault in review_problems(stored.record, case, guide)]


def _film_notes(folder: CaseFolder, case: Case, at: Places) -> list[str]:
    films = zip(case.parts, films_of(at.locator, folder.path, case), strict=True)
    return [
        f"The film “{part.path}” is not at hand: {film}"
        for part, film in films
        if not film.is_file()
    ]


def _unreadable(path: Path, error: AftercaseError) -> Finding:
    return Finding(path, Problem("the file", error.message, error.hint))
