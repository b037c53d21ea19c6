"""Turns the recorded machines that were there before any measure into the plant."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from retrofit_desk.estimate.heat_pump_from_records import air_machine, cools
from retrofit_desk.estimate.recorded_facts import detail, stated
from retrofit_desk.physics import plant_delivery as v
from retrofit_desk.physics import plant_description as p
from retrofit_desk.physics import plant_machines as k
from retrofit_desk.records import models as m
from retrofit_desk.records.machine_facts import (
    DUCTLESS,
    HEAT_SHARE,
    HEATED_BY,
    LAYOUT,
    PASSES,
    RESET_KEYS,
    RETURN_KEYS,
    RadiatorLayout,
)
from retrofit_desk.records.models import EquipmentKind as Kind
from retrofit_desk.values.errors import CannotSay

FUELS: dict[m.Fuel, k.Fuel] = {
    m.Fuel.GAS: "gas",
    m.Fuel.OIL: "oil",
    m.Fuel.PROPANE: "propane",
    m.Fuel.WOOD: "wood",
    m.Fuel.ELECTRICITY: "electricity",
}
_BURNERS = (Kind.FURNACE, Kind.BOILER, Kind.STOVE)
_ARRAY_FACTS = (
    "age_years",
    "fade_per_year",
    "losses",
    "monthly_shading",
    "mounting",
    "temp_coefficient_per_k",
)
_BATTERY_FACTS = ("charge_hours", "discharge_hours", "reserve", "round_trip")
_HEATERS = (*_BURNERS, Kind.ELECTRIC_HEATER, Kind.AIR_SOURCE_HEAT_PUMP)
_IN_ITS_ROOM = (Kind.STOVE, Kind.ELECTRIC_HEATER)
_COOLERS = (Kind.AIR_CONDITIONER, Kind.AIR_SOURCE_HEAT_PUMP)
_WITH_A_MEASURE = (Kind.GROUND_SOURCE_HEAT_PUMP, Kind.RADIANT_FLOOR, Kind.FAN_COIL, Kind.STORAGE_TANK)
"""Told by the facts of the measure that brought them; none of them is a part of an old house's plant."""


def plant_of(session: Session) -> p.PlantDescription:
    """The machines as they were before the first measure. Raises `CannotSay` for a missing rating."""
    query = select(m.Equipment).options(selectinload(m.Equipment.ratings))
    rows = list(session.scalars(query.where(m.Equipment.measure_id.is_(None)).order_by(m.Equipment.id)))
    rooms = {room.id: room for room in session.scalars(select(m.Room))}
    return _Plant(rows, rooms).description()


