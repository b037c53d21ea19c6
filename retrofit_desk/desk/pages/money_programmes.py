"""What the dated rules of rebate programmes say about each measure, with source and day of the last check."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QInputDialog, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.rebate_forms import (
    ClaimDialog,
    ExpectedDialog,
    FallDialog,
    IncomeDialog,
    ReservationDialog,
)
from retrofit_desk.desk.widgets.button_row import ButtonRow
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.rules.programme_checks import Met
from retrofit_desk.rules.programme_file import TaxTreatment
from retrofit_desk.rules.programmes import ProgrammeStatus
from retrofit_desk.services.programme_entry import ProgrammeEntryService, ReservationState
from retrofit_desk.services.programme_files import OwnRule, RuleFileService
from retrofit_desk.services.programmes import ProgrammeLine, ProgrammeService, ProgrammeView
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place

OWN = "Your own rules"
RULE_FILES = "Rule files (*.toml)"
_PAYS_NOTHING = (
    ProgrammeStatus.ENDED,
    ProgrammeStatus.NOT_YET,
    ProgrammeStatus.NOT_COVERED,
    ProgrammeStatus.LOST,
)


class ProgrammesPart(QWidget):
    """Chosen programmes by their rules, those that could apply too, and those that pay nothing."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._heading = SectionHeading("What the rules say")
        self.sums = soft_label("")
        self.chosen = StackedList(desk, "What the rules say", "No programme with a rule on file is chosen.")
        self.could_apply = StackedList(desk, "Could apply too", "No other programme lists this work.")
        self.pays_nothing = StackedList(desk, "Pays nothing here", "None.")
        self.own = StackedList(desk, OWN, "None; those that came with the program count.")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        self.buttons = ButtonRow(
            (
                ("Income of the household …", self._income),
                ("Take in a rule file …", self._pick),
                ("Write a rule file out …", self._write_out),
            )
        )
        for widget in (self._heading, self.sums, self.buttons, self.chosen):
            column.addWidget(widget)
        below = (
            ("Could apply too", self.could_apply),
            ("Pays nothing here", self.pays_nothing),
            (OWN, self.own),
        )
        for title, stack in below:
            column.addWidget(SectionHeading(title))
            column.addWidget(stack)

    def refresh(self) -> None:
        # first, so that a rule that cannot be read can be taken out
        self.own.set_lines([self._own_line(one) for one in self._desk.service(RuleFileService).own()])
        view = self._desk.service(ProgrammeService).view()
        self._heading.set_remark(f"as of {day_text(view.today)}")
        self.sums.setText("\n".join(_sums(view)))
        self.chosen.set_lines([_line(line, self._chosen_buttons(line)) for line in view.chosen])
        open_ones = [line for line in view.could_apply if line.status not in _PAYS_NOTHING]
        self.could_apply.set_lines([_line(line, self._choose_button(line)) for line in open_ones])
        nothing = [line for line in view.could_apply if line.status in _PAYS_NOTHING]
        self.pays_nothing.set_lines([_group_line(group) for group in _grouped(nothing)])

    def _chosen_buttons(self, line: ProgrammeLine) -> tuple[LineButton, ...]:
        if line.rebate is None:
            return ()
        choice_id = line.rebate.choice_id
        stands = line.rebate.reservation not in (None, ReservationState.USED)
        fell = (LineButton("It fell away …", lambda: self._fell(choice_id)),) if stands else ()
        return (
            LineButton("Reserve …", lambda: self._reserve(choice_id)),
            *fell,
            LineButton("Claim …", lambda: self._open(ClaimDialog, choice_id)),
            LineButton("Change …", lambda: self._open(ExpectedDialog, choice_id)),
        )

    def _choose_button(self, line: ProgrammeLine) -> tuple[LineButton, ...]:
        return (LineButton("Choose", lambda: self._choose(line)),)

    def _choose(self, line: ProgrammeLine) -> None:
        first, *others = line.measure_ids
        is_whole_house = line.measure_id is None
        with self._desk.notices.caught():
            self._desk.service(ProgrammeEntryService).choose(
                first, line.programme_key, line.amount_cents, others=others, is_whole_house=is_whole_house
            )
            told = f"{line.programme} is chosen for {line.measure}. Undo takes it back."
            change = "“Change …” says which measures it pays for."
            self._desk.notices.tell(f"{told} {change}" if is_whole_house else told)

    def _reserve(self, choice_id: int) -> None:
        dialog = ReservationDialog(self._desk, self, choice_id)
        if dialog.exec() and dialog.effect is not None:
            said = (*dialog.effect.frees, *dialog.effect.still_blocks)
            self._desk.notices.tell(" ".join(("Reservation recorded.", *said)))

    def _income(self) -> None:
        IncomeDialog(self._desk, self).exec()

    def _own_line(self, rule: OwnRule) -> StackedLine:
        path = rule.path
        if path is None:
            out = LineButton("Take out", lambda: self._take_out(rule.key))
            return StackedLine(rule.name, rule.words, needs_owner=rule.is_damaged, buttons=(out,))
        into_record = LineButton("Take in", lambda: self._take_in(path))
        buttons = () if rule.is_damaged else (into_record,)
        return StackedLine(rule.name, rule.words, needs_owner=True, buttons=buttons)

    def _pick(self) -> None:
        """A rule that the owner wrote, or got from an office: checked whole before it is kept."""
        picked, _ = QFileDialog.getOpenFileName(self, "Take in a rule file", filter=RULE_FILES)
        if picked:
            self._take_in(Path(picked))

    def _take_in(self, path: Path) -> None:
        with self._desk.notices.caught():
            self._desk.notices.tell(self._desk.service(RuleFileService).take_in(path))

    def _take_out(self, key: str) -> None:
        with self._desk.notices.caught():
            self._desk.notices.tell(self._desk.service(RuleFileService).take_out(key))

    def _write_out(self) -> None:
        """One to start from: what an office changed is changed there, and taken in again."""
        service = self._desk.service(RuleFileService)
        with self._desk.notices.caught():
            named = {name: key for key, name in service.programmes()}
            chosen, is_chosen = QInputDialog.getItem(
                self, "Write a rule file out", "The programme to start from", sorted(named), editable=False
            )
            if not is_chosen:
                return
            start = f"{named[chosen]}.toml"
            picked, _ = QFileDialog.getSaveFileName(self, "Write a rule file out", start, RULE_FILES)
            if picked:
                self._desk.notices.tell(service.write_out(named[chosen], Path(picked)))

    def _fell(self, choice_id: int) -> None:
        dialog = FallDialog(self._desk, self, choice_id)
        if dialog.exec() and dialog.effect is not None:
            said = ("Recorded. Ask again, appeal, or reckon without it.", *dialog.effect.still_blocks)
            self._desk.notices.tell(" ".join(said))

    def _open(self, form: type[ClaimDialog] | type[ExpectedDialog], choice_id: int) -> None:
        form(self._desk, self, choice_id).exec()


