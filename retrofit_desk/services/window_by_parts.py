"""The U-value of a window without a label, worked out from its glass, its frame and its spacer."""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.physics.elements import GASES
from retrofit_desk.physics.glazing import Gap, Pane
from retrofit_desk.physics.window_u import (
    R_SE_M2K_W,
    R_SI_M2K_W,
    glass_u_w_m2k,
    two_in_series_u_w_m2k,
    window_with_frame_u_w_m2k,
)
from retrofit_desk.records.models import Certainty
from retrofit_desk.records.project import Project
from retrofit_desk.records.table_rows import NotInTable, WindowFrame
from retrofit_desk.records.tables import Tables, tables_of
from retrofit_desk.services.house_facts import Because
from retrofit_desk.values.errors import CannotSay, DeskError

PANE_M, EXTINCTION_PER_M = 0.004, 20.0  # ordinary clear glass; its sun is not asked here
COATED_EMISSIVITY = 0.05  # a soft low-e coating (common practice 0.03 to 0.10, no source)
STORM_SPACE_M2K_W = 0.173  # ISO 10077-1:2017, still air of 50 mm between two windows (from memory)
GAS_NAMES = tuple(GASES)
SPACERS = ("usual, aluminum", "warm edge")
SUBJECT = "its U-value"
LABEL_FILMS_M2K_W = (
    1.0 / 29.0 + 1.0 / 8.29
)  # winter rating of US labels (common practice; as in a house file)


class NoSuchWindow(DeskError):
    """Parts that do not make a window."""


@dataclass(frozen=True)
class WindowByParts:
    """What can be seen of a window that has no label. `gap_m`: between its panes."""

    width_m: float
    height_m: float
    frame: str
    panes: int
    coating: str = "uncoated"
    gas: str = "air"
    gap_m: float = 0.0127
    spacer: str = SPACERS[0]
    has_storm: bool = False
    meeting_rail_m: float = 0.0


@dataclass(frozen=True)
class WorkedOutU:
    """The whole window's U-value and how it came about, in one line for the record."""

    u_value_w_m2k: float
    because: Because


class WindowByPartsService:
    """Works out what no label tells; nothing is recorded here."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def frames(self) -> tuple[str, ...]:
        """The frames that the table knows."""
        return tuple(one.frame for one in tables_of(self._project).window_frames)

    def work_out(self, parts: WindowByParts) -> WorkedOutU:
        """Raises `CannotSay`, `NoSuchWindow`, `ImpossibleValue`."""
        return worked_out_u(parts, tables_of(self._project))


def worked_out_u(parts: WindowByParts, tables: Tables) -> WorkedOutU:
    """EN 673 for the glass, ISO 10077-1 for the window (both from memory). Raises as the service does."""
    try:
        frame = tables.window_frame(parts.frame)
    except NotInTable:
        raise CannotSay(SUBJECT, "its frame: wood, vinyl, aluminum, fiberglass") from None
    if parts.panes not in (1, 2, 3):
        raise NoSuchWindow(f"{parts.panes} panes are not known here", where="Panes", do="type 1, 2 or 3")
    found = _window(parts, frame, _glass_u(parts), _psi(parts, frame))
    told = f"{parts.panes} pane{'' if parts.panes == 1 else 's'}, {parts.frame} frame"
    if parts.panes > 1:
        told += f", {parts.coating}, {parts.gas}, spacer {parts.spacer}"
    if parts.has_storm:
        storm = WindowByParts(parts.width_m, parts.height_m, parts.frame, panes=1)
        found = two_in_series_u_w_m2k(_window(storm, frame, _glass_u(storm), 0.0), found, STORM_SPACE_M2K_W)
        told += ", storm window outside"
    return WorkedOutU(
        _with_label_films(found), Because(Certainty.CALCULATED, f"worked out by ISO 10077-1 from {told}")
    )


def _with_label_films(u_value: float) -> float:
    """As a label would tell it: with its own films, not ISO's."""
    return 1.0 / (1.0 / u_value - R_SI_M2K_W - R_SE_M2K_W + LABEL_FILMS_M2K_W)


def _glass_u(parts: WindowByParts) -> float:
    """Center of the glass; a coating sits in each gap, on the face of the pane inside it."""
    coated = parts.coating == "low-e"
    inner = Pane(PANE_M, EXTINCTION_PER_M)
    if coated:
        inner = Pane(PANE_M, EXTINCTION_PER_M, emissivity_outward=COATED_EMISSIVITY)
    gaps = [Gap(parts.gap_m, GASES[parts.gas])] * (parts.panes - 1)
    return glass_u_w_m2k([Pane(PANE_M, EXTINCTION_PER_M), *([inner] * (parts.panes - 1))], gaps)


def _psi(parts: WindowByParts, frame: WindowFrame) -> float:
    if parts.panes == 1:
        return 0.0
    usual, warm = frame.psi_uncoated_w_mk, frame.psi_uncoated_warm_edge_w_mk
    if parts.coating == "low-e":
        usual, warm = frame.psi_coated_w_mk, frame.psi_coated_warm_edge_w_mk
    return warm if parts.spacer == SPACERS[1] else usual


def _window(parts: WindowByParts, frame: WindowFrame, glass_u: float, psi: float) -> float:
    return window_with_frame_u_w_m2k(
        width_m=parts.width_m,
        height_m=parts.height_m,
        frame_width_m=frame.width_m,
        glass_u=glass_u,
        frame_u=frame.u_value_w_m2k,
        psi_w_mk=psi,
        meeting_rail_m=parts.meeting_rail_m,
    )