class _Plant:
    """The machines of one house, by kind."""

    def __init__(self, rows: list[m.Equipment], rooms: dict[int, m.Room]) -> None:
        self._rows, self._rooms = rows, rooms

    def description(self) -> p.PlantDescription:
        self._say_what_cannot_be_told()
        heaters, coolers = self._heaters(), self._coolers()
        makers = [row for row in self._rows if row in heaters or row in coolers]
        return p.PlantDescription(
            machines=(*(self._machine(row) for row in makers), *(_backup(row) for row in _helped(heaters))),
            heating=tuple(
                v.HeatingSystem(
                    name=row.key,
                    machine=row.key,
                    serves=served,
                    delivery=self._delivery(row),
                    backup=_backup(row).name if _helped([row]) else None,
                )
                for row in heaters
                if (served := self._served(row, heaters))
            ),
            cooling=tuple(
                v.CoolingSystem(
                    name=f"{row.key} cooling",
                    machine=row.key,
                    serves=self._served(row, coolers, cooling=True),
                    delivery=self._delivery(row),
                )
                for row in coolers
            ),
            water_heater=self._water_heater(),
            arrays=tuple(self._array(row) for row in self._of(Kind.PV_ARRAY)),
            inverters=tuple(self._inverter(row) for row in self._of(Kind.INVERTER)),
            battery=self._battery(),
            cooking=self._cooking(),
            dryer=self._dryer(),
            car=self._car(),
            ventilation_fan_w=sum(detail(row, "fan_w") for row in self._of(Kind.VENTILATION)),
        )

    def _of(self, kind: Kind) -> list[m.Equipment]:
        return [row for row in self._rows if row.kind is kind]

    def _room(self, row: m.Equipment) -> str | None:
        return None if row.room_id is None else self._rooms[row.room_id].key

    def _say_what_cannot_be_told(self) -> None:
        for row in self._rows:
            if row.kind in _WITH_A_MEASURE:
                raise CannotSay(
                    f"what the {row.name} did before any measure",
                    "the measure that brought it",
                    where="House",
                )

    def _heaters(self) -> list[m.Equipment]:
        return [row for row in self._rows if row.kind in _HEATERS]

    def _coolers(self) -> list[m.Equipment]:
        return [row for row in self._rows if row.kind in _COOLERS and cools(row)]

    def _served(
        self, row: m.Equipment, peers: list[m.Equipment], *, cooling: bool = False
    ) -> tuple[v.ServedZone, ...]:
        """The rooms it serves; what no machine of a room states as its share is shared evenly by the rest."""
        served = []
        for key in self._keys(row, cooling):
            here = [one for one in peers if key in self._keys(one, cooling)]
            told = {one: one.details[HEAT_SHARE.key] for one in here if HEAT_SHARE.key in one.details}
            if sum(told.values()) > 1.0 + 1e-9:
                names = " and ".join(one.name for one in told)
                raise CannotSay(
                    f"who heats {key}", f"shares of {names} that make no more than 100%", where="House"
                )
            rest = len(here) - len(told)
            share = told[row] if row in told else (1.0 - sum(told.values())) / rest
            if share > 1e-9 or any(one.kind in _IN_ITS_ROOM for one in told):
                served.append(v.ServedZone(zone=key, share=max(share, 0.0)))
        return tuple(served)

    def _keys(self, row: m.Equipment, cooling: bool) -> list[str]:
        if row.serves:
            return list(row.serves)
        if row.kind is Kind.BOILER:
            return [emitter.zone for emitter in self._emitters(row)]
        room = self._room(row)
        if room is not None and (row.kind in _IN_ITS_ROOM or row.details.get(DUCTLESS)):
            return [room]
        return [r.key for r in self._rooms.values() if (r.is_cooled if cooling else r.is_heated)]

    def _machine(self, row: m.Equipment) -> k.Machine:
        if row.kind is Kind.ELECTRIC_HEATER:
            return k.Resistance(name=row.key, capacity_w=stated(row, "heating_capacity_w"))
        if row.kind in _COOLERS:
            return air_machine(row)
        return k.Burner(
            name=row.key,
            fuel=_burned(row),
            capacity_w=stated(row, "heating_capacity_w"),
            efficiency=detail(row, "seasonal_efficiency"),
            efficiency_by_return=_by_return(row),
            pilot_w=row.details.get("pilot_w", 0.0),
            standby_loss_w=row.details.get("standby_loss_w", 0.0),
            stands_in=self._room(row),
            electric_w=row.details.get("burner_w", 0.0),
        )

    def _delivery(self, row: m.Equipment) -> v.Distribution:
        if row.kind in _IN_ITS_ROOM or row.details.get(DUCTLESS):
            return v.InRoom(fan_w=row.details.get("fan_w", 0.0))
        if row.kind is Kind.BOILER:
            layout = row.details.get(LAYOUT, RadiatorLayout.TWO_PIPE)
            is_steam = layout == RadiatorLayout.STEAM
            return v.WaterRadiators(
                emitters=self._emitters(row),
                layout=layout,
                spread_k=row.details.get("spread_k", 10.0),
                pump_w=0.0 if is_steam else detail(row, "pump_w"),
                pipe_loss=row.details.get("pipe_loss", 0.0),
                reset=None if is_steam else _reset(row),
            )
        ducts = self._of(Kind.DUCTS)
        if not ducts:
            raise CannotSay(
                f"what the {row.name} delivers", "how its heat or cold reaches the rooms", where="House"
            )
        run = ducts[0]
        return v.Ducts(
            passes=run.details.get(PASSES),
            supply=_run(run, "supply"),
            back=_run(run, "return"),
            flow_m3_s=detail(run, "flow_m3_s"),
            fan_w=row.details.get("fan_w", row.electric_input_w or 0.0),
        )

    def _emitters(self, boiler: m.Equipment) -> tuple[v.WaterEmitter, ...]:
        """One for each room with radiators; several in a room give their outputs together."""
        rows = self._of(Kind.RADIATORS)
        if not rows:
            raise CannotSay(f"what the {boiler.name} delivers", "the radiators of the rooms", where="House")
        found: dict[str, v.WaterEmitter] = {}
        for row in rows:
            room = self._room(row)
            if room is None:
                raise CannotSay(f"the heat of the {row.name}", "the room they stand in", where="House")
            found[room] = _together(found.get(room), _emitter(row, room))
        return tuple(found.values())

    def _water_heater(self) -> p.WaterHeater | None:
        rows = self._of(Kind.WATER_HEATER) + self._of(Kind.HEAT_PUMP_WATER_HEATER)
        if not rows:
            return None
        if len(rows) > 1:
            names = " and ".join(row.name for row in rows)
            raise CannotSay(f"the hot water of {names}", "one water heater for the house", where="House")
        row = rows[0]
        if row.volume_m3 is None:
            raise CannotSay("the hot water", f"the volume of the {row.name}", where="House")
        if row.kind is Kind.HEAT_PUMP_WATER_HEATER:
            return p.HeatPumpTank(
                volume_l=row.volume_m3 * 1000.0,
                loss_w_k=detail(row, "loss_w_k"),
                compressor_heat_w=stated(row, "heating_capacity_w"),
                cop_rated=detail(row, "cop_rated"),
                element_w=detail(row, "element_w"),
                set_point_c=detail(row, "set_point_c"),
                stands_in=self._room(row),
            )
        if HEATED_BY in row.details:
            return p.IndirectTank(
                heated_by=row.details[HEATED_BY],
                volume_l=row.volume_m3 * 1000.0,
                loss_w_k=detail(row, "loss_w_k"),
                capacity_w=stated(row, "heating_capacity_w"),
                set_point_c=detail(row, "set_point_c"),
                approach_k=row.details.get("approach_k", 10.0),
                stands_in=self._room(row),
            )
        return p.StorageHeater(
            fuel=_fuel(row),
            volume_l=row.volume_m3 * 1000.0,
            loss_w_k=detail(row, "loss_w_k"),
            recovery_efficiency=detail(row, "recovery_efficiency"),
            capacity_w=stated(row, "heating_capacity_w"),
            pilot_w=row.details.get("pilot_w", 0.0),
            set_point_c=detail(row, "set_point_c"),
            stands_in=self._room(row),
            loss_to_zone=row.details.get("loss_to_zone", 1.0),
        )

    def _array(self, row: m.Equipment) -> p.SolarArray:
        inverters = self._of(Kind.INVERTER)
        if not inverters:
            raise CannotSay("the sun on the roof", "the inverter", where="House")
        return p.SolarArray(
            name=row.key,
            dc_w=detail(row, "dc_w"),
            tilt_deg=detail(row, "tilt_deg"),
            azimuth_deg=detail(row, "azimuth_deg"),
            inverter=row.details.get("inverter", inverters[0].key),
            **{name: row.details[name] for name in _ARRAY_FACTS if name in row.details},
        )

    def _inverter(self, row: m.Equipment) -> p.Inverter:
        return p.Inverter(name=row.key, ac_limit_w=detail(row, "ac_limit_w"))

    def _battery(self) -> p.Battery | None:
        rows = self._of(Kind.BATTERY)
        if not rows:
            return None
        facts = {name: rows[0].details[name] for name in _BATTERY_FACTS if name in rows[0].details}
        return p.Battery(
            usable_kwh=detail(rows[0], "usable_kwh"), power_w=detail(rows[0], "power_w"), **facts
        )

    def _car(self) -> p.CarCharger | None:
        rows = self._of(Kind.CAR_CHARGER)
        if not rows:
            return None
        return p.CarCharger(
            kwh_per_km=detail(rows[0], "kwh_per_km"),
            charger_w=detail(rows[0], "charger_w"),
            hours=_charging_hours(rows[0]),
        )

    def _cooking(self) -> p.Cooking | None:
        rows = self._of(Kind.RANGE)
        if not rows:
            return None
        pilot_w = rows[0].details.get("pilot_w", 0.0)
        return p.Cooking(fuel=_fuel(rows[0]), efficiency=detail(rows[0], "efficiency"), pilot_w=pilot_w)

    def _dryer(self) -> p.Dryer | None:
        rows = self._of(Kind.DRYER)
        if not rows:
            return None
        return p.Dryer(fuel=_fuel(rows[0]), kg_per_kwh=detail(rows[0], "kg_per_kwh"))


