"""What a described house is made of: layers, glazing, films, shades, boundaries, schedules."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, model_validator

from retrofit_desk.physics.glazing import AIR, ARGON, UNCOATED_EMISSIVITY, Gap, Pane
from retrofit_desk.physics.window_u import gap_resistances_m2k_w


class Part(BaseModel):
    """Base of all parts: read-only, no unknown keys, no quiet conversions of infinities."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


LARGEST = 1e9  # no quantity of a house is larger in its SI unit; keeps the sums of the engine finite

Name = Annotated[str, Field(min_length=1, max_length=80, pattern=r"^[^\x00-\x1f\x7f-\x9f\u2028\u2029]*$")]
Fraction = Annotated[float, Field(ge=0, le=1)]
Positive = Annotated[float, Field(gt=0, le=LARGEST)]
NotNegative = Annotated[float, Field(ge=0, le=LARGEST)]
Number = Annotated[float, Field(ge=-LARGEST, le=LARGEST)]
Emissivity = Annotated[float, Field(ge=0.005, le=1)]
Temperature = Annotated[float, Field(ge=-90, le=120)]

HOURS_A_DAY, HOURS_A_YEAR = 24, 8760
GASES = {"air": AIR, "argon": ARGON}


class Schedule(Part):
    """A value by the clock (local standard time; the first entry of a day is 00:00-01:00). None means off."""

    hours: tuple[Number | None, ...] = Field(
        description="24 values (every day alike) or 8760 values (the whole year), in the unit of the field"
    )
    by_month: tuple[tuple[Number | None, ...], ...] = Field(
        default=(), description="12 rows of 24 values; where given it is used and `hours` must be empty"
    )

    @model_validator(mode="after")
    def _counts(self) -> Schedule:
        if self.by_month:
            if self.hours or len(self.by_month) != 12 or any(len(r) != HOURS_A_DAY for r in self.by_month):
                raise ValueError("by_month needs 12 rows of 24 values and an empty `hours`")
        elif len(self.hours) not in (HOURS_A_DAY, HOURS_A_YEAR):
            raise ValueError(f"needs 24 or 8760 values, has {len(self.hours)}")
        return self


Timed = Number | Schedule


class GlassPane(Part):
    """One clear pane by its optics (Fresnel and Bouguer)."""

    thickness_m: Positive = Field(description="thickness of the pane")
    conductivity_w_mk: Positive = Field(1.0, description="conductivity of the glass")
    refractive_index: Annotated[float, Field(gt=1)] = Field(
        1.526, description="index of refraction for sunlight"
    )
    extinction_per_m: NotNegative = Field(description="extinction coefficient for sunlight")
    emissivity_outward: Emissivity = Field(
        UNCOATED_EMISSIVITY, description="of its outer face, for the gap outside it; a coating sits here"
    )
    emissivity_inward: Emissivity = Field(
        UNCOATED_EMISSIVITY, description="of its inner face, for the gap inside it"
    )

    @property
    def of_glass(self) -> Pane:
        return Pane(**self.model_dump())


class GlassGap(Part):
    """The space between two panes, by which EN 673 tells its conductance."""

    width_m: Annotated[float, Field(gt=0, le=0.1)] = Field(description="between the panes")
    gas: Literal["air", "argon"] = Field("air", description="what fills it")


class GlazingByPanes(Part):
    """Clear panes, from outside to inside, and the gaps between them: described, or by their conductances."""

    kind: Literal["panes"] = "panes"
    name: Name = Field(description="what it is called; other keys refer to it by this name")
    panes: tuple[GlassPane, ...] = Field(min_length=1, max_length=4, description="from outside to inside")
    gap_conductances_w_m2k: tuple[Positive, ...] = Field(
        (), description="one fewer than panes: convection and radiation across each gap"
    )
    gaps: tuple[GlassGap, ...] = Field(
        (), description="one fewer than panes, in place of their conductances: EN 673, upright glass"
    )

    @model_validator(mode="after")
    def _one_fewer(self) -> GlazingByPanes:
        if self.gaps and self.gap_conductances_w_m2k:
            raise ValueError("give gaps or gap_conductances_w_m2k, not both")
        if len(self.gaps or self.gap_conductances_w_m2k) != len(self.panes) - 1:
            raise ValueError("needs one gap, or one gap conductance, fewer than panes")
        return self

    @property
    def gap_resistances_m2k_w(self) -> tuple[float, ...]:
        """Of each gap, outside first."""
        if not self.gaps:
            return tuple(1.0 / conductance for conductance in self.gap_conductances_w_m2k)
        gaps = [Gap(gap.width_m, GASES[gap.gas]) for gap in self.gaps]
        return gap_resistances_m2k_w([pane.of_glass for pane in self.panes], gaps)


