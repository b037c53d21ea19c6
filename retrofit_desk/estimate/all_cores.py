"""Much work of one kind on all cores, told of and stopped at once."""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from contextlib import suppress
from functools import cache
from threading import Event
from typing import TypeVar

T = TypeVar("T")
MOST_CORES = 4  # each holds a fabric's hours, so more would cost memory
LONGEST_SILENCE_S = 0.2  # between two reports, so that a stop is heard at once


def cores() -> int:
    """Threads that work side by side."""
    return min(os.cpu_count() or 1, MOST_CORES)


def _give_back() -> None:
    """Free memory to the system: the C library of Linux would keep it, in a heap of each thread."""
    if sys.platform == "linux":
        with suppress(OSError, AttributeError):  # other C libraries know no such thing
            ctypes.CDLL(None).malloc_trim(0)


@cache
def _workers(threads: int) -> ThreadPoolExecutor:
    """The same threads every time: each keeps what memory it once took."""
    return ThreadPoolExecutor(threads, "sets of measures")


def on_all_cores(
    groups: Sequence[Sequence[T]],
    work: Callable[[T], object],
    report: Callable[[int], None],
    threads: int | None = None,
) -> None:
    """`work` on every item: those of a group one after the other, the groups side by side.

    `report` is told often how many items are done, and may raise to stop: it is not waited for those at work.
    What `work` raises stops the rest.
    """
    stop, done = Event(), list[None]()

    def go_through(group: Sequence[T]) -> None:
        for item in group:
            if stop.is_set():
                return
            work(item)
            done.append(None)
        _give_back()

    workers = _workers(threads or cores())
    tasks = [workers.submit(go_through, group) for group in groups]
    try:
        waiting = set(tasks)
        while waiting:
            report(len(done))
            ended, waiting = wait(waiting, timeout=LONGEST_SILENCE_S, return_when=FIRST_COMPLETED)
            for task in ended:
                task.result()
    finally:
        stop.set()
        for task in tasks:
            task.cancel()


def while_heard(work: Callable[[], T], report: Callable[[], None]) -> T:
    """The answer of one piece of work; `report` is told often meanwhile and may raise to stop."""
    answers: list[T] = []
    on_all_cores([[work]], lambda one: answers.append(one()), lambda done: report())
    return answers[0]
