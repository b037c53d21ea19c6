"""One action: one transaction, one line, one step; all of it or nothing."""

from __future__ import annotations

import threading
from datetime import UTC, datetime

import pytest
from sqlalchemy import insert, select, text, update

from retrofit_desk.records import models
from retrofit_desk.records.errors import DiskFull
from retrofit_desk.records.project import Project
from tests.records.builders import a_measure, a_storey, everything_stored, file_a_paper


def titles(project: Project) -> list[str]:
    return [line.title for line in project.history()]


def test_an_action_is_one_line_whatever_it_touches(project: Project) -> None:
    with project.action("Describe the upper level") as work:
        work.session.add(a_storey(rooms=3))
        work.session.flush()
        work.session.add(a_measure())
    assert titles(project) == ["Describe the upper level"]


def test_an_action_that_fails_leaves_nothing(project: Project) -> None:
    with project.action("Begin") as work:
        file_a_paper(work, b"first")
    before = everything_stored(project)

    with pytest.raises(ZeroDivisionError), project.action("File and fail") as work:
        file_a_paper(work, b"second")
        work.session.add(a_storey())
        work.session.flush()
        raise ZeroDivisionError

    assert everything_stored(project) == before
    assert titles(project) == ["Begin"]
    assert len(list(project.papers.all_hashes())) == 1
    assert not [path for path in project.papers.folder.rglob("*incoming*")]


def test_a_failed_action_keeps_a_paper_that_was_there_before(project: Project) -> None:
    with project.action("File") as work:
        kept = file_a_paper(work, b"the same bytes").sha256
    with pytest.raises(ZeroDivisionError), project.action("File again and fail") as work:
        file_a_paper(work, b"the same bytes")
        raise ZeroDivisionError
    assert project.papers.verify(kept) is True


def test_a_paper_of_a_kept_action_stays_though_the_disk_fails_right_after(
    project: Project, monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(store: object, sha256: str) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr("retrofit_desk.records.papers_store.PapersStore.settle", failing)
    with project.action("File") as work:
        paper = file_a_paper(work)
    assert titles(project) == ["File"]
    assert project.papers.verify(paper.sha256) is True


def test_an_action_that_changes_nothing_leaves_no_line_and_no_file(project: Project) -> None:
    with project.action("Look") as work:
        work.file_bytes(b"bytes that no row speaks of", "loose.pdf")
        gone_again = a_measure()
        work.session.add(gone_again)
        work.session.flush()
        work.session.delete(gone_again)
    assert titles(project) == []
    assert not list(project.papers.all_hashes())


def test_an_action_inside_an_action_is_refused(project: Project) -> None:
    with (
        pytest.raises(RuntimeError, match="inside another action"),
        project.action("Outer") as outer,
    ):
        outer.session.add(a_measure())
        with project.action("Inner"):
            pass
    assert titles(project) == []


def test_actions_of_two_threads_take_turns(project: Project) -> None:
    def write(name: str) -> None:
        for n in range(5):
            with project.action(f"{name} {n}") as work:
                work.session.add(a_measure(name))

    threads = [threading.Thread(target=write, args=(name,)) for name in ("window", "background")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(titles(project)) == 10


def test_reading_goes_on_while_an_action_is_open(project: Project) -> None:
    with project.action("Add") as work:
        work.session.add(a_measure())
        work.session.flush()
        with project.session() as session:
            assert session.scalars(select(models.Measure)).all() == []


@pytest.mark.parametrize(
    "statement",
    [
        update(models.Measure).values(title="all the same"),
        insert(models.Measure).values(key="x", kind="x", title="x"),
        text("DELETE FROM measure"),
    ],
)
def test_statements_that_would_bypass_the_history_are_refused(project: Project, statement: object) -> None:
    with pytest.raises(RuntimeError, match="bypass the history"), project.action("Bulk") as work:
        work.session.execute(statement)  # type: ignore[call-overload]


def test_bulk_saving_is_refused(project: Project) -> None:
    with pytest.raises(RuntimeError, match="bypass the history"), project.action("Bulk") as work:
        work.session.bulk_save_objects([a_measure()])


def test_a_reading_session_refuses_to_write(project: Project) -> None:
    with pytest.raises(RuntimeError, match="only reads"), project.session() as session:
        session.add(a_measure())
        session.flush()


def test_results_are_kept_without_a_line_and_apart_from_actions(project: Project) -> None:
    result = models.SavingsResult(kind="savings", fingerprint="f1", made_at=datetime.now(UTC))
    with project.outside_history() as work:
        work.session.add(result)
    assert titles(project) == []
    with pytest.raises(RuntimeError, match="outside_history"), project.action("Mix") as work:
        work.session.add(models.Preference(key="units", value="SI"))
    with pytest.raises(RuntimeError, match="action"), project.outside_history() as work:
        work.session.add(a_measure())


def test_listeners_hear_which_tables_changed_once_it_is_kept(project: Project) -> None:
    heard: list[frozenset[str]] = []
    stop = project.on_change(heard.append)
    with project.action("Add") as work:
        work.session.add(a_storey())
    project.undo()
    stop()
    project.redo()
    assert heard == [frozenset({"storey", "room", "surface", "opening"})] * 2


def test_a_full_disk_is_told_in_one_line_and_nothing_half_is_kept(project: Project) -> None:
    with project.action("Begin") as work:
        work.session.add(a_measure())
    before = everything_stored(project)
    # SQLite's own ceiling on pages answers just as a full disk does
    with pytest.raises(DiskFull) as told, project.action("Too much") as work:
        connection = work.session.connection()
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
        work.session.add_all(a_measure("x" * 5_000) for _ in range(200))
    assert "the disk is full" in str(told.value)
    assert "\n" not in str(told.value)
    assert everything_stored(project) == before