class GlazingByAngle(Part):
    """Properties tabulated by angle of incidence.

    Give `transmittance` with both absorptances (heat absorbed in the outer and inner pane), or
    `transmittance` with `shgc`, or `shgc` alone. Hemispherical values are integrated where not given.
    """

    kind: Literal["angles"] = "angles"
    name: Name = Field(description="what it is called; other keys refer to it by this name")
    u_value_w_m2k: Positive = Field(
        description="with the rated films; other films at the wall change the heat that passes"
    )
    rated_outside_film_w_m2k: Positive = Field(29.0, description="film the U-value was stated with")
    rated_inside_film_w_m2k: Positive = Field(8.29, description="film the U-value was stated with")
    angles_deg: tuple[Annotated[float, Field(ge=0, le=90)], ...] = Field(
        min_length=2, description="angles of incidence of the tables, rising; 0 is square to the glass"
    )
    transmittance: tuple[Fraction, ...] = Field(
        (), description="total transmitted share of the sun at each angle"
    )
    absorptance_outer: tuple[Fraction, ...] = Field(
        (), description="share absorbed in the outer pane at each angle"
    )
    absorptance_inner: tuple[Fraction, ...] = Field(
        (), description="share absorbed in the inner pane at each angle"
    )
    shgc: tuple[Fraction, ...] = Field((), description="solar heat gain coefficient at each angle")
    transmittance_hemispherical: Fraction | None = Field(
        None, description="for an even sky; integrated over the table when missing"
    )
    absorptance_outer_hemispherical: Fraction | None = Field(
        None, description="for an even sky; integrated over the table when missing"
    )
    absorptance_inner_hemispherical: Fraction | None = Field(
        None, description="for an even sky; integrated over the table when missing"
    )
    shgc_hemispherical: Fraction | None = Field(
        None, description="for an even sky; integrated over the table when missing"
    )
    transmitted_share_of_shgc: Fraction = Field(
        0.93, description="used where only SHGC is given; the rest is absorbed in the glass and flows inward"
    )

    @model_validator(mode="after")
    def _tables(self) -> GlazingByAngle:
        if any(b <= a for a, b in zip(self.angles_deg, self.angles_deg[1:], strict=False)):
            raise ValueError("angles_deg must rise")
        for label in ("transmittance", "absorptance_outer", "absorptance_inner", "shgc"):
            count = len(getattr(self, label))
            if count and count != len(self.angles_deg):
                raise ValueError(f"{label} needs {len(self.angles_deg)} values, has {count}")
        absorbed = bool(self.absorptance_outer) and bool(self.absorptance_inner)
        if not self.shgc and not (self.transmittance and absorbed):
            raise ValueError("needs shgc, or transmittance with absorptance_outer and absorptance_inner")
        return self


class GainAtAngle(Part):
    """What a maker's sheet says of the sun at one angle."""

    angle_deg: Annotated[float, Field(ge=0, le=90)] = Field(
        description="angle of incidence; 0 is square to the glass"
    )
    shgc: Fraction = Field(title="SHGC", description="solar heat gain coefficient at this angle")


def _rising(course: tuple[GainAtAngle, ...]) -> tuple[GainAtAngle, ...]:
    angles = [one.angle_deg for one in course]
    if course and (len(course) < 2 or angles[0] != 0.0):
        raise ValueError("begins with 0 degrees, and has at least one more angle")
    if any(b <= a for a, b in pairwise(angles)):
        raise ValueError("the angles must rise")
    if course and course[0].shgc == 0.0:
        raise ValueError("must be more than 0 at 0 degrees")
    return course


