"""A simulated year as one picture: every hour as a dot of ink, day by day, and the months as bars."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.results import YearResult, monthly_kwh

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Array = NDArray[np.float64]
MONTHS = "JFMAMJJASOND"
INK, PAPER, SOFT = "#25211b", "#fcf9f2", "#8a8070"


def write_year_chart(year: YearResult, path: Path) -> Path:
    """Write the picture as PNG or SVG, by the ending. Heating above, cooling in the middle, months below."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.0, 8.0), facecolor=PAPER, layout="constrained")
    hours = figure.subplots(3, 1, height_ratios=(1.0, 1.0, 0.8))
    _hours(hours[0], year.heating_w, "Heating by the hour, kW")
    _hours(hours[1], year.cooling_w, "Cooling by the hour, kW")
    _months(hours[2], monthly_kwh(year.heating_w), monthly_kwh(year.cooling_w))
    figure.suptitle(f"{year.house}, on the weather of {year.weather}", color=INK)
    figure.savefig(path, dpi=110)
    return path


def _hours(axes: Axes, power_w: Array, title: str) -> None:
    """Days from left to right, the clock upward; the darker, the more power. One hue, with its scale."""
    from matplotlib.colors import LinearSegmentedColormap

    ink = LinearSegmentedColormap.from_list("ink", [PAPER, INK])
    table = (power_w / 1000.0).reshape(365, 24).T
    image = axes.imshow(table, aspect="auto", origin="lower", cmap=ink, extent=(0, 365, 0, 24), vmin=0.0)
    axes.set_title(title, loc="left", fontsize=10, color=INK)
    axes.set_yticks((0, 6, 12, 18, 24))
    axes.set_ylabel("hour of the day", color=SOFT)
    axes.set_xticks(np.cumsum((0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30)) + 15, list(MONTHS))
    axes.figure.colorbar(image, ax=axes, pad=0.01)


def _months(axes: Axes, heating_kwh: tuple[float, ...], cooling_kwh: tuple[float, ...]) -> None:
    at = np.arange(12)
    for offset, kwh, label, hatch in (
        (-0.2, heating_kwh, "heating", "////"),
        (0.2, cooling_kwh, "cooling", "...."),
    ):
        axes.bar(at + offset, kwh, 0.38, label=label, hatch=hatch, edgecolor=INK, facecolor=PAPER)
    axes.set_xticks(at, list(MONTHS))
    axes.set_title("By month, kWh", loc="left", fontsize=10, color=INK)
    axes.legend(frameon=False)
    axes.set_facecolor(PAPER)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
