"""One program at a time may write to a project."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path

from filelock import FileLock, Timeout

from retrofit_desk.records.errors import ProjectInUse

_LOCK = "project.lock"


class WriteLock:
    """Held from opening to closing. The system drops it when a program dies, so it never goes stale."""

    def __init__(self, folder: Path) -> None:
        """Take the lock. Raises `ProjectInUse`; `OSError` if the folder cannot be written to."""
        self._file = folder / _LOCK
        self._lock = FileLock(self._file, timeout=0, thread_local=False)
        try:
            self._lock.acquire()
        except Timeout:
            raise ProjectInUse(folder, self._since()) from None
        os.utime(self._file)

    def release(self) -> None:
        """Let the next program in."""
        self._lock.release()

    def _since(self) -> str:
        try:
            return f"{datetime.fromtimestamp(self._file.stat().st_mtime).astimezone():%Y-%m-%d %H:%M}"
        except OSError:
            return "just now"
