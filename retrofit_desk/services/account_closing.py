"""The end of an account: gas, oil or another fuel, once nothing in the house burns it any more."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import HoldAction, NeedKind
from retrofit_desk.services.days import today_of
from retrofit_desk.services.holds import holds_in, pass_holds
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.services.usual_holds import burning
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError

BECAUSE = "The fixed charge ends only when the last appliance is gone, and coming back costs."


class AccountUnclear(DeskError):
    """An account that cannot be closed as told."""


@dataclass(frozen=True)
class AccountEnd:
    """What stands before the end of an account. `waits`: in one sentence each; `burns`: machines left."""

    account_id: int
    utility: str
    fuel: str
    today: date
    waits: tuple[str, ...]
    burns: tuple[str, ...]


class AccountClosingService:
    """Closing is one undo step; from that day on the fixed charge is no longer counted."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def of_meter(self, meter_id: int) -> AccountEnd | None:
        """None for electricity, for a closed account and for a meter without one."""
        with self._project.session() as session:
            meter = session.get(m.Meter, meter_id)
            account = meter.account if meter is not None else None
            if account is None or account.closed_on is not None or account.fuel is m.Fuel.ELECTRICITY:
                return None
            today = today_of(session)
            burns = tuple(row.name for row in burning(session, account.fuel))
            waits = tuple(
                view.sentence
                for view in holds_in(session, today)
                if (view.subject, view.subject_id) == (HoldSubject.ACCOUNT, account.id)
                and not (view.is_done or view.answer.may_go_on)
            )
            return AccountEnd(account.id, account.utility, str(account.fuel), today, waits, burns)

    def close(self, account_id: int, on: date, *, reason: str = "", paper: Path | None = None) -> None:
        """The meter is pulled and the account ended. Raises `NotYet` while it must wait without a reason.

        `paper`: the final bill or the utility's letter.
        """
        with self._project.action("Close an account") as work:
            session = work.session
            account = session.get(m.UtilityAccount, account_id)
            if account is None or account.closed_on is not None:
                raise AccountUnclear("this account is closed already", do="undo, or look at the list again")
            if on > today_of(session):
                raise AccountUnclear(
                    f"{day_text(on)} lies ahead", where=account.utility, do="correct the day"
                )
            _hold_while_burning(session, account, on)
            subject = HoldSubject.ACCOUNT
            pass_holds(session, subject, account.id, HoldAction.REMOVE, on=on, reason=reason, by="owner")
            account.closed_on = on
            meters = session.scalars(select(m.Meter).where(m.Meter.account_id == account.id)).all()
            for meter in meters:
                meter.removed_on = meter.removed_on or on
            if paper is not None:
                uses = tuple(Use(PaperSubject.METER, meter.id) for meter in meters)
                title = f"Final bill, {account.utility}"
                file_in(work, paper, Filing(PaperKind.UTILITY_BILL, title, on, uses=uses))


def _hold_while_burning(session: Session, account: m.UtilityAccount, on: date) -> None:
    """A hold of its own for machines that still burn the fuel, so that going on stays visible."""
    left = burning(session, account.fuel)
    looked_at = set(
        session.scalars(
            select(m.HoldNeed.equipment_id)
            .join(m.Hold)
            .where(m.Hold.subject == HoldSubject.ACCOUNT, m.Hold.subject_id == account.id)
        )
    )
    needs = [
        m.HoldNeed(kind=NeedKind.TAKEN_OUT, text=f"{row.name} is out", equipment_id=row.id, position=at)
        for at, row in enumerate(left)
        if row.id not in looked_at
    ]
    if needs:
        hold = m.Hold(
            key=f"close-{account.key}-{on:%Y%m%d}",
            action=HoldAction.REMOVE,
            what=f"the account with {account.utility}",
            subject=HoldSubject.ACCOUNT,
            subject_id=account.id,
            because=BECAUSE,
            source="common practice",
            made_on=on,
            needs=needs,
        )
        session.add(hold)
        session.flush()


def is_used(session: Session, fuel: m.Fuel) -> bool:
    """Whether the record knows a meter, an account or a machine of this fuel, of today or of before."""
    columns = (m.Meter.fuel, m.UtilityAccount.fuel, m.Equipment.fuel)
    return any(session.scalar(select(one).where(one == fuel).limit(1)) is not None for one in columns)