def _emitter(row: m.Equipment, room: str) -> v.WaterEmitter:
    return v.WaterEmitter(
        zone=room,
        rated_w=stated(row, "heating_capacity_w"),
        rated_difference_k=row.details.get("rated_difference_k", 50.0),
        exponent=row.details.get("exponent", 1.3),
    )


def _together(first: v.WaterEmitter | None, more: v.WaterEmitter) -> v.WaterEmitter:
    """Two of one room, at the difference of the first and with the exponent of both by output."""
    if first is None:
        return more
    more_w = more.rated_w * (first.rated_difference_k / more.rated_difference_k) ** more.exponent
    rated_w = first.rated_w + more_w
    exponent = (first.exponent * first.rated_w + more.exponent * more_w) / rated_w
    return first.model_copy(update={"rated_w": rated_w, "exponent": exponent})


def _reset(row: m.Equipment) -> v.ResetLine | None:
    """The boiler's water by outdoor temperature; None where it was never set so."""
    if RESET_KEYS[0] not in row.details:
        return None
    cold, water_when_cold, mild, water_when_mild = (detail(row, key) for key in RESET_KEYS)
    return v.ResetLine(
        cold_outdoor_c=cold,
        supply_when_cold_c=water_when_cold,
        warm_outdoor_c=mild,
        supply_when_warm_c=water_when_mild,
    )


