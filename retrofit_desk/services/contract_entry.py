"""Writes a contract into the record: its stages, its measure's share, and what each stage waits for."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.services.quote_values import WrittenStage
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.errors import DeskError


class ContractUnclear(DeskError):
    """A contract that cannot be recorded as it stands."""


def check_stages(price_cents: int, stages: tuple[WrittenStage, ...]) -> None:
    """Raises `ContractUnclear` unless the stages add up to the price and one at most is final."""
    total = sum(stage.amount_cents for stage in stages)
    if total != price_cents:
        raise ContractUnclear(
            f"the stages add up to {cents_text(total)}, the price is {cents_text(price_cents)}",
            where="Stages",
            do="make the amounts add up",
        )
    if any(stage.amount_cents < 0 for stage in stages):
        raise ContractUnclear("a stage cannot be below zero", where="Stages", do="check its amount")


def put_stages(contract: m.Contract, stages: Iterable[WrittenStage]) -> None:
    for position, stage in enumerate(stages):
        contract.stages.append(
            m.StagedPayment(
                position=position,
                title=stage.title,
                amount_cents=stage.amount_cents,
                waits_for=stage.waits_for,
                due_on=stage.due_on,
                is_deposit=stage.is_deposit,
                is_final=stage.is_final,
            )
        )


def file_contract(work: Work, contract: m.Contract, path: Path | None) -> None:
    """Inside an action: file the signed paper with the contract, if there is one."""
    if path is not None:
        number = f" {contract.number}" if contract.number else ""
        title = f"Contract{number}, {contract.title}"
        uses = (Use(PaperSubject.CONTRACT, contract.id),)
        filing = Filing(PaperKind.CONTRACT, title, contract.signed_on, uses=uses)
        contract.paper_id, _same = file_in(work, path, filing)


def new_key(session: Session, title: str) -> str:
    """A key of its own for a new contract."""
    taken = set(session.scalars(select(m.Contract.key)))
    stem = "-".join("".join(c if c.isalnum() else " " for c in title.casefold()).split())[:40] or "contract"
    return next(key for n in range(1, 10_000) if (key := stem if n == 1 else f"{stem}-{n}") not in taken)
