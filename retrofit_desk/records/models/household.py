"""What the family uses, whatever the equipment: hot water, cooking, laundry, plugs, the car."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from retrofit_desk.records.models.base import Base, with_word, word
from retrofit_desk.values.stated import Stated


class Household(Base):
    """One row; how many people live here stands with the site."""

    __tablename__ = "household"
    hot_water_l_per_day: Mapped[float | None] = with_word("hot_water_is")
    """Mixed, at the taps."""
    hot_water_is: Mapped[Stated] = word()
    hot_water_at_c: Mapped[float | None] = with_word("hot_water_at_is")
    hot_water_at_is: Mapped[Stated] = word()
    plug_kwh_per_year: Mapped[float | None] = with_word("plug_is")
    plug_is: Mapped[Stated] = word()
    light_kwh_per_year: Mapped[float | None] = with_word("light_is")
    light_is: Mapped[Stated] = word()
    cooking_useful_kwh_per_year: Mapped[float | None] = with_word("cooking_is")
    """Heat into the pan."""
    cooking_is: Mapped[Stated] = word()
    dryer_loads_per_year: Mapped[float | None] = with_word("dryer_loads_is")
    dryer_loads_is: Mapped[Stated] = word()
    car_km_per_year: Mapped[float | None] = with_word("car_is")
    """Driven on electricity charged at home."""
    car_is: Mapped[Stated] = word()
