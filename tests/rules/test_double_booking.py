"""A firm that is planned to be in two places at once."""

from datetime import date

from retrofit_desk.rules.double_booking import double_bookings
from retrofit_desk.rules.schedule import Step, StepKind, plan

MONDAY = date(2026, 11, 23)


def test_a_firm_is_told_to_be_wanted_twice_only_on_common_days() -> None:
    steps = (
        Step("siding", "Siding", days=5, agreed_on=MONDAY),
        Step("windows", "Windows", days=2, agreed_on=date(2026, 11, 26)),
        Step("deck", "Deck", days=2, agreed_on=date(2026, 12, 7)),
    )
    firms = dict.fromkeys(("siding", "windows", "deck"), "Brindle Carpentry")
    (twice,) = double_bookings(plan(steps, MONDAY).steps, firms)
    assert (twice.first.step.key, twice.second.step.key) == ("siding", "windows")
    assert twice.on == date(2026, 11, 26)


def test_another_firm_a_wait_and_what_is_done_do_not_count() -> None:
    steps = (
        Step("a", "Wiring", days=5, agreed_on=MONDAY),
        Step("b", "Pipes", days=5, agreed_on=MONDAY),
        Step("c", "Delivery", StepKind.WAIT, days=5, agreed_on=MONDAY),
        Step("d", "Survey", days=5, started_on=MONDAY, done_on=MONDAY),
    )
    firms = {"a": "Wickerlane", "b": "Pennant Hill", "c": "Wickerlane", "d": "Wickerlane"}
    assert double_bookings(plan(steps, MONDAY).steps, firms) == ()
