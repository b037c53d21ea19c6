"""The start of the window on a project against a bare Qt window."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.bench.ratio import Ratio, best_seconds

ROOT = Path(__file__).resolve().parents[2]

BARE = """
import os
from PySide6.QtWidgets import QApplication, QMainWindow
app = QApplication([])
window = QMainWindow()
window.resize(1280, 720)
window.show()
app.processEvents()
window.grab()
os._exit(0)
"""

OURS = """
import os
import sys
wanted = sys.argv[2]
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from retrofit_desk.desk import app
application = QApplication([])
def look():
    for window in application.topLevelWidgets():
        if window.isVisible() and window.objectName() in (wanted, "desk"):
            window.grab()
            os._exit(0)
timer = QTimer()
timer.timeout.connect(look)
timer.start(10)
sys.exit(app.main([sys.argv[1]]))
"""


def rows() -> list[Ratio]:
    """From a new process to a painted window, and to the first page; the best of five each."""
    with tempfile.TemporaryDirectory() as folder:
        project = str(_sample(Path(folder)))
        bare = best_seconds(lambda: _run(BARE, folder), 5)
        shown = best_seconds(lambda: _run(OURS, folder, project, "beginning"), 5)
        read = best_seconds(lambda: _run(OURS, folder, project, "desk"), 5)
    return [
        Ratio.at_most("window-start-against-bare-qt", shown / bare, 3),
        Ratio.at_most("first-page-read-against-bare-qt", read / bare, 10),
    ]


def _sample(folder: Path) -> Path:
    from retrofit_desk.services.sample import make_sample

    with make_sample(folder / "sample.retrofit") as project:
        return project.path


def _run(program: str, home: str, *arguments: str) -> None:
    places = {"HOME": home, "XDG_CONFIG_HOME": home, "XDG_STATE_HOME": home, "QT_QPA_PLATFORM": "offscreen"}
    environment = {**os.environ, **places, "PYTHONPATH": str(ROOT)}
    subprocess.run(
        [sys.executable, "-c", program, *arguments], env=environment, check=True, capture_output=True
    )
