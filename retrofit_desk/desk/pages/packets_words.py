"""How packets are told in words on their page."""

from __future__ import annotations

from collections.abc import Mapping

from retrofit_desk.rules.matching import Readiness
from retrofit_desk.services.packets import SentRow
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import count_text


def counts_words(ready: Mapping[Readiness, int]) -> str:
    """ "15 have, 2 missing, 2 do not match"; nothing is told of a word that no line carries."""
    told = [word.counted(count) for word, count in ready.items() if count]
    return ", ".join(told) or "needs nothing"


def made_words(row: SentRow) -> str:
    lacked = len(row.readiness.splitlines())
    open_words = f", {lacked} not ready then" if lacked else ""
    return f"made {day_text(row.made_at.date())}, {count_text(row.pages, 'page')}{open_words}"


def sent_words(row: SentRow) -> str:
    if row.sent_on is None:
        return "not noted as sent"
    how = f", {row.how}" if row.how else ""
    return f"sent {day_text(row.sent_on)} to {row.to_whom or 'nobody named'}{how}"
