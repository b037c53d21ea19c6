"""Writes a contract into the record: its stages, its measure's share, and what each stage waits for."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
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


def new_key(session: Session, title: str) -> str:
    """A key of its own for a new contract."""
    taken = set(session.scalars(select(m.Contract.key)))
    stem = "-".join("".join(c if c.isalnum() else " " for c in title.casefold()).split())[:40] or "contract"
    return next(key for n in range(1, 10_000) if (key := stem if n == 1 else f"{stem}-{n}") not in taken)
