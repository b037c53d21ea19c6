"""Batts between open studs, joists or rafters."""

from retrofit_desk.estimate.measures.base import MeasureKind
from retrofit_desk.estimate.measures.insulation_cavity import CavityFill, apply, materials


class Batts(CavityFill):
    pass


KIND = MeasureKind("insulation_batts", "Insulation batts", Batts, 21, apply, materials)
