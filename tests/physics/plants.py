"""Two plants for the tests: the old gas house and the same house on the ground and the sun."""

from __future__ import annotations

from retrofit_desk.physics import plant_delivery as d
from retrofit_desk.physics import plant_description as p
from retrofit_desk.physics import plant_machines as m

ZONES = ("living", "bedrooms", "utility", "attic")
SERVED = (d.ServedZone(zone="living"), d.ServedZone(zone="bedrooms"))


def use(**changes: object) -> p.HouseholdUse:
    values: dict[str, object] = {
        "occupants": 3,
        "hot_water_l_per_day": 180.0,
        "plug_kwh_per_year": 2600.0,
        "light_kwh_per_year": 700.0,
        "cooking_useful_kwh_per_year": 234.0,
    }
    return p.HouseholdUse.model_validate(values | changes)


def attic_ducts() -> d.Ducts:
    return d.Ducts(
        passes="attic",
        supply=d.DuctRun(area_m2=25.0, resistance_m2k_w=0.74, leakage=0.10),
        back=d.DuctRun(area_m2=8.0, resistance_m2k_w=0.74, leakage=0.08),
        flow_m3_s=0.55,
        fan_w=450.0,
    )


def old_air_conditioner() -> m.HeatPump:
    return m.HeatPump(
        name="old AC",
        source=m.OutdoorAir(),
        cooling=m.Ratings(
            points=(
                m.RatingPoint(source_c=27.8, capacity_w=11200.0, power_w=3100.0),
                m.RatingPoint(source_c=35.0, capacity_w=10500.0, power_w=3600.0),
            ),
            cycling_coefficient=0.2,
        ),
        refrigerant="R-22",
    )


def before_plant() -> p.PlantDescription:
    furnace = m.Burner(name="furnace", fuel="gas", capacity_w=23000.0, efficiency=0.76, electric_w=80.0)
    return p.PlantDescription(
        machines=(furnace, old_air_conditioner()),
        heating=(d.HeatingSystem(name="heat", machine="furnace", serves=SERVED, delivery=attic_ducts()),),
        cooling=(d.CoolingSystem(name="cool", machine="old AC", serves=SERVED, delivery=attic_ducts()),),
        water_heater=p.StorageHeater(
            fuel="gas",
            volume_l=190.0,
            loss_w_k=5.8,
            recovery_efficiency=0.76,
            capacity_w=8400.0,
            pilot_w=130.0,
            stands_in="utility",
            loss_to_zone=0.5,
        ),
        cooking=p.Cooking(fuel="gas", efficiency=0.32),
        dryer=p.Dryer(fuel="electricity", kg_per_kwh=1.4),
    )


def bore_field() -> m.BoreField:
    return m.BoreField(
        name="bores",
        columns=3,
        depth_m=70.0,
        ground_conductivity_w_mk=2.2,
        ground_diffusivity_m2_s=1.0e-6,
        ground_temp_c=16.0,
        fluid=m.Antifreeze(kind="propylene glycol", mass_percent=20.0),
        flow_kg_s=0.55,
        pump_w=180.0,
    )


def water_to_water() -> m.HeatPump:
    heat = (
        (0.0, 35.0, 8000, 1900),
        (10.0, 35.0, 10200, 1950),
        (0.0, 45.0, 7600, 2300),
        (10.0, 45.0, 9700, 2400),
    )
    cold = (
        (15.0, 7.0, 8600, 1500),
        (30.0, 7.0, 7700, 2150),
        (15.0, 18.0, 11500, 1450),
        (30.0, 18.0, 10400, 2050),
    )

    def points(rows: tuple[tuple[float, float, float, float], ...], part: float) -> tuple[m.RatingPoint, ...]:
        saved = 1.0 if part == 1.0 else 0.88
        return tuple(
            m.RatingPoint(source_c=s, load_c=t, capacity_w=q * part, power_w=w * part * saved)
            for s, t, q, w in rows
        )

    return m.HeatPump(
        name="ground machine",
        source=m.Ground(bore_field="bores"),
        heating=m.Ratings(points=points(heat, 1.0), low_speed_points=points(heat, 0.35)),
        cooling=m.Ratings(
            points=points(cold, 1.0), low_speed_points=points(cold, 0.35), cycling_coefficient=0.2
        ),
        refrigerant="R-454B",
        charge_kg=2.0,
    )


def floors() -> d.RadiantFloors:
    circuits = tuple(
        d.FloorCircuit(zone=z, active_area_m2=a, covering_m2k_w=0.05, below_m2k_w=2.5, below_c=15.0)
        for z, a in (("living", 55.0), ("bedrooms", 50.0))
    )
    return d.RadiantFloors(circuits=circuits, pump_w=60.0)


def after_plant(*, store: bool = True, battery: bool = False) -> p.PlantDescription:
    tank = d.ThermalStore(
        name="tank",
        volume_m3=1.0,
        loss_w_k=2.5,
        stands_in="utility",
        hot_charge_c=45.0,
        cold_charge_c=8.0,
        cold_months=(6, 7, 8, 9),
        charge=d.ClockCharge(hours=(10, 11, 12, 13, 14, 15)),
    )
    return p.PlantDescription(
        machines=(water_to_water(), m.Resistance(name="strip", capacity_w=5000.0)),
        bore_fields=(bore_field(),),
        heating=(
            d.HeatingSystem(
                name="heat",
                machine="ground machine",
                serves=SERVED,
                delivery=floors(),
                backup="strip",
                store="tank" if store else None,
            ),
        ),
        cooling=(
            d.CoolingSystem(
                name="cool",
                machine="ground machine",
                serves=SERVED,
                delivery=floors(),
                store="tank" if store else None,
                free_cooling=d.FreeCooling(capacity_w=4000.0, pump_w=90.0),
            ),
        ),
        stores=(tank,) if store else (),
        water_heater=p.HeatPumpTank(
            volume_l=250.0, loss_w_k=2.2, compressor_heat_w=1700.0, cop_rated=3.6, stands_in="utility"
        ),
        arrays=(
            p.SolarArray(name="south", dc_w=4800.0, tilt_deg=27.0, azimuth_deg=175.0, inverter="roof"),
            p.SolarArray(name="west", dc_w=2800.0, tilt_deg=27.0, azimuth_deg=265.0, inverter="roof"),
        ),
        inverters=(p.Inverter(name="roof", ac_limit_w=6000.0),),
        battery=p.Battery(usable_kwh=10.0, power_w=5000.0) if battery else None,
        cooking=p.Cooking(fuel="electricity", efficiency=0.85),
        dryer=p.Dryer(fuel="electricity", kg_per_kwh=2.4),
        dehumidifier=p.Dehumidifier(litre_per_kwh=1.8, zone="utility"),
    )
