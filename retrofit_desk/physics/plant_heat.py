"""The heat side of a plant's year: hot water, moisture, the systems of the rooms, ground and stores."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.borefield import loop_fluid
from retrofit_desk.physics.delivery import RoomAsk, ask_of
from retrofit_desk.physics.description import Site
from retrofit_desk.physics.plant_delivery import (
    ClockCharge,
    CoolingSystem,
    Ducts,
    InRoom,
    SolarCharge,
    WaterRadiators,
)
from retrofit_desk.physics.plant_description import (
    HeatPumpTank,
    HouseholdUse,
    IndirectTank,
    InstantHeater,
    PlantDescription,
    StorageHeater,
)
from retrofit_desk.physics.plant_machines import Ground, HeatPump
from retrofit_desk.physics.plant_results import FuelUse, LoadYear, SystemYear
from retrofit_desk.physics.plant_rooms import LeftToDo, by_systems_w, by_water_and_pilots_w, left_to_do
from retrofit_desk.physics.plant_run import GROUND_SETTLED_K, PlantRun, settle
from retrofit_desk.physics.plant_sharing import shared_out
from retrofit_desk.physics.plant_systems import System, SystemTask, nominal_w
from retrofit_desk.physics.plant_uses import household_uses, system_uses, water_uses
from retrofit_desk.physics.solar_electric import generation_w
from retrofit_desk.physics.thermal_storage import may_charge
from retrofit_desk.physics.water_heating import (
    HotWaterYear,
    mains_year_c,
    run_heat_pump_tank,
    run_indirect,
    run_instant,
    run_storage,
)
from retrofit_desk.physics.weather import HOURS, WeatherYear
from retrofit_desk.values.known import Known

Array = NDArray[np.float64]
FREEZE_MARGIN_K = 5.6  # 10 degF between freezing point and coldest entering water: common practice
LEAST_ELEMENT_SHARE = 0.02  # less is not worth a note
EVAPORATION_J_KG = 2.45e6  # near 20 degC
ROOM_PASSES = 6
ROOMS_SETTLED_W = 3.0  # root mean square between passes, in any room: some 0.1 % of a usual load
MOST_HEAT_YEARS = 4  # some 7 MB each, that of the loads with it
ELECTRIC_SIDE = {
    "arrays": (),
    "inverters": (),
    "battery": None,
    "cooking": None,
    "dryer": None,
    "car": None,
    "ventilation_fan_w": 0.0,
    "other_electric": (),
}
"""Parts of a plant that its heat side sees only where a store charges by the sun: a plant without them."""


@dataclass(frozen=True, eq=False)
class HeatYear:
    """What heats, cools, dries and makes hot water, with all the fuel and electricity that takes."""

    uses: tuple[FuelUse, ...]
    run: PlantRun
    hot_water: HotWaterYear | None
    left_in_rooms_w: Array
    unserved_heating_w: Array
    unserved_cooling_w: Array
    unserved_latent_w: Array
    notes: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class _Place:
    """The house around the plant: temperatures by zone name."""

    loads: LoadYear
    weather: WeatherYear

    def temp_of(self, zone: str | None) -> Array:
        """Air of a zone; None is outdoors."""
        if zone is None:
            return self.weather.temp_c
        return np.ascontiguousarray(self.loads.air_temp_c[:, self.loads.zone_names.index(zone)])

    def column(self, zone: str) -> int:
        return self.loads.zone_names.index(zone)


_heat_years: Known[tuple[PlantDescription, HouseholdUse, LoadYear, WeatherYear, Site], HeatYear] = Known(
    MOST_HEAT_YEARS
)


def heat_year(
    plant: PlantDescription, use: HouseholdUse, loads: LoadYear, weather: WeatherYear, site: Site
) -> HeatYear:
    """The heat side, run once for all plants that differ in nothing it sees, such as the roof's modules."""
    seen = heat_side(plant)
    key = seen, use, loads, weather, site
    return _heat_years.get(key, lambda: _run_heat(*key))


