"""Where a table's row comes from, and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from retrofit_desk.values.dates import day_text


@dataclass(frozen=True)
class Origin:
    """Who published it, which edition, the day it was last checked, and how sure it is."""

    source: str
    edition: str
    as_of: date
    confidence: str

    @property
    def line(self) -> str:
        """One line for a footnote."""
        edition = f", {self.edition}" if self.edition else ""
        return f"{self.source}{edition} (checked {day_text(self.as_of)}; {self.confidence})"
