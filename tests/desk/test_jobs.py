"""Garbage of the window while work goes on beside it."""

from __future__ import annotations

import gc
import threading

from pytestqt.qtbot import QtBot

from retrofit_desk.desk.jobs import Jobs, Report


def test_no_other_thread_collects_garbage_while_a_job_is_at_work(qtbot: QtBot) -> None:
    collected_on: set[int] = set()

    def look(phase: str, _info: dict[str, int]) -> None:
        if phase == "start":
            collected_on.add(threading.get_ident())

    def work(report: Report) -> int:
        for step in range(30_000):
            ring: list[object] = []
            ring.append(ring)
            if step % 5_000 == 0:
                report(step / 30_000, "rings that only the collector frees")
        return threading.get_ident()

    done: list[int] = []
    failed: list[Exception] = []
    jobs = Jobs(failed.append)
    gc.callbacks.append(look)
    try:
        jobs.start("rings", work, done.append)
        qtbot.waitUntil(lambda: bool(done), timeout=30_000)
    finally:
        gc.callbacks.remove(look)
    assert not failed
    assert done[0] not in collected_on
    assert gc.isenabled()