def heat_side(plant: PlantDescription) -> PlantDescription:
    """What the heat side sees of a plant."""
    return plant if _charges_by_sun(plant) else plant.model_copy(update=ELECTRIC_SIDE)


def _charges_by_sun(plant: PlantDescription) -> bool:
    return any(not isinstance(store.charge, ClockCharge) for store in plant.stores)


def _run_heat(
    plant: PlantDescription, use: HouseholdUse, loads: LoadYear, weather: WeatherYear, site: Site
) -> HeatYear:
    place = _Place(loads, weather)
    water = _hot_water(plant, use, place)
    latent, dry_uses, dry_gain = _dehumidify(plant, place)
    uses = [*water_uses(plant, water), *dry_uses]
    solar = generation_w(plant.arrays, plant.inverters, weather, site)
    surplus = _surplus_w(plant, use, solar, uses)
    still = by_water_and_pilots_w(plant, loads.zone_names, water) + dry_gain
    done = _with_rooms(plant, loads, still, lambda load: _tasks(plant, place, load, latent, water, surplus))
    tasks, run = done.tasks, done.run
    return HeatYear(
        uses=(*uses, *system_uses(plant, tasks, run)),
        run=run,
        hot_water=water,
        left_in_rooms_w=done.left_w,
        unserved_heating_w=_unserved(tasks, run.years, done.load.heating_w, cooling=False, loads=loads),
        unserved_cooling_w=_unserved(tasks, run.years, done.load.cooling_w, cooling=True, loads=loads),
        unserved_latent_w=_latent_left(plant, loads),
        notes=_notes(plant, tasks, run, water),
    )


@dataclass(frozen=True, eq=False)
class _Carried:
    """The systems' year, the rooms' load that it was run for, and what it leaves in them."""

    tasks: list[SystemTask]
    run: PlantRun
    load: LeftToDo
    left_w: Array


def _with_rooms(
    plant: PlantDescription, loads: LoadYear, still_w: Array, tasks_of: Callable[[LeftToDo], list[SystemTask]]
) -> _Carried:
    """Run the systems until what they leave in the rooms agrees with the load they were run for."""
    left = still_w
    for _ in range(ROOM_PASSES):
        load = left_to_do(loads, left)
        tasks = tasks_of(load)
        run = settle(plant, tasks)
        left = still_w + by_systems_w(plant, loads.zone_names, run)
        if left_to_do(loads, left).is_near(load, ROOMS_SETTLED_W):
            break
    return _Carried(tasks, run, load, left)


def _tasks(
    plant: PlantDescription,
    place: _Place,
    load: LeftToDo,
    latent: Array,
    water: HotWaterYear | None,
    surplus: Array,
) -> list[SystemTask]:
    both: tuple[tuple[tuple[System, ...], Array], ...] = (
        (plant.heating, load.heating_w),
        (plant.cooling, load.cooling_w),
    )
    return [
        _task(plant, system, place, mine, latent, water, surplus)
        for systems, rooms in both
        for system, mine in zip(
            systems, shared_out(plant, systems, place.loads.zone_names, rooms), strict=True
        )
    ]


def _surplus_w(plant: PlantDescription, use: HouseholdUse, solar_w: Array, uses: list[FuelUse]) -> Array:
    """Sun beyond what the house draws without its systems (< 0: it draws more)."""
    drawn = (u.power_w for u in (*household_uses(plant, use), *uses) if u.fuel == "electricity")
    return solar_w - sum(drawn, np.zeros(HOURS))


def _hot_water(plant: PlantDescription, use: HouseholdUse, place: _Place) -> HotWaterYear | None:
    heater = plant.water_heater
    if heater is None:
        return None
    weather = place.weather
    mains = mains_year_c(weather.monthly_mean_temp_c(), weather.latitude_deg)
    if isinstance(heater, InstantHeater):
        return run_instant(heater, use, mains)
    air = place.temp_of(heater.stands_in)
    if isinstance(heater, StorageHeater):
        return run_storage(heater, use, mains, air)
    if isinstance(heater, HeatPumpTank):
        return run_heat_pump_tank(heater, use, mains, air)
    return run_indirect(heater, use, mains, air)