def _by_return(row: m.Equipment) -> tuple[k.ReturnPoint, ...]:
    """A condensing boiler's efficiency at the two returns of its test, where both are stated."""
    if RETURN_KEYS[0] not in row.details:
        return ()
    cool, hot = (detail(row, key) for key in RETURN_KEYS)
    return (k.ReturnPoint(return_c=30.0, efficiency=cool), k.ReturnPoint(return_c=60.0, efficiency=hot))


def _run(row: m.Equipment, side: str) -> v.DuctRun:
    return v.DuctRun(
        area_m2=detail(row, f"{side}_area_m2"),
        resistance_m2k_w=detail(row, f"{side}_resistance_m2k_w"),
        leakage=detail(row, f"{side}_leakage"),
    )


def _charging_hours(row: m.Equipment) -> tuple[int, ...]:
    """As listed, or from one hour of the day to another, over midnight where it ends earlier."""
    if "hours" in row.details:
        return tuple(row.details["hours"])
    begins, ends = int(detail(row, "charge_from_hour")), int(detail(row, "charge_to_hour"))
    return tuple((begins + hour) % 24 for hour in range((ends - begins - 1) % 24 + 1))


def _fuel(row: m.Equipment) -> k.Fuel:
    if row.fuel is None:
        raise CannotSay(f"what the {row.name} uses", "its fuel", where="House")
    return FUELS[row.fuel]


def _burned(row: m.Equipment) -> k.BurnedFuel:
    fuel = _fuel(row)
    if fuel == "electricity":
        raise CannotSay(f"what the {row.name} burns", "a fuel other than electricity", where="House")
    return fuel


def _helped(rows: list[m.Equipment]) -> list[m.Equipment]:
    return [row for row in rows if row.details.get("backup_w")]


def _backup(row: m.Equipment) -> k.Resistance:
    """The strip heat of a heat pump."""
    return k.Resistance(name=f"{row.key}, backup", capacity_w=row.details["backup_w"])
