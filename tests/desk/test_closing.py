"""Closing the window in the middle of long work ends the program in good order, every time."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from retrofit_desk.desk import app
from retrofit_desk.records.project import Project
from retrofit_desk.services import sample

CLOSES_IN_THE_MIDDLE = """
import faulthandler
import sys
import time

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

faulthandler.enable()
faulthandler.dump_traceback_later(90, exit=True)
app = QApplication(["retrofit-desk"])
from retrofit_desk.desk.app import main

folder, what = sys.argv[1:]


def deaf(report):
    until = time.monotonic() + 60.0
    while time.monotonic() < until:
        time.sleep(0.01)
    report(1.0, "too late")


def in_the_middle():
    shown = [one for one in QApplication.topLevelWidgets() if one.isVisible()]
    window = next((one for one in shown if one.objectName() == "desk"), None)
    if what == "opening" and shown:
        shown[0].close()
    elif window is None:
        QTimer.singleShot(20, in_the_middle)
    elif what == "deaf":
        window.desk.jobs.start("Something that does not hear", deaf, print)
        QTimer.singleShot(50, window.close)
    else:
        work_out_the_sum(window, int(what))


def work_out_the_sum(window, wait_ms):
    from retrofit_desk.values.place import PageKey

    page = window.show_page(PageKey.WORTH)
    page.work.start()
    job = next(one for one in window.desk.jobs.running if one.title == "Working out the savings sum")

    def close():
        print("closed in the middle" if job.is_running else "it was done already", flush=True)
        window.close()

    QTimer.singleShot(wait_ms, close)


QTimer.singleShot(0, in_the_middle)
sys.exit(main([folder]))
"""


def run(folder: Path, what: str) -> subprocess.Popen[str]:
    home = folder.parent / f"home of {what}"
    own = {name: str(home) for name in ("XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_DATA_HOME", "HOME")}
    return subprocess.Popen(
        [sys.executable, "-c", CLOSES_IN_THE_MIDDLE, str(folder), what],
        env=os.environ | own | {"QT_QPA_PLATFORM": "offscreen", "QT_LOGGING_RULES": "*.warning=false"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )


def ends(sample_folder: Path, tmp_path: Path, whats: Sequence[str]) -> dict[str, tuple[int, str]]:
    """Exit code and all that was said, of programs run side by side, each on a project of its own."""
    folders = {what: tmp_path / f"house {what}.retrofit" for what in whats}
    for folder in folders.values():
        shutil.copytree(sample_folder, folder)
    running = {what: run(folder, what) for what, folder in folders.items()}
    found = {}
    try:
        for what, process in running.items():
            said, _ = process.communicate(timeout=120)
            found[what] = (process.returncode, said)
    finally:
        for process in running.values():
            process.kill()
    for folder in folders.values():
        with Project.open(folder):
            pass  # whole, and no lock is left on it
    return found


def test_closing_while_the_savings_sum_is_worked_out(sample_folder: Path, tmp_path: Path) -> None:
    waits_ms = ("0", "300", "1500")
    found = ends(sample_folder, tmp_path, waits_ms)
    assert found == dict.fromkeys(waits_ms, (0, "closed in the middle\n"))


def test_closing_on_work_that_does_not_hear_and_while_the_record_is_opened(
    sample_folder: Path, tmp_path: Path
) -> None:
    found = ends(sample_folder, tmp_path, ("deaf", "opening"))
    assert found == {"deaf": (0, ""), "opening": (0, "")}


def test_a_sample_half_made_when_the_program_was_closed_is_made_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "The sample.retrofit"
    half_made = tmp_path / "The sample unfinished.retrofit"
    half_made.mkdir()
    (half_made / "project.sqlite").write_bytes(b"half a record")
    monkeypatch.setattr(sample, "sample_folder", lambda _house: folder)
    with app._open_sample(lambda _share, _doing: None, "gas") as project:
        assert project.path == folder
    assert not half_made.exists()
