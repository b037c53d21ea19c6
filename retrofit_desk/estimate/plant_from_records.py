"""Turns the recorded machines that were there before any measure into the plant."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from retrofit_desk.physics import plant_delivery as v
from retrofit_desk.physics import plant_description as p
from retrofit_desk.physics import plant_machines as k
from retrofit_desk.records import models as m
from retrofit_desk.records.machine_facts import words_of
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
_COOLERS = (Kind.AIR_CONDITIONER, Kind.AIR_SOURCE_HEAT_PUMP)


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
        makers = [row for row in self._rows if row.kind in (*_BURNERS, *_COOLERS, Kind.ELECTRIC_HEATER)]
        heaters = [row for row in makers if row.kind is not Kind.AIR_CONDITIONER]
        coolers = [row for row in makers if row.kind in _COOLERS]
        return p.PlantDescription(
            machines=tuple(self._machine(row) for row in makers),
            heating=tuple(
                v.HeatingSystem(
                    name=row.key, machine=row.key, serves=self._served(row), delivery=self._delivery(row)
                )
                for row in heaters
            ),
            cooling=tuple(
                v.CoolingSystem(
                    name=f"{row.key} cooling",
                    machine=row.key,
                    serves=self._served(row),
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
            ventilation_fan_w=sum(_detail(row, "fan_w") for row in self._of(Kind.VENTILATION)),
        )

    def _of(self, kind: Kind) -> list[m.Equipment]:
        return [row for row in self._rows if row.kind is kind]

    def _room(self, row: m.Equipment) -> str | None:
        return None if row.room_id is None else self._rooms[row.room_id].key

    def _served(self, row: m.Equipment) -> tuple[v.ServedZone, ...]:
        """The rooms it serves, each shared evenly among the machines of its sort that serve it too."""
        sort = _COOLERS if row.kind is Kind.AIR_CONDITIONER else (*_BURNERS, Kind.ELECTRIC_HEATER)
        peers = [one for one in self._rows if one.kind in sort] or [row]
        served = []
        for key in self._keys(row):
            count = sum(key in self._keys(one) for one in peers)
            served.append(v.ServedZone(zone=key, share=1.0 / max(1, count)))
        return tuple(served)

    def _keys(self, row: m.Equipment) -> list[str]:
        if row.serves:
            return list(row.serves)
        if row.kind is Kind.BOILER:
            return [emitter.zone for emitter in self._emitters(row)]
        is_cooler = row.kind is Kind.AIR_CONDITIONER
        return [r.key for r in self._rooms.values() if (r.is_cooled if is_cooler else r.is_heated)]

    def _machine(self, row: m.Equipment) -> k.Machine:
        if row.kind is Kind.ELECTRIC_HEATER:
            return k.Resistance(name=row.key, capacity_w=_stated(row, "heating_capacity_w"))
        if row.kind in _COOLERS:
            return self._heat_pump(row)
        return k.Burner(
            name=row.key,
            fuel=_burned(row),
            capacity_w=_stated(row, "heating_capacity_w"),
            efficiency=_detail(row, "seasonal_efficiency"),
            pilot_w=row.details.get("pilot_w", 0.0),
            standby_loss_w=row.details.get("standby_loss_w", 0.0),
            stands_in=self._room(row),
            electric_w=row.details.get("burner_w", 0.0),
        )

    def _heat_pump(self, row: m.Equipment) -> k.HeatPump:
        """Rated points, else one point at the rated outdoor temperature that is scaled."""
        outdoor_c = _detail(row, "rated_outdoor_c") if row.kind is Kind.AIR_CONDITIONER else 0.0
        if row.kind is Kind.AIR_CONDITIONER:
            if row.electric_input_w is None:
                raise CannotSay(
                    f"the power of the {row.name}", "its electric input when rated", where="House"
                )
            point = k.RatingPoint(
                source_c=outdoor_c,
                capacity_w=_stated(row, "cooling_capacity_w"),
                power_w=row.electric_input_w,
            )
            cold = k.Ratings(points=(point,), cycling_coefficient=0.20)
            return k.HeatPump(
                name=row.key, source=k.OutdoorAir(frost_dip=False), cooling=cold, **_charge(row)
            )
        hot = [one for one in row.ratings if one.name == "COP" and one.capacity_w and one.power_w]
        if not hot:
            raise CannotSay(f"the power of the {row.name}", "a rating with capacity and input", where="House")
        points = tuple(
            k.RatingPoint(
                source_c=_at(row, one), capacity_w=_number(one.capacity_w), power_w=_number(one.power_w)
            )
            for one in hot
        )
        return k.HeatPump(
            name=row.key, source=k.OutdoorAir(), heating=k.Ratings(points=points), **_charge(row)
        )

    def _delivery(self, row: m.Equipment) -> v.Distribution:
        if row.kind in (Kind.STOVE, Kind.ELECTRIC_HEATER):
            return v.InRoom()
        if row.kind is Kind.BOILER:
            return v.WaterRadiators(
                emitters=self._emitters(row),
                spread_k=row.details.get("spread_k", 10.0),
                pump_w=_detail(row, "pump_w"),
                pipe_loss=row.details.get("pipe_loss", 0.0),
                reset=_reset(row),
            )
        ducts = self._of(Kind.DUCTS)
        if not ducts:
            raise CannotSay(
                f"what the {row.name} delivers", "how its heat or cold reaches the rooms", where="House"
            )
        run = ducts[0]
        return v.Ducts(
            passes=run.details.get("passes"),
            supply=_run(run, "supply"),
            back=_run(run, "return"),
            flow_m3_s=_detail(run, "flow_m3_s"),
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
            output_w = _stated(row, "heating_capacity_w")
            found[room] = v.WaterEmitter(
                zone=room,
                rated_w=output_w + (found[room].rated_w if room in found else 0.0),
                rated_difference_k=row.details.get("rated_difference_k", 50.0),
                exponent=row.details.get("exponent", 1.3),
            )
        return tuple(found.values())

    def _water_heater(self) -> p.StorageHeater | p.IndirectTank | None:
        rows = self._of(Kind.WATER_HEATER)
        if not rows:
            return None
        row = rows[0]
        if row.volume_m3 is None:
            raise CannotSay("the hot water", f"the volume of the {row.name}", where="House")
        if "heated_by" in row.details:
            return p.IndirectTank(
                heated_by=row.details["heated_by"],
                volume_l=row.volume_m3 * 1000.0,
                loss_w_k=_detail(row, "loss_w_k"),
                capacity_w=_stated(row, "heating_capacity_w"),
                set_point_c=_detail(row, "set_point_c"),
                approach_k=row.details.get("approach_k", 10.0),
                stands_in=self._room(row),
            )
        return p.StorageHeater(
            fuel=_fuel(row),
            volume_l=row.volume_m3 * 1000.0,
            loss_w_k=_detail(row, "loss_w_k"),
            recovery_efficiency=_detail(row, "recovery_efficiency"),
            capacity_w=_stated(row, "heating_capacity_w"),
            pilot_w=row.details.get("pilot_w", 0.0),
            set_point_c=_detail(row, "set_point_c"),
            stands_in=self._room(row),
            loss_to_zone=row.details.get("loss_to_zone", 1.0),
        )

    def _array(self, row: m.Equipment) -> p.SolarArray:
        inverters = self._of(Kind.INVERTER)
        if not inverters:
            raise CannotSay("the sun on the roof", "the inverter", where="House")
        return p.SolarArray(
            name=row.key,
            dc_w=_detail(row, "dc_w"),
            tilt_deg=_detail(row, "tilt_deg"),
            azimuth_deg=_detail(row, "azimuth_deg"),
            inverter=row.details.get("inverter", inverters[0].key),
            **{name: row.details[name] for name in _ARRAY_FACTS if name in row.details},
        )

    def _inverter(self, row: m.Equipment) -> p.Inverter:
        return p.Inverter(name=row.key, ac_limit_w=_detail(row, "ac_limit_w"))

    def _battery(self) -> p.Battery | None:
        rows = self._of(Kind.BATTERY)
        if not rows:
            return None
        facts = {name: rows[0].details[name] for name in _BATTERY_FACTS if name in rows[0].details}
        return p.Battery(
            usable_kwh=_detail(rows[0], "usable_kwh"), power_w=_detail(rows[0], "power_w"), **facts
        )

    def _car(self) -> p.CarCharger | None:
        rows = self._of(Kind.CAR_CHARGER)
        if not rows:
            return None
        return p.CarCharger(
            kwh_per_km=_detail(rows[0], "kwh_per_km"),
            charger_w=_detail(rows[0], "charger_w"),
            hours=tuple(_detail(rows[0], "hours")),
        )

    def _cooking(self) -> p.Cooking | None:
        rows = self._of(Kind.RANGE)
        if not rows:
            return None
        pilot_w = rows[0].details.get("pilot_w", 0.0)
        return p.Cooking(fuel=_fuel(rows[0]), efficiency=_detail(rows[0], "efficiency"), pilot_w=pilot_w)

    def _dryer(self) -> p.Dryer | None:
        rows = self._of(Kind.DRYER)
        if not rows:
            return None
        return p.Dryer(fuel=_fuel(rows[0]), kg_per_kwh=_detail(rows[0], "kg_per_kwh"))


def _reset(row: m.Equipment) -> v.ResetLine | None:
    """The boiler's water by outdoor temperature; None where it was never set so."""
    if "reset_cold_outdoor_c" not in row.details:
        return None
    return v.ResetLine(
        cold_outdoor_c=_detail(row, "reset_cold_outdoor_c"),
        supply_when_cold_c=_detail(row, "reset_supply_when_cold_c"),
        warm_outdoor_c=_detail(row, "reset_warm_outdoor_c"),
        supply_when_warm_c=_detail(row, "reset_supply_when_warm_c"),
    )