def _sums(view: ProgrammeView) -> list[str]:
    together = view.together_cents.value
    part = f" ({cents_text(view.known_cents)} of it can be told)" if view.known_cents else ""
    words = f"cannot be said yet{part}" if together is None else cents_text(together)
    said = []
    if view.chosen:
        said.append(f"The chosen programmes pay together, in their order and with all caps: {words}.")
    said += [f"{text}." for text in view.between_them]
    said += [
        f"{one.programme}, {one.measure}, is not reserved: the project costs {cents_text(one.with_it_cents)} "
        f"with it, {cents_text(one.without_it_cents)} without it."
        for one in view.unreserved
    ]
    told = {(one.programme, one.measure) for one in view.unreserved}
    unsure = [one for one in view.chosen if not one.is_sure]
    said += [
        f"{one.programme}, {one.measure}, is not reserved, and nobody said what to expect of it."
        for one in unsure
        if (one.programme, one.measure) not in told
    ]
    if view.chosen and not unsure:
        said.append("Every chosen rebate is reserved in writing or paid.")
    said.append("The office that pays decides; a rule read here promises nothing.")
    return said


def _line(line: ProgrammeLine, buttons: tuple[LineButton, ...]) -> StackedLine:
    paid = line.taken.taken_cents if line.taken is not None else line.amount_cents
    aside = str(paid.stated) if paid.value is None else cents_text(paid.value)
    parts = [_covers(line), _answer(line), _place_words(line), _beside(line)]
    parts += [_days(line), _difference(line), _tax(line)]
    parts += [_checked(line), *_warned(line), _rule(line)]
    needs_owner = line.is_chosen and line.status is not ProgrammeStatus.PAYS
    why = "\n".join(part for part in parts if part)
    return StackedLine(
        f"{line.programme}, {line.measure}", why, aside, _place(line), needs_owner, buttons=buttons
    )


def _covers(line: ProgrammeLine) -> str:
    return f"It pays for: {', '.join(line.covers)}." if line.covers else ""