Course = Annotated[tuple[GainAtAngle, ...], AfterValidator(_rising)]
"""SHGC by angle from 0 degrees on; empty where no sheet tells it."""
Coating = Literal["uncoated", "low-e"]


class GlazingByLabel(Part):
    """A window known only by its label."""

    kind: Literal["label"] = "label"
    name: Name = Field(description="what it is called; other keys refer to it by this name")
    u_value_w_m2k: Positive = Field(description="of the whole window, frame included, with the rated films")
    shgc: Fraction = Field(description="solar heat gain coefficient of the label, square to the window")
    panes_count: Annotated[int, Field(ge=1, le=4)] = Field(
        2, description="how many panes; with the coating they give the course of the SHGC by angle"
    )
    coating: Coating | None = Field(
        None,
        description="of the glass; when missing the U-value tells coated from uncoated",
        exclude_if=lambda coating: coating is None,
    )
    shgc_by_angle: Course = Field(
        (),
        description="the course by a maker's sheet, rising from 0 degrees, scaled so that it begins with "
        "`shgc`; when missing panes and coating give the course",
        exclude_if=lambda course: not course,
    )
    rated_outside_film_w_m2k: Positive = Field(29.0, description="film the U-value was stated with")
    rated_inside_film_w_m2k: Positive = Field(8.29, description="film the U-value was stated with")
    transmitted_share_of_shgc: Fraction = Field(
        0.93, description="the rest is absorbed in the glass and flows inward"
    )


GlazingPart = Annotated[GlazingByPanes | GlazingByAngle | GlazingByLabel, Field(discriminator="kind")]


class Overhang(Part):
    """A thin opaque plate square to the wall, level; coordinates on the wall seen from outside.

    x runs to the right and height upward from the wall's lower left corner.
    """

    kind: Literal["overhang"] = "overhang"
    height_m: Number = Field(description="height of the plate on the wall")
    from_x_m: Number = Field(description="left end")
    to_x_m: Number = Field(description="right end")
    depth_m: Positive = Field(description="how far it stands out")


class Fin(Part):
    """A thin opaque plate square to the wall, upright; coordinates on the wall seen from outside."""

    kind: Literal["fin"] = "fin"
    x_m: Number = Field(description="where it stands on the wall")
    from_height_m: Number = Field(description="lower end")
    to_height_m: Number = Field(description="upper end")
    depth_m: Positive = Field(description="how far it stands out")


ShadePlate = Annotated[Overhang | Fin, Field(discriminator="kind")]


class Blind(Part):
    """A movable shade before or behind the glass; it is drawn while the rule or the schedule says so."""

    side: Literal["exterior", "interior"] = Field(
        description="where it hangs; the solar factor already holds what that means"
    )
    solar_factor: Fraction = Field(description="share of the window's solar gain left when drawn")
    added_resistance_m2k_w: NotNegative = Field(
        0.0,
        description="what the drawn shade and the air behind it add to the resistance of the whole window, "
        "the additional resistance of ISO 10077-1",
    )
    by_night: bool = Field(False, description="true: drawn also while the sun is down, all year")
    drawn: Timed | None = Field(
        None, description="1 drawn, 0 open, by the clock; without it the rule decides"
    )
    sun_above_w_m2: NotNegative = Field(
        200.0, description="rule: drawn while the glass gets more sun than this"
    )
    outdoor_above_c: Temperature = Field(20.0, description="rule: and while it is warmer outside than this")


class Outdoors(Part):
    """Outdoor air; sun and open sky can be taken away (a floor over outdoor air)."""

    kind: Literal["outdoors"] = "outdoors"
    sun: bool = Field(True, description="false: no sun reaches it")
    sky: bool = Field(True, description="false: it sees no open sky at night")
    wind: bool = Field(True, description="false: the usual outside film is that of still air")


