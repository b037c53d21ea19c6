"""The gas account closed: its fixed charge ends, and nothing in the house may burn gas any more."""

from dataclasses import replace

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind
from retrofit_desk.physics.plant_machines import Fuel


class AccountClosed(Inputs):
    account: str = Field("", description="which account, for the papers")


def account_closed(key: str, title: str, fuel: Fuel) -> MeasureKind[AccountClosed]:
    """The end of any fuel's account; it stands only where the last burner of that fuel is out."""

    def apply(case: HouseCase, inputs: AccountClosed) -> HouseCase:
        return replace(case, closed_accounts=case.closed_accounts | {fuel})

    return MeasureKind(key, title, AccountClosed, 90, apply, ends_fuel=fuel)


KIND = account_closed("gas_account_closed", "Gas account closed", "gas")
