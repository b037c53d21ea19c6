"""How quantities of the house are put into words: value with unit, or the word that stands for none."""

from __future__ import annotations

from collections.abc import Iterable

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.lines import StackedLine
from retrofit_desk.services.face_changes import FaceThen
from retrofit_desk.services.house import FactSource, MeasureTouch
from retrofit_desk.services.house_faces import OpeningSheet
from retrofit_desk.services.house_facts import (
    AGAINST_THE_SUN,
    DRAWN_BY_THE_CLOCK,
    USUAL_OUTDOOR_ABOVE_C,
    USUAL_SUN_ABOVE_W_M2,
)
from retrofit_desk.values.dates import day_text, months_text
from retrofit_desk.values.quantity import Dimension, number_text, show
from retrofit_desk.values.stated import StatedValue

COLUMN_WORDS = {
    "floor_area_m2": "floor area",
    "height_m": "height",
    "heating_set_point_c": "heating set-point",
    "heating_setback_c": "setback",
    "cooling_set_point_c": "cooling set-point",
    "internal_gain_w": "heat of people and machines",
    "air_changes_per_hour": "air changes",
    "is_heated": "heated or not",
    "is_cooled": "cooled or not",
    "area_m2": "area",
    "azimuth_deg": "direction",
    "tilt_deg": "tilt",
    "construction_id": "construction",
    "solar_absorptance": "sun absorbed",
    "exposed_perimeter_m": "exposed edge",
    "passage_area_m2": "open passage",
    "u_value_w_m2k": "U-value",
    "shgc": "SHGC",
    "width_m": "width",
    "sill_m": "sill height",
    "count": "number",
    "panes": "panes",
    "overhang_depth_m": "overhang",
    "overhang_above_head_m": "overhang above the head",
    "overhang_left_m": "overhang to the left",
    "overhang_right_m": "overhang to the right",
    "left_offset_m": "place in the wall",
    "reveal_m": "reveal",
    "left_fin_depth_m": "left fin",
    "left_fin_gap_m": "gap at the left fin",
    "right_fin_depth_m": "right fin",
    "right_fin_gap_m": "gap at the right fin",
    "operation": "how it opens",
    "hinge": "hinges",
    "frame": "frame",
    "shade": "shade",
    "shade_solar_factor": "sun through the shade",
    "shade_rule": "when the shade is drawn",
    "shade_from_hour": "first hour of the shade",
    "shade_to_hour": "last hour of the shade",
    "shade_from_month": "first month of the shade",
    "shade_to_month": "last month of the shade",
    "shade_sun_above_w_m2": "sun from which the shade is drawn",
    "shade_outdoor_above_c": "outdoor temperature from which the shade is drawn",
    "shade_added_resistance_m2k_w": "what the drawn shade adds",
    "coating": "coating",
    "shgc_by_angle": "SHGC by angle",
    "flow_50pa_m3_s": "flow at 50 Pa",
    "volume_m3": "volume",
    "quantity": "use",
    "layers": "layers",
}


def stated_text(desk: Desk, value: StatedValue[float], dimension: Dimension) -> str:
    """The quantity in the owner's units, or "unknown", "not stated", "excluded"."""
    if value.value is None:
        return str(value.stated)
    return show(value.value, dimension, desk.units)


def maybe_text(desk: Desk, value: float | None, dimension: Dimension, none: str = "not stated") -> str:
    """The same for a value that has no word of its own."""
    return none if value is None else show(value, dimension, desk.units)


def glass_words(desk: Desk, opening: OpeningSheet) -> str:
    """The coating and the sun at an angle, as far as they are recorded: "Low-e. SHGC by angle: ..."."""
    words = [f"Glass: {opening.facts.coating}."] if opening.facts.coating else []
    if opening.facts.shgc_by_angle:
        told = ", ".join(
            f"{number_text(share, Dimension.PLAIN, desk.units, decimals=2)} at "
            f"{show(angle, Dimension.ANGLE, desk.units)}"
            for angle, share in opening.facts.shgc_by_angle
        )
        words.append(f"SHGC by angle, by the maker's sheet: {told}.")
    return " ".join(words)


