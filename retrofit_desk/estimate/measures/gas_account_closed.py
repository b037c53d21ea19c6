"""The gas account closed: its fixed charge ends, and nothing in the house may burn gas any more."""

from dataclasses import replace

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind


class GasAccountClosed(Inputs):
    account: str


def apply(case: HouseCase, inputs: GasAccountClosed) -> HouseCase:
    return replace(case, closed_accounts=case.closed_accounts | {"gas"})


KIND = MeasureKind("gas_account_closed", "Gas account closed", GasAccountClosed, 90, apply, ends_fuel="gas")
