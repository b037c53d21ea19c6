"""A project folder that appears whole or not at all."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def whole_or_nothing(target: Path) -> Iterator[Path]:
    """A new project folder under another name, which gets its own only when all is in it."""
    part = target.with_name(f".{target.name}.part")
    shutil.rmtree(part, ignore_errors=True)
    try:
        part.mkdir(parents=True, mode=0o700)  # private papers: for the owner's account alone
        (part / "papers").mkdir()
        (part / "backups").mkdir()
        yield part
        part.rename(target)
    except BaseException:
        shutil.rmtree(part, ignore_errors=True)
        raise
