"""The described plant: everything that turns loads into fuel and electricity, and what the family uses."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated, Literal

from pydantic import Field, model_validator

from retrofit_desk.physics.elements import Fraction, Name, NotNegative, Part, Positive, Temperature, Timed
from retrofit_desk.physics.plant_delivery import (
    CoolingSystem,
    Distribution,
    Ducts,
    HeatingSystem,
    RadiantFloors,
    ServedZone,
    ThermalStore,
    WaterRadiators,
)
from retrofit_desk.physics.plant_machines import BoreField, Burner, Fuel, Ground, HeatPump, Machine

Hours = tuple[Annotated[int, Field(ge=0, le=23)], ...]


class StorageHeater(Part):
    """A tank heated by its own burner or element."""

    kind: Literal["storage"] = "storage"
    fuel: Fuel = Field(description="what it burns or draws")
    volume_l: Positive = Field(description="of the tank")
    loss_w_k: NotNegative = Field(
        description="heat leaving the water per kelvin, flue included; of an energy-factor UA its "
        "recovery-efficiency share"
    )
    recovery_efficiency: Fraction = Field(0.98, description="heat into the water by fuel, while firing")
    capacity_w: Positive = Field(4500.0, description="heat into the water")
    pilot_w: NotNegative = Field(0.0, description="standing pilot; its heat offsets the tank loss")
    set_point_c: Temperature = Field(52.0, description="of the tank")
    stands_in: Name | None = Field(None, description="zone that takes the loss; None: outside the zones")
    loss_to_zone: Fraction = Field(
        1.0, description="share of the tank loss that stays in the zone, not up the flue"
    )
    electric_w: NotNegative = Field(0.0, description="blower and controls, averaged over the hour")


class HeatPumpTank(Part):
    """A tank with its own small heat pump that takes heat from the air of its room."""

    kind: Literal["heat_pump"] = "heat_pump"
    volume_l: Positive = Field(description="of the tank")
    loss_w_k: NotNegative = Field(description="heat lost by the tank per kelvin")
    compressor_heat_w: Positive = Field(description="heat into the water at the rated condition")
    cop_rated: Positive = Field(description="COP at 19.7 degC air (67.5 degF) and 51.7 degC tank (125 degF)")
    cop_per_air_k: Annotated[float, Field(ge=-1, le=1)] = Field(
        0.03, description="relative change per kelvin of air (common practice)"
    )
    cop_per_tank_k: Annotated[float, Field(ge=-1, le=1)] = Field(
        -0.02, description="relative change per kelvin of tank (common practice)"
    )
    air_lowest_c: Temperature = Field(4.4, description="compressor stops below (40 degF)")
    air_highest_c: Temperature = Field(48.9, description="compressor stops above (120 degF)")
    element_w: NotNegative = Field(4500.0, description="0: no element")
    element_below_c: Temperature = Field(43.0, description="element helps when the tank falls below")
    set_point_c: Temperature = Field(52.0, description="of the tank")
    boost_c: Temperature | None = Field(None, description="set point in boost hours, behind a mixing valve")
    boost_hours: Hours = Field((), description="hours in which it stores up heat, such as the sunny ones")
    stands_in: Name | None = Field(None, description="zone whose air it cools; None: outdoor air")

    @model_validator(mode="after")
    def _boost(self) -> HeatPumpTank:
        if (self.boost_c is None) != (not self.boost_hours):
            raise ValueError("boost_c and boost_hours go together")
        if self.boost_c is not None and self.boost_c < self.set_point_c:
            raise ValueError("boost_c: must not be below set_point_c")
        return self


class InstantHeater(Part):
    """Heats water as it is drawn."""

    kind: Literal["instant"] = "instant"
    fuel: Fuel = Field(description="what it burns or draws")
    efficiency: Annotated[float, Field(gt=0, le=1)] = Field(description="heat into the water by fuel")
    capacity_w: Positive = Field(description="heat into the water")
    standby_w: NotNegative = Field(0.0, description="electric")
    set_point_c: Temperature = Field(50.0, description="of the water that leaves it")


class IndirectTank(Part):
    """A tank, or a coil in the boiler, heated by a heating system of this plant."""

    kind: Literal["indirect"] = "indirect"
    heated_by: Name = Field(description="name of the heating system")
    volume_l: Positive = Field(description="of the tank")
    loss_w_k: NotNegative = Field(description="heat lost by the tank per kelvin")
    capacity_w: Positive = Field(description="of the coil")
    set_point_c: Temperature = Field(52.0, description="of the tank")
    approach_k: NotNegative = Field(5.0, description="boiler or heat pump water above the tank")
    stands_in: Name | None = Field(None, description="zone that takes the loss; null: outside the zones")


WaterHeater = Annotated[
    StorageHeater | HeatPumpTank | InstantHeater | IndirectTank, Field(discriminator="kind")
]

Mounting = Literal["open rack", "flush on roof", "open rack, plastic back", "insulated back"]


class SolarArray(Part):
    """Modules of one tilt, azimuth and age."""

    name: Name = Field(description="what it is called; other keys refer to it by this name")
    dc_w: Positive = Field(description="nameplate at standard test conditions, when new")
    tilt_deg: Annotated[float, Field(ge=0, le=90)] = Field(description="0 is flat")
    azimuth_deg: Annotated[float, Field(ge=0, le=360)] = Field(description="clockwise from north")
    temp_coefficient_per_k: Annotated[float, Field(ge=-0.01, le=0)] = Field(
        -0.0035, description="change of power with the cell's temperature"
    )
    mounting: Mounting = Field("flush on roof", description="how air reaches its back")
    losses: Fraction = Field(
        0.14, description="soiling, mismatch, wiring and the like; without shading and age"
    )
    monthly_shading: tuple[Fraction, ...] = Field(
        (),
        max_length=12,
        description="share lost to all that shades it; 12 values, or none: the site's horizon and trees do",
    )
    age_years: NotNegative = Field(0.0, description="in the year that is run")
    fade_per_year: Fraction = Field(0.005, description="share of power lost a year")
    inverter: Name = Field(description="name of its inverter")

    @model_validator(mode="after")
    def _twelve(self) -> SolarArray:
        if self.monthly_shading and len(self.monthly_shading) != 12:
            raise ValueError("monthly_shading: needs 12 values")
        return self


class Inverter(Part):
    """Where arrays meet; clips at its limit."""

    name: Name = Field(description="what it is called; other keys refer to it by this name")
    ac_limit_w: Positive = Field(description="where it clips")
    efficiency: Annotated[float, Field(gt=0, le=1)] = Field(0.96, description="AC out by DC in")


class Battery(Part):
    """A battery for the house: it stores surplus sun, and in stated hours also power of the network."""

    usable_kwh: Positive = Field(description="from full to empty")
    power_w: Positive = Field(description="AC, in and out")
    round_trip: Annotated[float, Field(gt=0, le=1)] = Field(0.85, description="AC to AC (from memory: 0.85)")
    reserve: Annotated[float, Field(ge=0, lt=1)] = Field(0.0, description="share kept for outages")
    discharge_hours: Hours = Field(tuple(range(24)), description="hours in which it may feed the house")
    charge_hours: Hours = Field(
        (), description="hours in which it also fills from the network; none when missing"
    )


class Cooking(Part):
    """The range."""

    fuel: Fuel = Field(description="what it burns or draws")
    efficiency: Annotated[float, Field(gt=0, le=1)] = Field(
        description="of heat into the pan; gas 0.32, induction 0.85"
    )
    pilot_w: NotNegative = Field(0.0, description="standing pilots")


class Dryer(Part):
    """The clothes dryer, by its combined energy factor."""

    fuel: Fuel = Field(description="what heats it")
    kg_per_kwh: Positive = Field(description="CEF: dry laundry per kWh, fuel included")
    electric_share: Fraction = Field(1.0, description="of a gas dryer: the motor's share of its energy")


class CarCharger(Part):
    """Charging an electric car at home."""

    kwh_per_km: Positive = Field(description="drawn from the wall")
    charger_w: Positive = Field(description="AC power")
    hours: Hours = Field(min_length=1, description="hours in which it may charge")
    house_limit_w: Positive | None = Field(
        None, description="it charges only as far as the whole house draws less; null: as it pleases"
    )


class Dehumidifier(Part):
    """Takes the moisture that no coil takes."""

    litre_per_kwh: Positive = Field(description="water taken by electricity")
    zone: Name = Field(description="zone that takes its heat")


class ElectricUse(Part):
    """Any other electric load."""

    name: Name = Field(description="what it is called; other keys refer to it by this name")
    power_w: Timed = Field(description="drawn by the clock")


class HouseholdUse(Part):
    """What the family asks for, whatever the equipment."""

    occupants: NotNegative = Field(description="people living there")
    hot_water_l_per_day: NotNegative = Field(description="mixed, at hot_water_at_c, at the taps")
    hot_water_at_c: Temperature = Field(41.0, description="temperature at the tap")
    draw_shape: tuple[NotNegative, ...] = Field(
        (), max_length=24, description="24 weights; empty: the usual day"
    )
    plug_kwh_per_year: NotNegative = Field(description="electricity of all that is plugged in")
    light_kwh_per_year: NotNegative = Field(description="electricity of the lights")
    cooking_useful_kwh_per_year: NotNegative = Field(description="heat into the pan")
    dryer_loads_per_year: NotNegative = Field(283.0, description="loads of laundry")
    dryer_kg_per_load: NotNegative = Field(3.83, description="dry laundry")
    car_km_per_year: NotNegative = Field(0.0, description="driven on power from home")

    @model_validator(mode="after")
    def _day(self) -> HouseholdUse:
        if self.draw_shape and (len(self.draw_shape) != 24 or sum(self.draw_shape) <= 0):
            raise ValueError("draw_shape: needs 24 weights, not all 0")
        return self


class PlantDescription(Part):
    """Everything in the house that turns loads into fuel and electricity."""

    schema_version: Literal[1] = Field(1, description="of this form of description")
    machines: tuple[Machine, ...] = Field((), description="what makes heat and cold")
    bore_fields: tuple[BoreField, ...] = Field((), description="ground loops")
    heating: tuple[HeatingSystem, ...] = Field((), description="systems that heat")
    cooling: tuple[CoolingSystem, ...] = Field((), description="systems that cool")
    stores: tuple[ThermalStore, ...] = Field((), description="thermal stores")
    water_heater: WaterHeater | None = Field(None, description="when missing no water is heated")
    arrays: tuple[SolarArray, ...] = Field((), description="solar modules")
    inverters: tuple[Inverter, ...] = Field((), description="where arrays meet")
    battery: Battery | None = Field(None, description="none when missing")
    cooking: Cooking | None = Field(None, description="none when missing")
    dryer: Dryer | None = Field(None, description="none when missing")
    car: CarCharger | None = Field(None, description="none when missing")
    dehumidifier: Dehumidifier | None = Field(None, description="none when missing")
    ventilation_fan_w: Timed = Field(0.0, description="electricity of ventilation fans")
    other_electric: tuple[ElectricUse, ...] = Field(
        (), description="further electric loads; none when missing"
    )

    @model_validator(mode="after")
    def _agrees(self) -> PlantDescription:
        _check_names(self)
        for i, heating in enumerate(self.heating):
            _check_system(self, f"heating.{i}", heating)
        for i, cooling in enumerate(self.cooling):
            _check_system(self, f"cooling.{i}", cooling)
        _check_shares("heating", self.heating)
        _check_shares("cooling", self.cooling)
        return self

    @property
    def systems(self) -> tuple[HeatingSystem | CoolingSystem, ...]:
        """Heating systems, then cooling systems."""
        return (*self.heating, *self.cooling)

    def machine(self, name: str) -> Machine:
        """The machine of that name."""
        return next(m for m in self.machines if m.name == name)

    def zones_named(self) -> dict[str, str]:
        """Every zone the plant speaks of and the key that names it, for the check against the house."""
        named = [
            *_zones_of("heating", self.heating),
            *_zones_of("cooling", self.cooling),
            *((store.stands_in, f"stores.{i}.stands_in") for i, store in enumerate(self.stores)),
            *(
                (machine.stands_in, f"machines.{i}.stands_in")
                for i, machine in enumerate(self.machines)
                if isinstance(machine, Burner)
            ),
        ]
        if self.water_heater is not None and not isinstance(self.water_heater, InstantHeater):
            named.append((self.water_heater.stands_in, "water_heater.stands_in"))
        if self.dehumidifier is not None:
            named.append((self.dehumidifier.zone, "dehumidifier.zone"))
        return {zone: key for zone, key in reversed(named) if zone is not None}


def _zones_of(
    group: str, systems: Sequence[HeatingSystem | CoolingSystem]
) -> Iterator[tuple[str | None, str]]:
    for i, system in enumerate(systems):
        for j, served in enumerate(system.serves):
            yield served.zone, f"{group}.{i}.serves.{j}.zone"
        if isinstance(system.delivery, Ducts):
            yield system.delivery.passes, f"{group}.{i}.delivery.passes"
        if isinstance(system.delivery, RadiantFloors):
            for j, circuit in enumerate(system.delivery.circuits):
                yield circuit.below, f"{group}.{i}.delivery.circuits.{j}.below"


def _check_names(plant: PlantDescription) -> None:
    for group in ("machines", "bore_fields", "heating", "cooling", "stores", "arrays", "inverters"):
        _once(group, (part.name for part in getattr(plant, group)))
    for i, machine in enumerate(plant.machines):
        if isinstance(machine, HeatPump) and isinstance(machine.source, Ground):
            fields = [f.name for f in plant.bore_fields]
            _known(f"machines.{i}.source.bore_field", machine.source.bore_field, fields)
    for i, array in enumerate(plant.arrays):
        _known(f"arrays.{i}.inverter", array.inverter, [v.name for v in plant.inverters])
    if isinstance(plant.water_heater, IndirectTank):
        _known("water_heater.heated_by", plant.water_heater.heated_by, [h.name for h in plant.heating])


def _check_system(plant: PlantDescription, where: str, system: HeatingSystem | CoolingSystem) -> None:
    _known(f"{where}.machine", system.machine, [m.name for m in plant.machines])
    if system.store is not None:
        _known(f"{where}.store", system.store, [s.name for s in plant.stores])
        if not isinstance(system.delivery, WaterRadiators | RadiantFloors):
            raise ValueError(f"{where}.store: a store needs water to the rooms")
    if isinstance(system.delivery, WaterRadiators) and system.delivery.layout == "steam":
        _check_steam(where, system, plant.machine(system.machine))
    _check_machine(where, system, plant.machine(system.machine))
    if isinstance(system, HeatingSystem) and system.backup is not None:
        _known(f"{where}.backup", system.backup, [m.name for m in plant.machines])
        if isinstance(plant.machine(system.backup), HeatPump):
            raise ValueError(f"{where}.backup: must be a burner or resistance heat")
    _check_served(where, system.serves, system.delivery)


def _check_steam(where: str, system: HeatingSystem | CoolingSystem, machine: Machine) -> None:
    if not isinstance(machine, Burner):
        raise ValueError(f"{where}.machine: {machine.name!r} makes no steam")
    if system.store is not None:
        raise ValueError(f"{where}.store: a store of water takes no steam")


def _once(path: str, names: Iterable[str]) -> None:
    seen: set[str] = set()
    for i, name in enumerate(names):
        if name in seen:
            raise ValueError(f"{path}.{i}.name: {name!r} is used twice")
        seen.add(name)


def _known(path: str, name: str, names: Iterable[str]) -> None:
    if name not in names:
        raise ValueError(f"{path}: nothing is called {name!r}")


def _check_machine(where: str, system: HeatingSystem | CoolingSystem, machine: Machine) -> None:
    kind = "heating" if isinstance(system, HeatingSystem) else "cooling"
    if not isinstance(machine, HeatPump):
        if kind == "cooling":
            raise ValueError(f"{where}.machine: {machine.name!r} cannot cool")
        return
    ratings = machine.heating if kind == "heating" else machine.cooling
    if ratings is None:
        raise ValueError(f"{where}.machine: {machine.name!r} has no {kind} ratings")
    to_water = isinstance(system.delivery, WaterRadiators | RadiantFloors)
    if to_water != (ratings.points[0].load_c is not None):
        need = "points with load_c (leaving water)" if to_water else "points without load_c (room air)"
        raise ValueError(f"{where}.machine: {machine.name!r} needs {need} for this delivery")


def _check_served(where: str, serves: tuple[ServedZone, ...], delivery: Distribution) -> None:
    zones = [z.zone for z in serves]
    _once(f"{where}.serves", zones)
    if isinstance(delivery, WaterRadiators | RadiantFloors):
        if isinstance(delivery, WaterRadiators):
            has = {e.zone for e in delivery.emitters}
        else:
            has = {c.zone for c in delivery.circuits}
        for zone in zones:
            if zone not in has:
                raise ValueError(f"{where}.delivery: zone {zone!r} has no emitter or floor loop")


def _check_shares(kind: str, systems: Iterable[HeatingSystem | CoolingSystem]) -> None:
    total: dict[str, float] = {}
    for system in systems:
        for served in system.serves:
            total[served.zone] = total.get(served.zone, 0.0) + served.share
    for zone, share in total.items():
        if share > 1.0 + 1e-9:
            raise ValueError(f"{kind}: the shares of zone {zone!r} add up to {share:g}, more than 1")
