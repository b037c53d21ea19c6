"""Opening: missing, taken, damaged, unwritable and foreign projects each get one clear line."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import textwrap
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models
from retrofit_desk.records.database import database_of
from retrofit_desk.records.errors import (
    OnlyForReading,
    ProjectDamaged,
    ProjectExists,
    ProjectInUse,
    ProjectMissing,
    ReadOnlyFolder,
)
from retrofit_desk.records.project import Project
from retrofit_desk.values.errors import DeskError
from tests.records.builders import a_measure, everything_stored

ROOT = Path(models.__file__).parents[3]


def told_by_a_plain_user(step: Callable[[], object]) -> str:
    """What a step answers, or the name of its error, in a process without root's rights."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        if os.geteuid() == 0:
            os.setuid(65534)
        try:
            answer = str(step())
        except BaseException as error:
            answer = type(error).__name__
        os.write(writer, answer.encode())
        os._exit(0)
    os.close(writer)
    os.waitpid(child, 0)
    with os.fdopen(reader) as pipe:
        return pipe.read()


def run_apart(code: str, *arguments: object) -> subprocess.CompletedProcess[str]:
    """Run code in another process, e.g. a second copy of the program."""
    return subprocess.run(
        [sys.executable, "-c", textwrap.dedent(code), *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"},
    )


def test_a_new_project_is_a_folder_with_the_known_ending(tmp_path: Path) -> None:
    with Project.create(tmp_path / "Elm Street") as made:
        assert made.path == tmp_path / "Elm Street.retrofit"
        assert {"project.sqlite", "papers", "backups"} <= {path.name for path in made.path.iterdir()}


def test_making_a_project_never_touches_a_folder_that_is_there(tmp_path: Path) -> None:
    there = tmp_path / "house.retrofit"
    there.mkdir()
    with pytest.raises(ProjectExists):
        Project.create(tmp_path / "house")
    assert list(there.iterdir()) == []


def test_a_failed_beginning_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(database: Path) -> None:
        database.write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("retrofit_desk.records.upgrade.make_new", full)
    with pytest.raises(DeskError, match="disk is full"):
        Project.create(tmp_path / "house")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["nowhere.retrofit", "."])
def test_no_project_there_is_one_line(tmp_path: Path, name: str) -> None:
    with pytest.raises(ProjectMissing, match="no project here"):
        Project.open(tmp_path / name)


def test_a_second_program_is_refused_or_reads_what_is_kept(project: Project) -> None:
    with project.action("Add") as work:
        work.session.add(a_measure("seen by both"))
    code = """
        import sys
        from pathlib import Path
        from sqlalchemy import select
        from retrofit_desk.records import models
        from retrofit_desk.records.project import Project
        from retrofit_desk.values.errors import DeskError
        for read_only in (False, True):
            try:
                project = Project.open(Path(sys.argv[1]), read_only=read_only)
                with project, project.session() as session:
                    print(session.scalars(select(models.Measure.title)).all())
                    with project.action("Mix"):
                        print("wrote")
            except DeskError as error:
                print(type(error).__name__, error)
    """
    told = run_apart(code, project.path)
    refused, seen, only_reads = told.stdout.splitlines()
    assert refused.startswith("ProjectInUse")
    assert "open it here for reading only" in refused
    assert seen == "['seen by both']"
    assert only_reads.startswith("OnlyForReading")
    with project.action("The first goes on") as work:
        work.session.add(a_measure())


def test_the_same_program_cannot_open_it_twice_either(project: Project) -> None:
    with pytest.raises(ProjectInUse):
        Project.open(project.path)
    project.close()
    Project.open(project.path).close()


