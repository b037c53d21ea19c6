"""What the window remembers between two starts: units, look, text size, place, the last project."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QByteArray, QSettings

from retrofit_desk.desk.theme import Tone
from retrofit_desk.values.quantity import Units

TEXT_SCALES = (0.9, 1.0, 1.15, 1.3, 1.5, 1.75, 2.0)


@dataclass(frozen=True)
class Choices:
    """The owner's choices for the window."""

    units: Units = Units.US
    tone: Tone = Tone.LIGHT
    text_scale: float = 1.0
    last_project: str = ""


class Settings:
    """One small file in the user's configuration folder; a damaged one counts as none."""

    def __init__(self, path: Path | None = None) -> None:
        if path is None:
            from platformdirs import user_config_path

            path = user_config_path("retrofit-desk", appauthor=False) / "window.ini"
        self._store = QSettings(str(path), QSettings.Format.IniFormat)

    def read(self) -> Choices:
        units, tone = str(self._store.value("units")), str(self._store.value("tone"))
        try:
            scale = float(str(self._store.value("text_scale", 1.0)))
        except ValueError:
            scale = 1.0
        return Choices(
            units=Units(units) if units in set(Units) else Units.US,
            tone=Tone(tone) if tone in set(Tone) else Tone.LIGHT,
            text_scale=min(max(scale, TEXT_SCALES[0]), TEXT_SCALES[-1]),
            last_project=str(self._store.value("last_project", "")),
        )

    def write(self, choices: Choices) -> None:
        self._store.setValue("units", str(choices.units))
        self._store.setValue("tone", str(choices.tone))
        self._store.setValue("text_scale", choices.text_scale)
        self._store.setValue("last_project", choices.last_project)

    def geometry(self) -> QByteArray | None:
        kept = self._store.value("geometry")
        return kept if isinstance(kept, QByteArray) else None

    def keep_geometry(self, geometry: QByteArray) -> None:
        self._store.setValue("geometry", geometry)
        self._store.sync()  # the program may end before its next turn
