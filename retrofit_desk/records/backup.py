"""Checked copies of the record in `backups/`, the list of papers that belongs to each, and the way back."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path

from retrofit_desk import __version__
from retrofit_desk.records.database import DATABASE, database_of, reading_uri
from retrofit_desk.records.errors import BackupUnusable, ProjectMissing, in_plain_words
from retrofit_desk.records.lock import WriteLock

_MANIFEST = "manifest.json"
_DAILY_KEPT = 14


class Reason(StrEnum):
    DAILY = "daily"
    ASKED = "asked"
    UPGRADE = "before upgrade"
    RESTORE = "before restore"


@dataclass(frozen=True)
class PaperEntry:
    sha256: str
    size_bytes: int
    name: str


@dataclass(frozen=True)
class Backup:
    """One backup folder: the record as it was, and which papers it speaks of."""

    folder: Path
    made_at: datetime
    reason: Reason
    program_version: str
    database_sha256: str
    papers: tuple[PaperEntry, ...]

    @property
    def name(self) -> str:
        return self.folder.name


@dataclass(frozen=True)
class Restored:
    """What a restore did: where the replaced record lies now, and known papers that are not there."""

    backup: Backup
    replaced_kept_in: Path
    papers_missing: tuple[PaperEntry, ...]


def make_backup(project: Path, reason: Reason) -> Backup:
    """Copy the record, check the copy, list its papers. Only a checked backup gets its name.

    Raises `BackupUnusable` if the copy does not check out; nothing of it is left then.
    """
    made_at = datetime.now(UTC)
    name = f"{made_at:%Y-%m-%d %H%M%S.%f} {reason}".replace(".", "_")
    folder = project / "backups" / name
    part = folder.with_name(f".{name}.part")
    part.mkdir(parents=True)
    try:
        copy_database(database_of(project), part / DATABASE)
        papers = tuple(_papers(part / DATABASE))
        made = Backup(folder, made_at, reason, __version__, _sha256(part / DATABASE), papers)
        (part / _MANIFEST).write_text(json.dumps(_to_json(made), indent=1), encoding="utf-8")
        part.rename(folder)
    except BaseException:
        shutil.rmtree(part, ignore_errors=True)
        raise
    return made


def make_daily(project: Path) -> Backup | None:
    """The backup of the day, unless there is one of today already; the newest 14 daily ones stay."""
    backups = list_backups(project)
    if any(one.made_at.astimezone().date() == datetime.now().astimezone().date() for one in backups):
        return None
    made = make_backup(project, Reason.DAILY)
    daily = [one for one in list_backups(project) if one.reason is Reason.DAILY]
    for old in daily[_DAILY_KEPT:]:
        shutil.rmtree(old.folder, ignore_errors=True)
    return made


def list_backups(project: Path) -> list[Backup]:
    """Newest first. A folder without a readable manifest is no backup."""
    found = [_read(folder) for folder in (project / "backups").glob("[0-9]*") if folder.is_dir()]
    return sorted((one for one in found if one), key=lambda one: one.name, reverse=True)


def restore(project: Path, backup: Backup) -> Restored:
    """Put the record back to a backup; the record it replaces is kept among the backups.

    Raises `BackupUnusable`, `ProjectInUse`, `ReadOnlyFolder`, `DiskFull`; the project then stands as before.
    """
    if not project.is_dir():
        raise ProjectMissing(project)
    with in_plain_words(project):
        lock = WriteLock(project)
        try:
            _check(backup)
            replaced = _set_aside(project)
            incoming = project / f".{DATABASE}.incoming"
            shutil.copyfile(backup.folder / DATABASE, incoming)
            for tail in ("-wal", "-shm", "-journal"):
                (project / f"{DATABASE}{tail}").unlink(missing_ok=True)
            os.replace(incoming, database_of(project))
        finally:
            lock.release()
    papers = project / "papers"
    missing = tuple(one for one in backup.papers if not (papers / one.sha256[:2] / one.sha256).is_file())
    return Restored(backup, replaced, missing)


def copy_database(source: Path, target: Path) -> None:
    """One consistent copy, also while others write; checked whole. Raises `BackupUnusable`."""
    reader = sqlite3.connect(reading_uri(source), uri=True)
    writer = sqlite3.connect(target)
    try:
        reader.backup(writer)
        writer.execute("PRAGMA journal_mode = DELETE")
        finding = writer.execute("PRAGMA integrity_check(1)").fetchone()[0]
        loose = writer.execute("PRAGMA foreign_key_check").fetchone()
    finally:
        writer.close()
        reader.close()
    if finding != "ok" or loose:
        raise BackupUnusable(
            target.parent, finding if finding != "ok" else f"a row of {loose[0]} hangs in the air"
        )


def _set_aside(project: Path) -> Path:
    """Keep what a restore replaces: as a proper backup if it can be read, else as the bare file."""
    try:
        return make_backup(project, Reason.RESTORE).folder
    except (sqlite3.Error, BackupUnusable):
        folder = project / "backups" / f"damaged {datetime.now(UTC):%Y-%m-%d %H%M%S}"
        folder.mkdir()
        shutil.copyfile(database_of(project), folder / DATABASE)
        return folder


def _check(backup: Backup) -> None:
    database = backup.folder / DATABASE
    if not database.is_file():
        raise BackupUnusable(backup.folder, "its record is gone")
    if _sha256(database) != backup.database_sha256:
        raise BackupUnusable(backup.folder, "its record was changed since")


def _papers(database: Path) -> Iterator[PaperEntry]:
    connection = sqlite3.connect(database)
    try:
        yield from (PaperEntry(*row) for row in connection.execute(_KNOWN_PAPERS))
    finally:
        connection.close()


# also those that only undo or a day of the past would ask for
_KNOWN_PAPERS = """
    SELECT sha256, size_bytes, original_name FROM paper
    UNION SELECT json_extract(before, '$.sha256'), json_extract(before, '$.size_bytes'),
            json_extract(before, '$.original_name')
        FROM "change" WHERE "table" = 'paper' AND before IS NOT NULL
    ORDER BY 1"""


def _to_json(backup: Backup) -> dict[str, object]:
    plain = asdict(backup)
    del plain["folder"]
    return plain | {"made_at": backup.made_at.isoformat()}


def _read(folder: Path) -> Backup | None:
    try:
        plain = json.loads((folder / _MANIFEST).read_text(encoding="utf-8"))
        return Backup(
            folder=folder,
            made_at=datetime.fromisoformat(plain["made_at"]),
            reason=Reason(plain["reason"]),
            program_version=plain["program_version"],
            database_sha256=plain["database_sha256"],
            papers=tuple(PaperEntry(**entry) for entry in plain["papers"]),
        )
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _sha256(file: Path) -> str:
    with file.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()
