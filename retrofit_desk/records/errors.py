"""What can go wrong with a project on disk, each told in one line."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from retrofit_desk.values.errors import DeskError


class ProjectMissing(DeskError):
    def __init__(self, folder: Path) -> None:
        super().__init__(
            "there is no project here", where=str(folder), do="choose a folder named NAME.retrofit"
        )


class ProjectExists(DeskError):
    def __init__(self, folder: Path) -> None:
        super().__init__(
            "the folder is already there",
            where=str(folder),
            kept="nothing in it was touched",
            do="choose another name",
        )


class ProjectInUse(DeskError):
    def __init__(self, folder: Path, since: str) -> None:
        super().__init__(
            f"the project is open in another program since {since}",
            where=str(folder),
            kept="nothing was changed",
            do="close it there, or open it here for reading only",
        )


class ProjectTooNew(DeskError):
    def __init__(self, folder: Path) -> None:
        super().__init__(
            "the project was made by a newer version of Retrofit Desk",
            where=str(folder),
            kept="nothing was changed",
            do="update the program, then open it again",
        )


class ProjectDamaged(DeskError):
    def __init__(self, folder: Path, finding: str, newest_backup: str | None) -> None:
        super().__init__(
            f"the record cannot be read ({finding})",
            where=str(folder),
            kept="the papers and backups were not touched",
            do=f"restore the backup {newest_backup}" if newest_backup else "there is no backup to restore",
        )


class ProjectBusy(DeskError):
    def __init__(self, folder: Path) -> None:
        super().__init__(
            "another program is writing to the record just now",
            where=str(folder),
            kept="nothing of this step was kept, all before it was",
            do="try again in a moment",
        )


class ReadOnlyFolder(DeskError):
    exit_code = 3

    def __init__(self, folder: Path) -> None:
        super().__init__(
            "this folder cannot be written to",
            where=str(folder),
            kept="nothing was changed",
            do="open it for reading only, or move the project to a folder of your own",
        )


class DiskFull(DeskError):
    exit_code = 3

    def __init__(self, folder: Path) -> None:
        super().__init__(
            "the disk is full",
            where=str(folder),
            kept="nothing of this step was kept, all before it was",
            do="free some space and do it again",
        )


class DiskFailed(DeskError):
    exit_code = 3

    def __init__(self, folder: Path, reason: str) -> None:
        super().__init__(
            f"the disk did not answer ({reason})",
            where=str(folder),
            kept="nothing of this step was kept, all before it was",
            do="check the disk, then open the project again",
        )


class OnlyForReading(DeskError):
    def __init__(self, title: str, *, is_past: bool = False) -> None:
        what = "a day of the past is only looked at" if is_past else "the project is open for reading only"
        back = "come back to today first"
        super().__init__(
            f"'{title}' was not done: {what}",
            kept="nothing was changed",
            do=back if is_past else "close the other program, then open the project again",
        )


class NothingTo(DeskError):
    """Nothing to undo or redo."""

    def __init__(self, verb: str) -> None:
        super().__init__(f"there is nothing to {verb}")


class HistoryDiffers(DeskError):
    def __init__(self, title: str) -> None:
        super().__init__(
            f"'{title}' cannot be taken back or done again: the record was changed from outside since",
            kept="nothing was changed",
            do="restore a backup if the change from outside was a mistake",
        )


class HangsTogether(DeskError):
    def __init__(self, title: str) -> None:
        super().__init__(
            f"'{title}' cannot be done for this one alone: other things on record hang on it",
            kept="nothing was changed",
            do="look at that day of the past, and write down anew what is missing",
        )


class PaperUnreadable(DeskError):
    def __init__(self, source: Path, reason: str) -> None:
        super().__init__(
            f"this file cannot be filed ({reason})",
            where=str(source),
            kept="nothing was filed",
            do="choose another file",
        )


class PaperLost(DeskError):
    def __init__(self, name: str) -> None:
        super().__init__(
            f"{name} is gone from the papers folder",
            kept="its record was kept",
            do="file the same paper again",
        )


class PaperChanged(DeskError):
    def __init__(self, name: str) -> None:
        super().__init__(
            f"{name} was changed in the papers folder since it was filed",
            kept="its record was kept",
            do="file the true paper again",
        )


class BackupUnusable(DeskError):
    def __init__(self, backup: Path, finding: str) -> None:
        super().__init__(
            f"this backup cannot be used ({finding})", where=str(backup), kept="the project was not touched"
        )


class PastOutOfReach(DeskError):
    def __init__(self, moment: str) -> None:
        super().__init__(
            f"the record had another form on {moment} and cannot be shown as it was then",
            kept="nothing was changed",
            do="restore a backup of that time into a copy of the project",
        )


class UpgradeFailed(DeskError):
    def __init__(self, folder: Path, reason: str, backup: str) -> None:
        super().__init__(
            f"the project could not be brought to this version ({reason})",
            where=str(folder),
            kept=f"it stands as before, and a backup was made ({backup})",
            do="open it with the version that made it",
        )


_NO_SPACE = {errno.ENOSPC, errno.EDQUOT}
_NO_WRITING = {errno.EACCES, errno.EPERM, errno.EROFS}


@contextmanager
def in_plain_words(folder: Path) -> Iterator[None]:
    """Turns what the disk or the database complains of into one line; our own bugs pass as they are."""
    try:
        with database_in_plain_words(folder):
            yield
    except OSError as error:
        told = _of_disk(folder, error)
        if told is None:
            raise
        raise told from error


@contextmanager
def database_in_plain_words(folder: Path) -> Iterator[None]:
    """The same for the database alone, around steps that may meet other files' troubles."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        cause = error.orig if isinstance(error, DBAPIError) else error
        told = _of_database(folder, cause) if isinstance(cause, sqlite3.Error) else None
        if told is None:
            raise
        raise told from error


def _of_disk(folder: Path, error: OSError) -> DeskError | None:
    if error.errno in _NO_SPACE:
        return DiskFull(folder)
    if error.errno in _NO_WRITING:
        return ReadOnlyFolder(folder)
    if error.errno == errno.EIO:
        return DiskFailed(folder, error.strerror or "input or output error")
    return None


def _of_database(folder: Path, error: sqlite3.Error) -> DeskError | None:
    # the low byte is the plain code, the rest says which kind of it
    code = (getattr(error, "sqlite_errorcode", 0) or 0) & 0xFF
    if code == sqlite3.SQLITE_FULL:
        return DiskFull(folder)
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM):
        return ReadOnlyFolder(folder)
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return ProjectBusy(folder)
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return ProjectDamaged(folder, str(error), _newest_backup(folder))
    if code in (sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN):
        return DiskFailed(folder, str(error))
    return None


def _newest_backup(folder: Path) -> str | None:
    names = sorted(path.name for path in (folder / "backups").glob("*") if path.is_dir())
    return names[-1] if names else None
