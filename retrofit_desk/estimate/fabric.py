"""Changes to the described fabric that several measures share: fillings, added layers, windows, leakage."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pydantic import Field

from retrofit_desk.estimate.case import DoesNotFit, HouseCase, change_named, changed
from retrofit_desk.estimate.glass import label_glass
from retrofit_desk.physics.description import ConstantAirChanges, House, Surface, Window
from retrofit_desk.physics.elements import Coating, Course, Fraction, Overhang, Part, Positive
from retrofit_desk.physics.layer_parts import Construction, FramedLayerPart, LayerPart, SolidLayerPart

LEAST_LEAKAGE_SHARE = 0.1
"""No sealing is believed to leave less than this share of a house's own leakage."""


TIMBER = {"conductivity_w_mk": 0.13, "density_kg_m3": 500.0, "specific_heat_j_kgk": 1600.0}
"""Framing where none can be measured: ISO 10456:2007, table 3, timber of 500 kg/m3 (from memory)."""


class MaterialFacts(Part):
    """A material as bought; `material_key` is its row in the tables of materials and of material carbon."""

    material_key: str
    conductivity_w_mk: Positive
    density_kg_m3: Positive
    specific_heat_j_kgk: Positive

    @property
    def material_name(self) -> str:
        return self.material_key.replace("_", " ")

    def layer(self, thickness_m: float) -> SolidLayerPart:
        return SolidLayerPart(
            name=self.material_name,
            conductivity_w_mk=self.conductivity_w_mk,
            thickness_m=thickness_m,
            density_kg_m3=self.density_kg_m3,
            specific_heat_j_kgk=self.specific_heat_j_kgk,
        )


class WindowFacts(Part):
    """A window product by its label."""

    u_value_w_m2k: Positive = Field(title="U-value", description="of the whole unit, by its label")
    shgc: Fraction = Field(title="SHGC", description="of the whole unit, by its label")
    panes: int = Field(2, ge=1, le=4)
    coating: Coating | None = Field(
        None,
        description="of the glass, by its label; empty: told from the U-value",
        exclude_if=lambda coating: coating is None,
    )
    shgc_by_angle: Course = Field(
        (),
        title="SHGC by angle",
        description="by the maker's sheet, from 0 degrees on; scaled to the SHGC above. Empty: panes and "
        "coating tell it",
        exclude_if=lambda course: not course,
    )
    frame_fraction: Fraction = 0.0


@dataclass(frozen=True)
class Volume:
    """How much of a material goes in."""

    material: MaterialFacts
    volume_m3: float

    @property
    def mass_kg(self) -> float:
        return self.volume_m3 * self.material.density_kg_m3


def surfaces_of(house: House, names: tuple[str, ...]) -> tuple[Surface, ...]:
    """The surfaces called so. Raises `DoesNotFit`."""
    change_named(house.surfaces, names, lambda surface: surface, "surface")
    return tuple(surface for surface in house.surfaces if surface.name in names)


def construction_of(house: House, surface: Surface) -> Construction:
    return next(one for one in house.constructions if one.name == surface.construction)


def rebuild(
    case: HouseCase, names: tuple[str, ...], rebuilt: Callable[[Construction], Construction]
) -> HouseCase:
    """Give the named surfaces their constructions as `rebuilt`; surfaces that share one share the new one."""
    house = case.house
    made: dict[str, Construction] = {}
    for surface in surfaces_of(house, names):
        if surface.construction not in made:
            made[surface.construction] = rebuilt(construction_of(house, surface))
    surfaces = change_named(
        house.surfaces, names, lambda one: changed(one, construction=made[one.construction].name), "surface"
    )
    return case.with_house(constructions=_merged(house, made, surfaces), surfaces=surfaces)


def _merged(
    house: House, made: dict[str, Construction], surfaces: tuple[Surface, ...]
) -> tuple[Construction, ...]:
    used = {surface.construction for surface in surfaces}
    new = {one.name: one for one in made.values()}
    old = {one.name: one for one in house.constructions if one.name not in new}
    return tuple(one for one in (*old.values(), *new.values()) if one.name in used)


