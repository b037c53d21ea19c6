"""The rates and prices of the years ahead: how the Worth page looks at money over time."""

from __future__ import annotations

from decimal import Decimal

from PySide6.QtWidgets import QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, counted, needed
from retrofit_desk.desk.widgets.fields import QuantityField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.outlook import Outlook, OutlookService
from retrofit_desk.values.quantity import Dimension

WORDS = {
    "discount_rate": "Discount rate above inflation",
    "fuel_growth": "Fuel prices rise above inflation by",
    "power_growth": "Electricity prices rise above inflation by",
    "inflation": "Inflation",
}
EXPLAINED = (
    "The discount rate is what your money could earn elsewhere above inflation. All figures but the loan's "
    "payments are in dollars of today. Nothing is simulated again."
)


class OutlookDialog(FactsForm):
    """Percentages a year and the years looked at."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(desk, parent, "outlook", "Rates and prices of the years ahead")
        held = desk.service(OutlookService).outlook()
        self.rates: dict[str, QuantityField] = {
            name: self.add_quantity(
                f"{words}, a year", name, Dimension.SHARE, float(getattr(held, name)), decimals=1
            )
            for name, words in WORDS.items()
        }
        self.years = self.add_quantity(
            "Study period in years", "years", Dimension.PLAIN, float(held.years), low_si=1, decimals=0
        )
        self.body.addWidget(soft_label(EXPLAINED))
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 17)
        self.begin()

    def record(self) -> None:
        rates = {name: Decimal(str(round(needed(field), 6))) for name, field in self.rates.items()}
        self.desk.service(OutlookService).keep(Outlook(**rates, years=counted(self.years)))