class FixedTemperature(Part):
    """A held temperature; without a film it acts on the outermost layer directly."""

    kind: Literal["fixed_temperature"] = "fixed_temperature"
    temperature_c: Temperature | None = Field(
        None, description="held all year; give this or the twelve months"
    )
    monthly_temperature_c: tuple[Temperature, ...] = Field(
        (), description="twelve values, January first; give these or the one temperature"
    )
    film_w_m2k: Positive | None = Field(None, description="None: no film")

    @model_validator(mode="after")
    def _one(self) -> FixedTemperature:
        if (self.temperature_c is None) == (len(self.monthly_temperature_c) != 12):
            raise ValueError("needs temperature_c, or 12 values of monthly_temperature_c, not both")
        return self


class SlabOnGround(Part):
    """Ground under a slab by ISO 13370; perimeter and area give its characteristic dimension."""

    kind: Literal["slab_on_ground"] = "slab_on_ground"
    exposed_perimeter_m: Positive = Field(description="edge of the whole slab towards outdoors")
    floor_area_m2: Positive = Field(description="of the whole slab")
    wall_thickness_m: Positive = Field(0.3, description="of the walls that stand on its edge")
    ground_conductivity_w_mk: Positive = Field(
        2.0, description="of the soil; ISO 13370 sand or gravel when missing"
    )
    ground_heat_capacity_j_m3k: Positive = Field(
        2.0e6, description="of the soil; ISO 13370 sand or gravel when missing"
    )
    edge_insulation_depth_m: NotNegative = Field(0.0, description="height or width of the strip; 0: none")
    edge_insulation_resistance_m2k_w: NotNegative = Field(0.0, description="of the strip")
    edge_insulation_vertical: bool = Field(True, description="true: down the edge; false: flat under it")


class BasementGround(Part):
    """Ground around a heated basement by ISO 13370: the floor or the walls below grade."""

    kind: Literal["basement_ground"] = "basement_ground"
    part: Literal["floor", "wall"] = Field(description="which part of the basement this surface is")
    depth_m: Positive = Field(description="of its floor below grade")
    exposed_perimeter_m: Positive = Field(description="of the whole basement")
    floor_area_m2: Positive = Field(description="of the whole basement")
    wall_thickness_m: Positive = Field(0.3, description="of the basement walls")
    ground_conductivity_w_mk: Positive = Field(
        2.0, description="of the soil; ISO 13370 sand or gravel when missing"
    )
    ground_heat_capacity_j_m3k: Positive = Field(
        2.0e6, description="of the soil; ISO 13370 sand or gravel when missing"
    )
    other_part_resistance_m2k_w: Positive = Field(
        1.0, description="layers of the floor (for a wall) or of the walls (for a floor), without films"
    )


class OtherZone(Part):
    """The far side is another zone; the construction is listed from that zone to this one."""

    kind: Literal["zone"] = "zone"
    zone: Name = Field(description="the zone on the far side")


class Adiabatic(Part):
    """No heat passes the outermost face: a party wall, or the plane of symmetry."""

    kind: Literal["adiabatic"] = "adiabatic"


Boundary = Annotated[
    Outdoors | FixedTemperature | SlabOnGround | BasementGround | OtherZone | Adiabatic,
    Field(discriminator="kind"),
]


class Films(Part):
    """Surface coefficients; what is not stated follows ISO 6946:2017 by tilt and emittance."""

    inside_convective_w_m2k: NotNegative | None = Field(
        None, description="to the air of its zone; 5.0 heat going up, 2.5 across, 0.7 down when missing"
    )
    inside_radiative_w_m2k: NotNegative | None = Field(
        None, description="to the other faces of its zone; from inside_emittance at 20 degC when missing"
    )
    outside_convective_w_m2k: NotNegative | None = Field(
        None,
        description="to outdoor air, or to the air of the other zone; when missing 20 in the wind, "
        "4 out of it, and as inside towards a zone",
    )
    outside_radiative_w_m2k: NotNegative | None = Field(
        None,
        description="to what it faces outside; from outside_emittance at 10 degC when missing, "
        "at 20 degC towards a zone",
    )
