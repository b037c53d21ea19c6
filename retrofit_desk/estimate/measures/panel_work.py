"""Panel work: circuits and the service. It changes what may be connected, and money, but no energy."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind, unweighed
from retrofit_desk.physics.elements import NotNegative


class PanelWork(Inputs):
    main_breaker_a: NotNegative = Field(0.0, description="after the work; 0: stays")
    circuits_added: int = Field(0, ge=0, le=60)


def apply(case: HouseCase, inputs: PanelWork) -> HouseCase:
    return case


def beside(case: HouseCase, inputs: PanelWork) -> tuple[str, ...]:
    return ("Changes circuits and money only; the load calculation on the House page says what they carry.",)


KIND = MeasureKind(
    "panel_work", "Panel and circuits", PanelWork, 5, apply, unweighed("panel and wires"), beside=beside
)