def filled(
    construction: Construction, material: MaterialFacts, depth_m: float, framing_fraction: float
) -> Construction:
    """The construction with its framed bays filled; bare rafters or studs of that depth are filled inside."""
    bays = [index for index, layer in enumerate(construction.layers) if isinstance(layer, FramedLayerPart)]
    if len(bays) > 1:
        raise DoesNotFit(
            f"'{construction.name}' has several framed layers", do="describe them as surfaces apart"
        )
    if bays:
        framed = construction.layers[bays[0]]
        assert isinstance(framed, FramedLayerPart)
        new = changed(framed, cavity=material.layer(framed.framing.thickness_m))
        layers = (*construction.layers[: bays[0]], new, *construction.layers[bays[0] + 1 :])
    else:
        framing = SolidLayerPart(name="framing", thickness_m=depth_m, **TIMBER)
        bay = FramedLayerPart(
            name=f"{material.material_name} between framing",
            cavity=material.layer(depth_m),
            framing=framing,
            framing_fraction=framing_fraction,
        )
        layers = (*construction.layers, bay)
    return _with_layers(construction, layers, material)


def wrapped(
    construction: Construction, outside_of: str | None, material: MaterialFacts, thickness_m: float
) -> Construction:
    """The construction with a layer more: directly outside the layer `outside_of`, or outermost."""
    at = 0 if outside_of is None else _index(construction, outside_of)
    layers = (*construction.layers[:at], material.layer(thickness_m), *construction.layers[at:])
    return _with_layers(construction, layers, material)


def reclad(
    construction: Construction, taken_off: int, material: MaterialFacts, thickness_m: float
) -> Construction:
    """The construction with its outermost layers taken off and one of the material in their place."""
    return _with_layers(
        construction, (material.layer(thickness_m), *_left(construction, taken_off)), material
    )


def refloored(
    construction: Construction, taken_up: int, material: MaterialFacts, thickness_m: float
) -> Construction:
    """The construction with its innermost layers taken up and one of the material laid in their place."""
    kept = construction.layers[: len(_left(construction, taken_up))]
    return _with_layers(construction, (*kept, material.layer(thickness_m)), material)


def _left(construction: Construction, taken: int) -> tuple[LayerPart, ...]:
    if taken >= len(construction.layers):
        raise DoesNotFit(
            f"'{construction.name}' has only {len(construction.layers)} layers", do="take fewer away"
        )
    return construction.layers[taken:]


def volume_laid(house: House, names: tuple[str, ...], material: MaterialFacts, thickness_m: float) -> Volume:
    """How much of a layer over the whole of the named surfaces goes in, windows left out."""
    return Volume(material, sum(one.opaque_area_m2 for one in surfaces_of(house, names)) * thickness_m)


def volume_filled(
    house: House, names: tuple[str, ...], material: MaterialFacts, depth_m: float, framing_fraction: float
) -> Volume:
    """How much filling the named surfaces take, framing left out."""
    total = 0.0
    for surface in surfaces_of(house, names):
        bays = [one for one in construction_of(house, surface).layers if isinstance(one, FramedLayerPart)]
        depth = bays[0].framing.thickness_m if bays else depth_m
        share = bays[0].framing_fraction if bays else framing_fraction
        total += surface.opaque_area_m2 * depth * (1.0 - share)
    return Volume(material, total)


def with_air_changes(case: HouseCase, spaces: tuple[str, ...], air_changes_per_h: float) -> HouseCase:
    """Unheated spaces closed off from the wind: their own air change becomes what is stated."""
    leakage = ConstantAirChanges(air_changes_per_h=air_changes_per_h)
    return case.with_house(
        zones=change_named(case.house.zones, spaces, lambda zone: changed(zone, leakage=leakage), "space")
    )


def with_windows(case: HouseCase, names: tuple[str, ...], facts: WindowFacts) -> HouseCase:
    """Put the product in place of the named windows."""
    glazing = label_glass(
        facts.u_value_w_m2k, facts.shgc, facts.panes, facts.coating, facts.shgc_by_angle, names[0]
    )

    def renewed(window: Window) -> Window:
        return changed(window, glazing=glazing.name, frame_fraction=facts.frame_fraction)

    windows_of(case.house, names)
    surfaces = tuple(_windows_changed(surface, names, renewed) for surface in case.house.surfaces)
    used = {window.glazing for surface in surfaces for window in surface.windows}
    kept = tuple(one for one in case.house.glazings if one.name in used and one.name != glazing.name)
    return case.with_house(surfaces=surfaces, glazings=(*kept, glazing))