def test_a_program_that_died_in_the_middle_of_a_step_leaves_no_trace(project: Project) -> None:
    path = project.path
    before = everything_stored(project)
    project.close()
    code = """
        import os, sys
        from pathlib import Path
        from retrofit_desk.records.project import Project
        from tests.records.builders import a_measure
        project = Project.open(Path(sys.argv[1]))
        with project.action("Never finished") as work:
            work.file_bytes(b"a photo of this morning", "IMG_1.jpg")
            work.session.add(a_measure())
            work.session.flush()
            os._exit(9)
    """
    assert run_apart(code, path).returncode == 9
    with Project.open(path) as again:  # the lock died with it
        assert everything_stored(again) == before
        assert again.history() == []
        assert [path for path in again.papers.folder.rglob("*") if path.is_file()] == []


def test_what_was_kept_survives_a_program_that_died_right_after(project: Project) -> None:
    path = project.path
    project.close()
    code = """
        import os, sys
        from pathlib import Path
        from retrofit_desk.records.project import Project
        from tests.records.builders import a_measure
        project = Project.open(Path(sys.argv[1]))
        with project.action("Kept") as work:
            work.session.add(a_measure())
        os._exit(9)
    """
    assert run_apart(code, path).returncode == 9
    with Project.open(path) as again:
        assert again.undo_title == "Kept"


@pytest.mark.parametrize(
    "bytes_there",
    [b"", b"not a database at all, but long enough to look like one" * 40, None],
    ids=["empty", "foreign", "torn"],
)
def test_a_damaged_record_is_told_with_the_backup_to_restore(
    project: Project, bytes_there: bytes | None
) -> None:
    with project.action("Fill") as work:
        work.session.add_all(a_measure("x" * 400) for _ in range(200))
    newest = project.backup_now().name
    path = project.path
    project.close()
    whole = database_of(path).read_bytes()
    torn = whole[:4096] + b"\xaa" * (len(whole) // 2) + whole[4096 + len(whole) // 2 :]
    database_of(path).write_bytes(torn if bytes_there is None else bytes_there)
    for read_only in (False, True):
        with pytest.raises(ProjectDamaged, match=newest) as told:
            Project.open(path, read_only=read_only)
        assert "\n" not in str(told.value)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a second user in the same program")
def test_a_project_on_a_disk_that_takes_no_writes_opens_for_reading() -> None:
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)  # pytest's own folders are closed to other users
        with Project.create(Path(folder) / "house") as project, project.action("Add") as work:
            work.session.add(a_measure("readable"))
        (project.path / "project.lock").unlink(missing_ok=True)
        for place in (project.path, *project.path.rglob("*")):
            place.chmod(0o555 if place.is_dir() else 0o444)

        assert told_by_a_plain_user(lambda: Project.open(project.path)) == "ReadOnlyFolder"
        assert told_by_a_plain_user(lambda: _measures_read(project.path)) == "['readable']"
        project.path.chmod(0o755)


def _measures_read(path: Path) -> list[str]:
    with Project.open(path, read_only=True) as project, project.session() as session:
        return list(session.scalars(select(models.Measure.title)))


def test_writing_where_nothing_may_be_written_is_one_line(
    project: Project, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = project.path
    project.close()

    def no_writing(lock: object, folder: Path) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("retrofit_desk.records.lock.WriteLock.__init__", no_writing)
    with pytest.raises(ReadOnlyFolder, match="Open it for reading only"):
        Project.open(path)
    with (
        Project.open(path, read_only=True) as reading,
        pytest.raises(OnlyForReading),
        reading.action("Write"),
    ):
        pass


def test_a_project_moved_as_plain_files_opens_with_everything(project: Project, tmp_path: Path) -> None:
    with project.action("Add") as work:
        work.session.add(a_measure("moved"))
    path = project.path
    project.close()
    assert not [name for name in os.listdir(path) if name.endswith(("-wal", "-shm"))]
    moved = shutil.move(path, tmp_path / "elsewhere.retrofit")
    with Project.open(Path(moved)) as again, again.session() as session:
        assert session.scalars(select(models.Measure.title)).all() == ["moved"]


def test_an_error_of_another_file_inside_an_action_stays_what_it_is(project: Project, tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError), project.action("Read a file that is not there"):
        (tmp_path / "not there").read_bytes()
