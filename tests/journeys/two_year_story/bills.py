"""The bills that the house would have."""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import date, timedelta

from retrofit_desk.estimate.proof import daily_means_f
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.services.read_in import read_in
from tests.journeys.two_year_story.story import Story


def gas_use(day: date, mean_f: float) -> float:
    """Therms a day: the sealed house on its furnace, until the heat pump took over."""
    if day >= date(2026, 12, 18):
        return 0.1
    water = 0.0 if day >= date(2026, 10, 14) else 0.75
    return 0.08 + water + 0.135 * max(60.0 - mean_f, 0.0)


def power_use(day: date, mean_f: float) -> float:
    """Kilowatt-hours a day: appliances and cooling; then the heat pumps."""
    use = 24.0 + 1.1 * max(mean_f - 68.0, 0.0)
    if day >= date(2026, 10, 14):
        use += 3.4
    if day >= date(2026, 12, 18):
        use += 0.84 * max(60.0 - mean_f, 0.0)
    return use


def read_bills(
    story: Story, meter: str, first: date, last: date, unit: str, use: Callable[[date, float], float]
) -> None:
    """Monthly bills between two readings, read in from the utility's file."""
    daily = daily_means_f(greensboro())
    path = story.post / f"{meter} {last}.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file)
        rows.writerow(["period_start", "period_end", "quantity", "unit", "cost", "kind", "days_away"])
        start = first
        while start < last:
            end = min(start + timedelta(days=30), last)
            if (last - end).days < 25:
                end = last
            days = [start + timedelta(days=at) for at in range((end - start).days)]
            used = sum(use(day, float(daily[_of_year(day)])) for day in days)
            price = 1.52 if unit == "therm" else 0.135
            rows.writerow([start, end, f"{used:.1f}", unit, f"{used * price + 15:.2f}", "read", 0])
            start = end
    read_in(story.project, path, meter=meter)


def _of_year(day: date) -> int:
    """Day of a year without a leap day."""
    return (date(2026, day.month, min(day.day, 28) if day.month == 2 else day.day) - date(2026, 1, 1)).days