def _run(row: m.Equipment, side: str) -> v.DuctRun:
    return v.DuctRun(
        area_m2=_detail(row, f"{side}_area_m2"),
        resistance_m2k_w=_detail(row, f"{side}_resistance_m2k_w"),
        leakage=_detail(row, f"{side}_leakage"),
    )


def _stated(row: m.Equipment, column: str) -> float:
    value = row.stated(column)
    if value.value is None:
        raise CannotSay(
            f"what the {row.name} can do", f"its capacity, which is {value.stated}", where="House"
        )
    return float(value.value)


def _detail(row: m.Equipment, key: str) -> Any:
    if key not in row.details:
        raise CannotSay(f"what the {row.name} does", words_of(key), where="House")
    return row.details[key]


def _fuel(row: m.Equipment) -> k.Fuel:
    if row.fuel is None:
        raise CannotSay(f"what the {row.name} uses", "its fuel", where="House")
    return FUELS[row.fuel]


def _burned(row: m.Equipment) -> k.BurnedFuel:
    fuel = _fuel(row)
    if fuel == "electricity":
        raise CannotSay(f"what the {row.name} burns", "a fuel other than electricity", where="House")
    return fuel


def _charge(row: m.Equipment) -> dict[str, Any]:
    return {"refrigerant": row.refrigerant, "charge_kg": row.refrigerant_charge_kg}


def _at(row: m.Equipment, rating: m.EquipmentRating) -> float:
    if rating.source_temp_c is None:
        raise CannotSay(f"the power of the {row.name}", "the temperature of its rating", where="House")
    return rating.source_temp_c


def _number(value: float | None) -> float:
    assert value is not None
    return value
