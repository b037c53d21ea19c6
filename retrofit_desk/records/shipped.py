"""Where the folders that travel with the program lie: beside the checkout, or inside an installed wheel."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import retrofit_desk

_PACKAGE = Path(retrofit_desk.__file__).parent


def shipped_folder(name: Literal["shared", "assets", "migrations"]) -> Path:
    """The folder of that name. Raises `FileNotFoundError` if the program was installed without it."""
    for place in (_PACKAGE / "shipped" / name, _PACKAGE.parent / name):
        if place.is_dir():
            return place
    raise FileNotFoundError(f"the folder {name} did not travel with the program")
