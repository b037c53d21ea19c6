"""Rows of a machine's form: its published ratings, and the ties of what lies in the ground."""

from __future__ import annotations

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FieldEmpty
from retrofit_desk.desk.widgets.rows_field import RowsField
from retrofit_desk.services.machine_values import WrittenRating, WrittenTie
from retrofit_desk.values.quantity import Dimension, parse, show


class _Rows(RowsField):
    """Rows of quantities; one that stands as it was keeps its value, not its rounded text."""

    def __init__(
        self,
        desk: Desk,
        name: str,
        headings: tuple[str, ...],
        hints: tuple[str, ...],
        widths: tuple[int, ...],
    ) -> None:
        super().__init__(name, headings, hints, widths=widths)
        self._desk, self._words = desk, name

    def _text(self, value_si: float | None, dimension: Dimension) -> str:
        return "" if value_si is None else show(value_si, dimension, self._desk.units)

    def _typed(self, text: str, dimension: Dimension, known_si: float | None) -> float | None:
        if known_si is not None and text == self._text(known_si, dimension):
            return known_si
        if not text:
            return None
        return parse(text, dimension, self._desk.units, where=self._words).value_si


class RatingRows(_Rows):
    """Ratings with their test points; capacity and input make a point that the house model can use."""

    def __init__(self, desk: Desk, known: tuple[WrittenRating, ...]) -> None:
        headings = ("Rating", "Value", "At source", "At load", "Gives", "Takes in", "Source")
        super().__init__(desk, "Ratings", headings, ("HSPF2",), (3, 2, 2, 2, 3, 2, 4))
        self.setToolTip(
            "The house model takes “COP” and “COP, cooling” with what the machine gives and takes in, "
            "else HSPF2 and SEER2"
        )
        self._known = known
        for one in known:
            at = (self._text(temp, Dimension.TEMPERATURE) for temp in (one.source_temp_c, one.load_temp_c))
            gives = self._text(one.capacity_w, Dimension.POWER)
            takes = self._text(one.power_w, Dimension.ELECTRIC_POWER)
            self.add_row((one.name, f"{one.value:g}", *at, gives, takes, one.source))

    def ratings(self) -> tuple[WrittenRating, ...]:
        """Raises `FieldEmpty` for a row without a name or a value, and as `parse`."""
        return tuple(self._rating(number, row) for number, row in enumerate(self.rows()))

    def _rating(self, number: int, row: list[str]) -> WrittenRating:
        name, value, at_source, at_load, gives, takes, source = row
        if not name or not value:
            raise FieldEmpty("a rating needs its name and its value", where="Ratings", do="type both")
        was = self._known[number] if number < len(self._known) else WrittenRating("", 0.0)
        exact = was.value if value == f"{was.value:g}" else None
        temperature = Dimension.TEMPERATURE
        return WrittenRating(
            name,
            parse(value, Dimension.PLAIN, self._desk.units, where=name).value_si if exact is None else exact,
            source,
            self._typed(at_source, temperature, was.source_temp_c),
            self._typed(at_load, temperature, was.load_temp_c),
            self._typed(gives, Dimension.POWER, was.capacity_w),
            self._typed(takes, Dimension.ELECTRIC_POWER, was.power_w),
        )


class TieRows(_Rows):
    """Where it lies: distances from two fixed points, and coordinates."""

    def __init__(self, desk: Desk, known: tuple[WrittenTie, ...]) -> None:
        headings = ("What", "From point", "It is", "From point", "It is", "Latitude", "Longitude")
        hints = ("Bore 1", "northeast corner", "", "southeast corner")
        super().__init__(desk, "Ties", headings, hints, (2, 3, 2, 3, 2, 2, 2))
        self._known = {one.name: one for one in known}
        for one in known:
            first, second = (
                self._text(far, Dimension.LENGTH) for far in (one.first_distance_m, one.second_distance_m)
            )
            lies = ("" if at is None else f"{at:.5f}" for at in (one.latitude_deg, one.longitude_deg))
            self.add_row((one.name, one.first_point, first, one.second_point, second, *lies))

    def ties(self) -> tuple[WrittenTie, ...]:
        """Raises `FieldEmpty` for a tie without a name, and as `parse`."""
        return tuple(self._tie(row) for row in self.rows())

    def _tie(self, row: list[str]) -> WrittenTie:
        name, first, far, second, far_too, latitude, longitude = row
        if not name:
            raise FieldEmpty("a tie needs its name", where="Where it lies", do="say what lies there")
        was = self._known.get(name, WrittenTie(name))
        return WrittenTie(
            name,
            first,
            self._typed(far, Dimension.LENGTH, was.first_distance_m),
            second,
            self._typed(far_too, Dimension.LENGTH, was.second_distance_m),
            self._degrees(latitude, was.latitude_deg),
            self._degrees(longitude, was.longitude_deg),
        )

    def _degrees(self, text: str, known: float | None) -> float | None:
        if known is not None and text == f"{known:.5f}":
            return known
        if not text:
            return None
        return parse(text, Dimension.PLAIN, self._desk.units, where="Where it lies").value_si
