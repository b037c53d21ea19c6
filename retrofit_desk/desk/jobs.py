"""Long work in the background: what it is doing, how far it is, and a cancel that works."""

from __future__ import annotations

import gc
import threading
from collections.abc import Callable
from time import monotonic
from typing import Any, TypeVar

from PySide6.QtCore import QCoreApplication, QObject, Qt, Signal

T = TypeVar("T")
Report = Callable[[float, str], None]
LONGEST_WAIT_S = 5.0
"""What a closing window waits for its jobs. They report a few times a second; compiling for the first time,
or a file being written, may take longer."""

_AT_WORK: set[Job] = set()
"""Jobs whose thread has not come back: a window that closes may not let Qt's objects die on that thread."""


def _begin(job: Job) -> None:
    """While any job is at work no other thread collects garbage: in it lie closed windows, and Qt's objects
    may die on the window's thread alone."""
    _AT_WORK.add(job)
    gc.disable()


def _back(job: Job) -> None:
    _AT_WORK.discard(job)
    if not _AT_WORK:
        gc.enable()


def still_at_work() -> tuple[str, ...]:
    """Titles of what has not stopped though everything was closed."""
    return tuple(job.title for job in _AT_WORK if job.is_alive)


class JobCancelled(Exception):
    """Raised inside the work at its next report after the owner asked it to stop."""


class Job(QObject):
    """One piece of long work on its own thread. Its signals arrive on the window's thread."""

    told = Signal(float, str)  # share done 0..1, what it is doing
    ended = Signal()
    _came_back = Signal(object, object)  # answer, error

    def __init__(
        self,
        title: str,
        work: Callable[[Report], Any],
        done: Callable[[Any], None],
        failed: Callable[[Exception], None],
    ) -> None:
        super().__init__()
        self.title = title
        self.is_cancelled = False
        self.is_running = True
        self._work, self._done, self._failed = work, done, failed
        self._came_back.connect(self._come_back, Qt.ConnectionType.QueuedConnection)
        self.told.connect(self._collect, Qt.ConnectionType.QueuedConnection)
        self._thread = threading.Thread(target=self._run, name=title, daemon=True)

    def start(self) -> None:
        _begin(self)
        self._thread.start()

    def _collect(self) -> None:
        """What the work leaves behind, taken up on the window's thread."""
        gc.collect(1)

    def cancel(self) -> None:
        """Stop at the next report; nothing of the answer is kept."""
        self.is_cancelled = True

    @property
    def is_alive(self) -> bool:
        return self._thread.is_alive()

    def end(self, seconds: float) -> None:
        """Wait for the thread of a cancelled job; its end is told now, while those it tells are there.

        A job that does not stop in time is let go: whatever it still does, it tells nobody.
        """
        self._thread.join(max(seconds, 0.0))
        if not self.is_alive:
            QCoreApplication.sendPostedEvents(self)
        self._end(None, JobCancelled(self.title))

    def _report(self, share: float, doing: str) -> None:
        if self.is_cancelled:
            raise JobCancelled(self.title)
        self.told.emit(min(max(share, 0.0), 1.0), doing)

    def _run(self) -> None:
        try:
            self._report(0.0, self.title)
            answer = self._work(self._report)
        except Exception as error:
            self._came_back.emit(None, error)
        else:
            self._came_back.emit(answer, None)

    def _come_back(self, answer: Any, error: Exception | None) -> None:
        self._thread.join()  # its last act was to send this: nothing of this job may end on that thread
        _back(self)
        self._end(answer, error)

    def _end(self, answer: Any, error: Exception | None) -> None:
        if not self.is_running:
            return  # let go before its thread came back
        self.is_running = False
        self.ended.emit()
        if self.is_cancelled or isinstance(error, JobCancelled):
            return
        if error is not None:
            self._failed(error)
        else:
            self._done(answer)


class Jobs(QObject):
    """All running jobs; the window shows one bar for each."""

    started = Signal(object)  # Job

    def __init__(self, failed: Callable[[Exception], None]) -> None:
        super().__init__()
        self._failed = failed
        self.running: list[Job] = []

    def start(self, title: str, work: Callable[[Report], T], done: Callable[[T], None]) -> Job:
        """Run `work(report)` on a thread; `done(answer)` follows on the window's thread.

        `work` calls `report(share, doing)` often: there a cancel takes hold. It must not touch widgets.
        """
        job = Job(title, work, done, self._failed)
        self.running.append(job)
        job.ended.connect(lambda: self.running.remove(job))
        self.started.emit(job)
        job.start()
        return job

    def stopping_line(self) -> str:
        """What is waited for, for the owner."""
        titles = ", ".join(job.title for job in self.running)
        return f"Closing: waiting for this to stop: {titles}. What was recorded before is kept."

    def stop_all(self, seconds: float = LONGEST_WAIT_S) -> None:
        """Cancel everything and wait for it, all together no longer than `seconds`."""
        until = monotonic() + seconds
        for job in tuple(self.running):
            job.cancel()
        for job in tuple(self.running):
            job.end(until - monotonic())