def shade_words(desk: Desk, opening: OpeningSheet) -> str:
    """The movable shade: what it is, when it is drawn and what it lets through; empty where there is none."""
    facts = opening.facts
    if facts.shade == "none":
        return ""
    parts = [facts.shade, facts.shade_rule or "not recorded when it is drawn"]
    if facts.shade_rule in AGAINST_THE_SUN:
        sun = USUAL_SUN_ABOVE_W_M2 if facts.shade_sun_above_w_m2 is None else facts.shade_sun_above_w_m2
        warm = USUAL_OUTDOOR_ABOVE_C if facts.shade_outdoor_above_c is None else facts.shade_outdoor_above_c
        parts.append(
            f"in sun above {show(sun, Dimension.HEAT_FLUX, desk.units)} "
            f"and above {show(warm, Dimension.TEMPERATURE, desk.units)} outside"
        )
    if facts.shade_rule == DRAWN_BY_THE_CLOCK:
        parts.append(f"hours {facts.shade_from_hour} to {facts.shade_to_hour} of standard time")
        first, last = facts.shade_from_month, facts.shade_to_month
        parts.append("all year" if first is None or last is None else months_text(first, last))
    if facts.shade_solar_factor is not None:
        parts.append(f"lets through {show(facts.shade_solar_factor, Dimension.SHARE, desk.units)} of the sun")
    if facts.shade_rule and facts.shade_added_resistance_m2k_w is None:
        parts.append("what it keeps in is not recorded and counts as nothing")
    elif facts.shade_added_resistance_m2k_w is not None:
        added = show(facts.shade_added_resistance_m2k_w, Dimension.R_VALUE, desk.units)
        parts.append(f"adds {added} when drawn")
    return f"Shade: {', '.join(parts)}."


def certainty_line(sources: Iterable[FactSource]) -> str:
    """Where the values came from, gathered by how sure they are: "Assumed: height (1964 house)."."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for one in sources:
        when = day_text(one.as_of) if one.as_of else ""
        name = COLUMN_WORDS.get(one.column, one.column.replace("_", " "))
        groups.setdefault((str(one.certainty), one.source, when), []).append(name)
    lines = []
    for (certainty, source, when), names in groups.items():
        because = ", ".join(part for part in (source, when) if part)
        lines.append(f"{certainty.capitalize()}: {', '.join(names)}{f' ({because})' if because else ''}.")
    return " ".join(lines)


def touch_line(touch: MeasureTouch) -> StackedLine:
    """A measure that touches this room or face, with how far it is."""
    since = f" since {day_text(touch.since)}" if touch.since else ""
    return StackedLine(touch.found.title, f"{touch.state}{since}", place=touch.found.place)


def then_line(desk: Desk, then: FaceThen) -> StackedLine:
    """What the face will be: "With all measures: same, with wood fiber board"."""

    def u_text(u_value_w_m2k: float) -> str:
        return f"U {number_text(u_value_w_m2k, Dimension.U_VALUE, desk.units)}"

    wall = f"{u_text(then.u_value_w_m2k)}, {show(1.0 / then.u_value_w_m2k, Dimension.R_VALUE, desk.units)}"
    told = [f"{wall} with films."] if then.made_of else []
    told += [
        f"{one.name}: {one.made_of}, {u_text(one.u_value_w_m2k)}, SHGC {one.shgc:.2f}." for one in then.glass
    ]
    made = then.made_of or ("other glass" if len(then.glass) == 1 else f"other glass in {len(then.glass)}")
    return StackedLine(f"{then.when[0].upper()}{then.when[1:]}: {made}", "\n".join(told))