def _dries(system: CoolingSystem) -> bool:
    delivery = system.delivery
    return isinstance(delivery, Ducts | InRoom) or (
        isinstance(delivery, WaterRadiators) and delivery.removes_moisture
    )


def _drying_shares(plant: PlantDescription, loads: LoadYear) -> Array:
    """Share of each zone's cooling that coils with a drain carry."""
    share = np.zeros(len(loads.zone_names))
    for system in plant.cooling:
        if _dries(system):
            for served in system.serves:
                share[loads.zone_names.index(served.zone)] += served.share
    return np.minimum(share, 1.0)


def _dried_share(plant: PlantDescription, loads: LoadYear) -> Array:
    """Share of each zone's moisture that is taken: all of it where a coil serves the zone beside a floor."""
    whole = {zone.zone for system in plant.cooling for zone in system.serves if not _dries(system)}
    beside_floor = np.array([name in whole for name in loads.zone_names])
    share = _drying_shares(plant, loads)
    return np.where(beside_floor & (share > 0.0), 1.0, share)


def _latent_left(plant: PlantDescription, loads: LoadYear) -> Array:
    if plant.dehumidifier is not None:
        return np.zeros(HOURS)
    return np.asarray((loads.latent_w * (1.0 - _dried_share(plant, loads))).sum(axis=1))


def _dehumidify(plant: PlantDescription, place: _Place) -> tuple[Array, list[FuelUse], Array]:
    """Moisture of the rooms, the dehumidifier's power, and the heat it leaves in its zone."""
    loads = place.loads
    gain = np.zeros(loads.heating_w.shape)
    if plant.dehumidifier is None:
        return loads.latent_w, [], gain
    left = (loads.latent_w * (1.0 - _dried_share(plant, loads))).sum(axis=1)
    litres_per_h = left / EVAPORATION_J_KG * 3600.0
    power = litres_per_h / plant.dehumidifier.litre_per_kwh * 1000.0
    gain[:, place.column(plant.dehumidifier.zone)] = power + left
    return loads.latent_w, [FuelUse("dehumidifying", "electricity", power)], gain


def _task(
    plant: PlantDescription,
    system: System,
    place: _Place,
    mine: Array,
    latent: Array,
    water: HotWaterYear | None,
    surplus: Array,
) -> SystemTask:
    """`mine`: (8760, served zones), what this system carries of its rooms' load."""
    machine = plant.machine(system.machine)
    is_cooling = isinstance(system, CoolingSystem)
    columns = [place.column(z.zone) for z in system.serves]
    if isinstance(system, CoolingSystem) and _dries(system):
        share = np.array([z.share for z in system.serves])
        drying = np.maximum(_drying_shares(plant, place.loads)[columns], 1e-9)
        mine = mine + latent[:, columns] * (share / drying * _dried_share(plant, place.loads)[columns])
    dew = place.loads.dew_point_c
    rooms = RoomAsk(
        tuple(z.zone for z in system.serves),
        mine,
        place.loads.air_temp_c[:, columns],
        np.repeat(place.weather.dew_point_c[:, None], len(columns), 1) if dew is None else dew[:, columns],
        place.weather.temp_c,
        place.temp_of,
    )
    heater = plant.water_heater
    asks_water = isinstance(heater, IndirectTank) and heater.heated_by == system.name and not is_cooling
    store = next((s for s in plant.stores if s.name == system.store), None)
    helper = None if isinstance(system, CoolingSystem) else system.backup
    source = machine.source if isinstance(machine, HeatPump) else None
    return SystemTask(
        system=system,
        machine=machine,
        backup=None if helper is None else plant.machine(helper),
        ask=ask_of(system.delivery, rooms, nominal_w(machine, cooling=is_cooling), cooling=is_cooling),
        water_ask_w=water.asked_of_system_w if asks_water and water is not None else np.zeros(HOURS),
        water_supply_c=heater.set_point_c + heater.approach_k if isinstance(heater, IndirectTank) else 0.0,
        store=store,
        may_charge=np.zeros(HOURS) if store is None else may_charge(store, surplus),
        store_ambient_c=place.weather.temp_c if store is None else place.temp_of(store.stands_in),
        outdoor_c=place.weather.temp_c,
        room_c=place.loads.air_temp_c[:, columns].mean(axis=1),
        field=source.bore_field if isinstance(source, Ground) else None,
        charge_power_w=surplus if store is not None and isinstance(store.charge, SolarCharge) else None,
    )


