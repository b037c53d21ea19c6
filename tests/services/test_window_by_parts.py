"""A window without a label, from its glass, frame and spacer."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from retrofit_desk.records.models import Certainty
from retrofit_desk.records.tables import Tables
from retrofit_desk.services.window_by_parts import NoSuchWindow, WindowByParts, worked_out_u
from retrofit_desk.values.errors import CannotSay

TABLES = Tables()
SASH = WindowByParts(1.0, 1.5, "wood", 2)


def with_iso_films(u_value: float) -> float:
    """Back from the films of US labels (29 and 8.29 W/m2K) to those of ISO 10077-1 (.04 and .13 m2K/W)."""
    return 1.0 / (1.0 / u_value - 1 / 29.0 - 1 / 8.29 + 0.17)


def by_hand(glass_u: float, frame_u: float, border_m: float, psi: float) -> float:
    # ISO 10077-1:2017, clause 6 (from memory): areas and edge of a light of 1.0 x 1.5 m less its frame
    width, height = 1.0 - 2 * border_m, 1.5 - 2 * border_m
    glass, edge = width * height, 2 * (width + height)
    return (glass * glass_u + (1.5 - glass) * frame_u + edge * psi) / 1.5


@pytest.mark.parametrize(
    ("parts", "expected"),
    [  # WIN-5: EN 673:2011 (from memory), glass 5.747; 2.849 is the table's for 12.0 mm, 2.83 at half an inch
        ({"panes": 1}, by_hand(5.747, 2.0, 0.07, 0.0)),
        ({"gap_m": 0.012}, by_hand(2.849, 2.0, 0.07, 0.06)),
        ({"gap_m": 0.012, "spacer": "warm edge"}, by_hand(2.849, 2.0, 0.07, 0.05)),
        ({"gap_m": 0.016, "gas": "argon"}, by_hand(2.606, 2.0, 0.07, 0.06)),
        ({"gap_m": 0.012, "frame": "aluminum"}, by_hand(2.849, 5.9, 0.05, 0.02)),
    ],
)
def test_parts_give_the_u_value_by_hand(parts: dict[str, Any], expected: float) -> None:
    found = worked_out_u(replace(SASH, **parts), TABLES)
    assert with_iso_films(found.u_value_w_m2k) == pytest.approx(expected, rel=5e-4)


@pytest.mark.parametrize(
    ("parts", "low", "high"),
    [  # ASHRAE Fundamentals ch. 15 classes, whole unit, as background (from memory), widened by 10 %
        ({"panes": 1}, 4.8, 5.7),
        ({"panes": 1, "has_storm": True}, 2.6, 3.1),
        ({}, 2.6, 2.8),
        ({"coating": "low-e", "gas": "argon"}, 1.4, 1.8),
        ({"panes": 3, "coating": "low-e", "gas": "argon"}, 0.85, 1.25),
    ],
)
def test_usual_windows_fall_into_their_class(parts: dict[str, Any], low: float, high: float) -> None:
    found = worked_out_u(replace(SASH, **parts), TABLES).u_value_w_m2k
    assert 0.9 * low <= found <= 1.1 * high


def test_it_says_that_it_is_calculated_and_from_what() -> None:
    because = worked_out_u(replace(SASH, has_storm=True), TABLES).because
    assert because.certainty is Certainty.CALCULATED
    assert because.source == (
        "worked out by ISO 10077-1 from 2 panes, wood frame, uncoated, air, spacer usual, aluminum, storm "
        "window outside"
    )


def test_what_is_missing_or_cannot_be_is_told() -> None:
    with pytest.raises(CannotSay, match="its frame"):
        worked_out_u(replace(SASH, frame="other"), TABLES)
    with pytest.raises(NoSuchWindow, match="5 panes"):
        worked_out_u(replace(SASH, panes=5), TABLES)
