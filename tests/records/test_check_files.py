"""The papers folder held against the record."""

from __future__ import annotations

from sqlalchemy import select

from retrofit_desk.records import models
from retrofit_desk.records.check_files import check_files
from retrofit_desk.records.project import Project
from tests.records.builders import file_a_paper


def test_a_sound_folder_says_so(project: Project) -> None:
    with project.action("File") as work:
        file_a_paper(work)
    report = check_files(project)
    assert report.is_sound
    assert report.lines() == ["1 paper is whole."]


def test_gone_changed_and_unknown_files_are_named(project: Project) -> None:
    with project.action("File three") as work:
        for n in range(3):
            file_a_paper(work, f"paper {n}".encode(), f"paper {n}.pdf")
    with project.session() as session:
        hashes = session.scalars(select(models.Paper.sha256).order_by(models.Paper.id)).all()
    project.papers.discard(hashes[0])
    project.papers.path(hashes[1]).chmod(0o644)
    project.papers.path(hashes[1]).write_bytes(b"meddled")
    (project.papers.folder / "note.txt").write_text("left by hand")

    report = check_files(project)
    assert not report.is_sound
    assert (report.whole, [one.original_name for one in report.gone]) == (1, ["paper 0.pdf"])
    assert [one.original_name for one in report.changed] == ["paper 1.pdf"]
    assert report.unknown == ("note.txt",)
    assert report.lines()[1:] == [
        "Gone from the papers folder: Quote (paper 0.pdf).",
        "Changed since it was filed: Quote (paper 1.pdf).",
        "Known to no record: papers/note.txt.",
    ]


def test_a_paper_taken_back_is_kept_for_redo_and_no_stranger(project: Project) -> None:
    with project.action("File") as work:
        file_a_paper(work)
    project.undo()
    report = check_files(project)
    assert report.is_sound
    assert (report.whole, report.kept_for_history, report.unknown) == (0, 1, ())