def _unserved(
    tasks: list[SystemTask], years: tuple[SystemYear, ...], load: Array, *, cooling: bool, loads: LoadYear
) -> Array:
    """Load of zones without a system, out of reach of floors, and beyond the machines, at the rooms."""
    share = np.zeros(len(loads.zone_names))
    total = np.zeros(HOURS)
    for task, year in zip(tasks, years, strict=True):
        if task.cooling == cooling:
            for served in task.system.serves:
                share[loads.zone_names.index(served.zone)] += served.share
            total += year.unmet_w * year.arrives_share + task.ask.out_of_reach_w
    return np.asarray(total + (load * np.maximum(1.0 - share, 0.0)).sum(axis=1))


def _notes(
    plant: PlantDescription, tasks: list[SystemTask], run: PlantRun, water: HotWaterYear | None
) -> tuple[str, ...]:
    return (*_too_small(tasks, run, water), *_ground_notes(plant, run), *_guessed(plant))


def _too_small(tasks: list[SystemTask], run: PlantRun, water: HotWaterYear | None) -> list[str]:
    notes = []
    if water is not None and (short := water.short_w > 1.0).any():
        notes.append(f"hot water runs short in {_hours(short)}")
    if water is not None and water.element_w.any():
        share = float(water.element_w.sum()) / max(float(water.heat_w.sum()), 1e-9)
        if share >= LEAST_ELEMENT_SHARE:
            notes.append(f"hot water: {share:.0%} of its heat comes from the resistance element")
    for task, year in zip(tasks, run.years, strict=True):
        lacking = task.water_ask_w - year.water_w > 1.0
        if task.backup is None and lacking.any():
            notes.append(f"{task.system.name}: cannot heat the tank in {_hours(lacking)}")
    lacking_of: dict[tuple[str, bool], NDArray[np.bool_]] = {}
    for year in run.years:  # machines of one name are told of once
        whose = (year.name, year.cooling)
        lacking_of[whose] = lacking_of.get(whose, np.zeros(HOURS, dtype=bool)) | (year.unmet_w > 1.0)
    for (name, cooling), missing in lacking_of.items():
        if missing.any():
            notes.append(f"{name}: too small to {'cool' if cooling else 'heat'} in {_hours(missing)}")
    return notes


def _hours(when: NDArray[np.bool_]) -> str:
    count = int(when.sum())
    return "one hour" if count == 1 else f"{count:,} hours"


def _ground_notes(plant: PlantDescription, run: PlantRun) -> list[str]:
    notes = []
    for field in run.fields:
        if not field.settled:
            notes.append(f"the water of {field.name} did not settle to {GROUND_SETTLED_K} K")
        fluid = next(f.fluid for f in plant.bore_fields if f.name == field.name)
        coldest = float(field.entering_c.min())
        if coldest < loop_fluid(fluid, 5.0).freezes_c + FREEZE_MARGIN_K:
            notes.append(f"water from {field.name} falls to {coldest:.1f} degC, too near its freezing point")
    return notes


def _guessed(plant: PlantDescription) -> list[str]:
    """Machines whose performance is not from a tested table."""
    notes = []
    for machine in plant.machines:
        if isinstance(machine, HeatPump):
            bases = [r.basis for r in (machine.heating, machine.cooling) if r is not None]
            loose = [basis for basis in bases if basis != "tested table"]
            if loose:
                notes.append(f"{machine.name}: performance from {loose[0]}")
    return notes
