"""The log file: our own faults, whole; nothing of the record."""

from __future__ import annotations

import logging
from logging.handlers import RotatingFileHandler
from pathlib import Path

LOG_BYTES = 200_000


def log_path() -> Path:
    """Where the log is kept on this machine."""
    from platformdirs import user_log_path

    return user_log_path("retrofit-desk", appauthor=False) / "desk.log"


def start_log() -> None:
    """Write warnings and faults to the log file; a folder that cannot be written leaves the terminal."""
    path = log_path()
    handler: logging.Handler
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(path, maxBytes=LOG_BYTES, backupCount=1, encoding="utf-8")
    except OSError:
        handler = logging.StreamHandler()
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    logger = logging.getLogger("retrofit_desk")
    logger.setLevel(logging.WARNING)
    logger.addHandler(handler)