def _answer(line: ProgrammeLine) -> str:
    if line.needs:
        return f"Cannot say, needs an answer: {line.needs}."
    takes = f", which takes {cents_text(line.cap_takes_cents)} off" if line.cap_takes_cents else ""
    binding = f" It is bound by: {_BINDINGS.get(line.binding, line.binding)}{takes}." if line.binding else ""
    if line.status is ProgrammeStatus.WAITS:
        return f"Waits for {' and '.join(line.reasons)}.{binding}"
    if line.status is ProgrammeStatus.PAYS:
        return f"{'Pays' if line.is_chosen else 'Would pay'}.{binding}"
    return f"{str(line.status).capitalize()}: {'; '.join(line.reasons)}."


def _place_words(line: ProgrammeLine) -> str:
    """Which place it is taken at, why, and what the programmes before it and the caps take off."""
    taken = line.taken
    if taken is None:
        return ""
    place = f"Taken {_PLACES.get(taken.place, f'at place {taken.place}')} of {taken.of}: {taken.why}"
    by_place = sum(cut.cents for cut in taken.cuts if cut.why == taken.why)
    less = f", which takes {cents_text(by_place)} off" if by_place else ""
    cuts = [f"Less {cents_text(cut.cents)}: {cut.why}." for cut in taken.cuts if cut.why != taken.why]
    return " ".join([f"{place}{less}." if taken.of > 1 else "", *cuts]).strip()


def _beside(line: ProgrammeLine) -> str:
    adds = line.adds_cents
    if adds is None:
        return ""
    if adds.value is None:
        return "What it would add to what is chosen for this measure cannot be said yet."
    return f"Beside what is chosen for this measure it would add {cents_text(adds.value)}."


def _tax(line: ProgrammeLine) -> str:
    if line.tax.treatment is TaxTreatment.UNKNOWN:
        return f"Tax: not known; ask a tax adviser. {line.tax.note}".strip()
    return f"Tax: {line.tax.treatment}. {line.tax.note}".strip()


def _days(line: ProgrammeLine) -> str:
    parts = [f"Day that counts: {line.tested}." if line.tested else ""]
    is_paid = line.rebate is not None and line.rebate.received_cents.is_known
    if is_paid and line.rebate is not None:
        parts.append(f"Paid {day_text(line.rebate.received_on)}.")
    elif line.claim_by is not None:
        parts.append(f"Claim by {day_text(line.claim_by)}.")
    return " ".join(part for part in parts if part)


def _difference(line: ProgrammeLine) -> str:
    expected = line.rebate.expected_cents.value if line.rebate is not None else None
    amount = (line.taken.taken_cents if line.taken is not None else line.amount_cents).value
    if expected is None or amount is None or expected == amount:
        return ""
    return f"You expect {cents_text(expected)}; the rule gives {cents_text(amount)}."


def _checked(line: ProgrammeLine) -> str:
    """Each rule by itself; those not met and not known first, for they are what can be done about it."""
    ordered = sorted(line.checks, key=lambda one: one.met is Met.YES)
    return f"Rules: {'; '.join(one.words for one in ordered)}." if ordered else ""


def _warned(line: ProgrammeLine) -> list[str]:
    return [f"{text[:1].upper()}{text[1:]}".rstrip(".") + "." for text in line.warnings]


def _rule(line: ProgrammeLine) -> str:
    changes = f"{'; '.join(line.changes)}. " if line.changes else ""
    checked = f", last checked {day_text(line.checked_on)}" if line.checked_on else ""
    return f"{changes[:1].upper()}{changes[1:]}Rule: {line.source}{checked}."


def _place(line: ProgrammeLine) -> Place | None:
    return Place(PageKey.MEASURES, "measure", line.measure_id) if line.measure_id is not None else None


def _grouped(lines: Sequence[ProgrammeLine]) -> list[tuple[ProgrammeLine, ...]]:
    """Measures for which one programme pays nothing in the same way."""
    keys = dict.fromkeys((line.programme_key, line.status) for line in lines)
    return [tuple(one for one in lines if (one.programme_key, one.status) == key) for key in keys]


def _group_line(group: Sequence[ProgrammeLine]) -> StackedLine:
    parts = []
    for reasons in dict.fromkeys(line.reasons for line in group):
        measures = ", ".join(line.measure for line in group if line.reasons == reasons)
        parts.append(f"{measures}: {'; '.join(reasons)}.")
    return StackedLine(group[0].programme, "\n".join([*parts, _rule(group[0])]), str(group[0].status))


_PLACES = {1: "first", 2: "second", 3: "third"}
_BINDINGS = {
    "flat": "a flat amount",
    "share of cost": "a share of the cost",
    "per unit": "an amount per unit",
}
