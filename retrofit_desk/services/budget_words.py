"""What is set aside for surprises, in words for the window and for a lender."""

from __future__ import annotations

from retrofit_desk.services.money_values import Budget
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.quantity import count_text, percent_text


def contingency_words(budget: Budget) -> list[str]:
    """What was set aside for surprises, what took it, and whether the rest is enough for what may come."""
    found = budget.contingency
    share, whole, left = found.share, found.set_cents, found.left_cents
    changes = f"{cents_text(found.by_changes_cents)} by change orders"
    above = f"{cents_text(found.above_cents)} by prices above the budget"
    below = f"{cents_text(found.below_cents)} given back by prices below it"
    if share.value is None or whole.value is None or left.value is None:
        said = [
            f"Nothing is set aside on record ({share.stated}). Taken so far: {changes}, {above}; {below}."
        ]
    else:
        percent = percent_text(share.value, 0 if share.value * 100 % 1 == 0 else 1)
        part = f"{percent} of {cents_text(found.base_cents)}"
        said = [
            f"Set aside {cents_text(whole.value)} ({part}). Taken: {changes}, {above}; {below}."
            f" Left: {cents_text(left.value)}."
        ]
        finds = budget.open_finds_cents
        of_finds = f" ({cents_text(finds)} of it for hazards that were found)" if finds else ""
        coming = f"Could still come: {cents_text(budget.may_come_cents)}{of_finds}"
        short = budget.may_come_cents - left.value
        said.append(
            f"{coming}, {cents_text(short)} more than is left."
            if short > 0
            else f"{coming}; what is left covers it."
        )
    if found.not_compared:
        measures = count_text(found.not_compared, "measure")
        said.append(f"Not compared, for their budget or forecast is not known: {measures}.")
    return said


def meant_words(budget: Budget) -> list[str]:
    """What the owner means to spend in all, for the owner alone; empty where it is not stated."""
    meant, left = budget.meant_cents.value, budget.contingency.left_cents
    if meant is None:
        return []
    forecast = budget.project.forecast
    room = meant - forecast.known - max(left.value or 0, 0)
    with_left = "forecast with what is left set aside" if left.value else "forecast"
    over = f"{cents_text(-room)} above it" if room < 0 else f"{cents_text(room)} below it"
    missing = forecast.unknown + forecast.not_stated
    unsaid = f", {count_text(missing, 'measure')} of unknown cost not counted" if missing else ""
    return [f"You mean to spend {cents_text(meant)} in all; the {with_left} is {over}{unsaid}."]