def change_windows(case: HouseCase, names: tuple[str, ...], change: Callable[[Window], Window]) -> HouseCase:
    """Change the named windows where they are. Raises `DoesNotFit`."""
    windows_of(case.house, names)
    surfaces = tuple(_windows_changed(surface, names, change) for surface in case.house.surfaces)
    return case.with_house(surfaces=surfaces)


def windows_of(house: House, names: tuple[str, ...]) -> tuple[Window, ...]:
    """The windows called so. Raises `DoesNotFit`."""
    windows = tuple(window for surface in house.surfaces for window in surface.windows)
    change_named(windows, names, lambda window: window, "window")
    return tuple(window for window in windows if window.name in names)


def with_overhangs(
    case: HouseCase, names: tuple[str, ...], depth_m: float, above_head_m: float, beyond_jambs_m: float
) -> HouseCase:
    """An overhang or awning of its own over each named window, in place of what hung there."""
    windows_of(case.house, names)

    def shaded(surface: Surface) -> Surface:
        mine = [window for window in surface.windows if window.name in names]
        if not mine:
            return surface
        plates = tuple(_over(window, depth_m, above_head_m, beyond_jambs_m) for window in mine)
        kept = tuple(
            plate for plate in surface.plates if not any(_hangs_over(plate, window) for window in mine)
        )
        return changed(surface, plates=(*kept, *plates))

    return case.with_house(surfaces=tuple(shaded(surface) for surface in case.house.surfaces))


def _over(window: Window, depth_m: float, above_head_m: float, beyond_jambs_m: float) -> Overhang:
    if window.x_m is None or window.sill_m is None:
        raise DoesNotFit(
            f"window '{window.name}' has no place on its wall", do="measure its left edge and its sill height"
        )
    return Overhang(
        height_m=window.sill_m + window.height_m + above_head_m,
        from_x_m=window.x_m - beyond_jambs_m,
        to_x_m=window.x_m + window.width_m + beyond_jambs_m,
        depth_m=depth_m,
    )


def _hangs_over(plate: Part, window: Window) -> bool:
    if not isinstance(plate, Overhang) or window.x_m is None:
        return False
    middle = window.x_m + window.width_m / 2
    return plate.from_x_m <= middle <= plate.to_x_m and plate.depth_m > 0


def with_less_leakage(case: HouseCase, less_m3_s: float) -> HouseCase:
    """Take a part away from the flow that the blower door found at 50 Pa."""
    if less_m3_s == 0:
        return case
    door = case.house.blower_door
    if door is None:
        raise DoesNotFit("the house has no blower-door result", do="file a leakage test first")
    left = door.flow_at_50_pa_m3_s - less_m3_s
    if left < LEAST_LEAKAGE_SHARE * door.flow_at_50_pa_m3_s:
        raise DoesNotFit("the measures seal more than the house leaks", do="correct their leakage reductions")
    return case.with_house(blower_door=changed(door, flow_at_50_pa_m3_s=left))


def _windows_changed(surface: Surface, names: tuple[str, ...], change: Callable[[Window], Window]) -> Surface:
    if not any(window.name in names for window in surface.windows):
        return surface
    windows = tuple(change(window) if window.name in names else window for window in surface.windows)
    return changed(surface, windows=windows)


def _index(construction: Construction, layer_name: str) -> int:
    for index, layer in enumerate(construction.layers):
        if layer.name == layer_name:
            return index
    raise DoesNotFit(
        f"'{construction.name}' has no layer called '{layer_name}'",
        do="correct the measure or the construction",
    )


def _with_layers(
    construction: Construction, layers: tuple[LayerPart, ...], material: MaterialFacts
) -> Construction:
    return Construction(name=f"{construction.name} + {material.material_name}"[:80], layers=layers)
