"""The gas account closed: its fixed charge ends, and nothing in the house may burn gas any more."""

from dataclasses import replace

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind
from retrofit_desk.physics.elements import Name


class GasAccountClosed(Inputs):
    account: str
    needs_removed: tuple[Name, ...] = ()
    disconnection_fee_cents: int = Field(0, ge=0)


def apply(case: HouseCase, inputs: GasAccountClosed) -> HouseCase:
    return replace(case, closed_accounts=case.closed_accounts | {"gas"})


KIND = MeasureKind("gas_account_closed", "Gas account closed", GasAccountClosed, 90, apply, ends_fuel="gas")
