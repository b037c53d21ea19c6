"""A number with its likely range, its source and its date."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class Figure:
    """One shown number. `low` and `high` are the likely range (10-90 %); all three in `unit`."""

    value: float
    low: float
    high: float
    unit: str
    source: str
    as_of: date

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise ValueError(f"{self.value} lies outside its range {self.low} to {self.high}")
