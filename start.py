"""Starts Retrofit Desk from a checkout: makes its environment, then opens the window or runs the tests.

python3 start.py              the window on the sample house; without a display the same in plain text
python3 start.py test [...]   the test suite; arguments go on to pytest
python3 start.py bench        the speed ratios
"""

from __future__ import annotations

import ctypes
import hashlib
import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
ENVIRONMENT = HERE / ".venv"
LOCK = HERE / "requirements.lock"
STAMP = ENVIRONMENT / "installed-lock.sha256"
OLDEST, TOO_NEW = (3, 11), (3, 14)
WINDOW_LIBRARIES = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libglib-2.0.so.0": "libglib2.0-0",
}
X11_LIBRARIES = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}


def main(arguments: list[str]) -> int:
    if not OLDEST <= sys.version_info[:2] < TOO_NEW:
        version = ".".join(str(part) for part in sys.version_info[:3])
        return stop(f"this is Python {version}; Retrofit Desk needs Python 3.11, 3.12 or 3.13.")
    what, rest = (arguments[0], arguments[1:]) if arguments else ("", [])
    if what not in ("", "test", "bench"):
        return stop(f"'{what}' is not known; use python3 start.py, with test, with bench, or with nothing.")
    python = environment()
    if python is None:
        return 1
    if what == "test":
        return run_tests(python, rest)
    if what == "bench":
        return need_window_libraries(offscreen=True) or call(
            [python, "tests/bench/run.py"], QT_QPA_PLATFORM="offscreen"
        )
    return start(python)


def start(python: str) -> int:
    """The window on the sample house, or without a display the tour in plain text."""
    if not has_display():
        return call(
            [
                python,
                "-c",
                "import sys; from retrofit_desk.cli import headless_tour; sys.exit(headless_tour())",
            ]
        )
    return need_window_libraries() or call([python, "-m", "retrofit_desk.desk.app", "--sample"])


def run_tests(python: str, rest: list[str]) -> int:
    workers = [] if any(part.startswith("-n") for part in rest) else ["-n", "2"]
    command = [python, "-m", "pytest", *workers, *rest]
    return need_window_libraries(offscreen=True) or call(command, QT_QPA_PLATFORM="offscreen")


def environment() -> str | None:
    """The environment's Python, with exactly the packages of the lock file. Quick when nothing changed."""
    python = ENVIRONMENT / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    wanted = hashlib.sha256(LOCK.read_bytes() + (HERE / "pyproject.toml").read_bytes()).hexdigest()
    if python.exists() and STAMP.exists() and STAMP.read_text(encoding="utf-8") == wanted:
        return str(python)
    if not python.exists() and not make_environment():
        return None
    print("Installing what Retrofit Desk needs into .venv; this takes a few minutes, once.", flush=True)
    pip = [str(python), "-m", "pip", "--disable-pip-version-check", "--quiet", "install"]
    for step in (
        ["--use-pep517", "--require-hashes", "-r", str(LOCK)],
        ["--no-deps", "--no-build-isolation", "--editable", str(HERE)],
    ):
        if subprocess.run([*pip, *step], cwd=HERE, check=False).returncode != 0:
            stop("the packages could not be installed, see above; nothing else was changed. Start again.")
            return None
    STAMP.write_text(wanted, encoding="utf-8")
    return str(python)


def make_environment() -> bool:
    try:
        import ensurepip  # noqa: F401 Debian ships Python without it
        import venv
    except ImportError:
        stop("Python's venv module is missing; Debian, Ubuntu: apt install python3-venv")
        return False
    print("Making the environment .venv beside start.py.", flush=True)
    venv.create(ENVIRONMENT, with_pip=True, clear=ENVIRONMENT.exists())
    return True


def has_display() -> bool:
    if not sys.platform.startswith("linux"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def need_window_libraries(*, offscreen: bool = False) -> int:
    """0, or 1 after one line that names the packages of the system libraries the window misses."""
    if not sys.platform.startswith("linux"):
        return 0
    needed = dict(WINDOW_LIBRARIES)
    if not offscreen and os.environ.get("DISPLAY"):
        needed |= X11_LIBRARIES
    missing = [package for library, package in needed.items() if not can_load(library)]
    if missing:
        return stop(
            f"system libraries of the window are missing; Debian, Ubuntu: apt install {' '.join(missing)}"
        )
    return 0


def can_load(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def call(command: list[str], **more: str) -> int:
    try:
        return subprocess.run(command, cwd=HERE, env={**os.environ, **more}, check=False).returncode
    except KeyboardInterrupt:
        return 130


def stop(line: str) -> int:
    print(f"start.py: {line}", file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
