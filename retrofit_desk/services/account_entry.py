"""An account with a utility, as its papers call it: names, numbers, and the cases open with it."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.account_closing import AccountUnclear


@dataclass(frozen=True)
class WrittenAccount:
    """`case_numbers`: what the utility files a wish under, such as added load, connection or cut-off."""

    utility: str
    account_number: str
    name_on_account: str
    service_address: str
    case_numbers: str


@dataclass(frozen=True)
class AccountSheet:
    account_id: int
    fuel: str
    written: WrittenAccount


class AccountEntryService:
    """Every correction is one undo step."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def of_meter(self, meter_id: int) -> AccountSheet | None:
        """None for a meter without an account."""
        with self._project.session() as session:
            meter = session.get(m.Meter, meter_id)
            row = meter.account if meter is not None else None
            if row is None:
                return None
            written = WrittenAccount(
                row.utility, row.account_number, row.name_on_account, row.service_address, row.case_number
            )
            return AccountSheet(row.id, str(row.fuel), written)

    def correct(self, account_id: int, written: WrittenAccount) -> None:
        """Raises `AccountUnclear` without the utility's name."""
        with self._project.action("Correct an account") as work:
            row = work.session.get(m.UtilityAccount, account_id)
            if row is None:
                raise AccountUnclear(
                    "this account is no longer recorded", do="undo, or look at the list again"
                )
            if not written.utility.strip():
                raise AccountUnclear("it has no name", where="Utility", do="type it as its bills do")
            row.utility, row.account_number = written.utility.strip(), written.account_number.strip()
            row.name_on_account = written.name_on_account.strip()
            row.service_address = written.service_address.strip()
            row.case_number = written.case_numbers.strip()


def case_numbers_with(session: Session, utility: str) -> str:
    """What the utility of this name files the owner's cases under; empty where none is on record."""
    rows = session.scalars(select(m.UtilityAccount).where(m.UtilityAccount.case_number != ""))
    same = (row.case_number for row in rows if row.utility.casefold() == utility.strip().casefold())
    return ", ".join(same)
