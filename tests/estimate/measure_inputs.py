"""Facts for one measure of every kind, fitting the small house."""

from __future__ import annotations

from typing import Any

CELLULOSE = {
    "material_key": "cellulose_blown",
    "conductivity_w_mk": 0.039,
    "density_kg_m3": 55.0,
    "specific_heat_j_kgk": 2000.0,
}
WOOD_FIBER = CELLULOSE | {"material_key": "wood_fiber", "conductivity_w_mk": 0.038, "density_kg_m3": 110.0}
CEDAR = CELLULOSE | {"material_key": "cedar_shingle", "conductivity_w_mk": 0.11, "density_kg_m3": 370.0}
WATER_POINT = {"source_c": 10.0, "load_c": 35.0, "capacity_w": 9000.0, "power_w": 2000.0}

INPUTS: dict[str, dict[str, Any]] = {
    "air_sealing": {"flow_50pa_m3_s": 0.2},
    "insulation_cavity": CELLULOSE | {"surfaces": ["slope"], "depth_m": 0.14, "framing_fraction": 0.1},
    "insulation_batts": WOOD_FIBER | {"surfaces": ["north wall"], "depth_m": 0.089, "framing_fraction": 0.2},
    "continuous_insulation": WOOD_FIBER
    | {"surfaces": ["north wall", "south wall"], "outside_of_layer": "studs", "thickness_m": 0.06},
    "glazing_and_shading": {
        "openings": ["left", "right"],
        "u_value_w_m2k": 1.3,
        "shgc": 0.6,
        "overhang_depth_m": 0.6,
        "overhang_above_head_m": 0.2,
    },
    "casement_windows": {
        "openings": ["left"],
        "u_value_w_m2k": 1.4,
        "shgc": 0.5,
        "hinge_side": "left",
        "flow_50pa_reduction_m3_s": 0.02,
    },
    "ground_source_heat_pump": {
        "heating_points": [WATER_POINT],
        "cooling_points": [WATER_POINT | {"source_c": 25.0, "load_c": 7.0}],
        "refrigerant": "R-454B",
        "refrigerant_charge_kg": 1.6,
        "stands_in": "room",
        "bores": 3,
        "bore_depth_m": 60.0,
        "spacing_m": 6.0,
        "bore_radius_m": 0.065,
        "pipe_outer_radius_m": 0.0167,
        "pipe_inner_radius_m": 0.0137,
        "half_shank_m": 0.03,
        "grout_conductivity_w_mk": 1.6,
        "ground_conductivity_w_mk": 2.4,
        "ground_diffusivity_m2_s": 1e-6,
        "ground_temp_c": 15.5,
        "fluid": "propylene glycol",
        "fluid_mass_percent": 20.0,
        "flow_kg_s": 0.6,
        "loop_pump_w": 150.0,
        "distribution_pump_w": 60.0,
        "fan_coils_without_floor": [{"room": "room", "rated_w": 8000.0}],
    },
    "radiant_floor": {
        "circuits": [
            {
                "room": "room",
                "surfaces": ["floor"],
                "build": "in screed",
                "active_area_m2": 26.0,
                "spacing_m": 0.15,
                "cover_m": 0.045,
                "covering_m2k_w": 0.1,
                "below_m2k_w": 2.0,
                "insulation_below_m": 0.05,
            }
        ],
        "pump_w": 45.0,
    },
    "thermal_storage": {
        "volume_m3": 1.5,
        "loss_w_k": 3.0,
        "hot_charge_c": 45.0,
        "highest_c": 70.0,
        "stands_in": "room",
        "charge": "clock",
        "charge_hours": [11, 12, 13, 14],
    },
    "heat_pump_water_heater": {
        "volume_l": 250.0,
        "loss_w_k": 2.0,
        "compressor_heat_w": 1800.0,
        "cop_rated": 3.4,
        "element_w": 4500.0,
        "set_point_c": 52.0,
        "stands_in": "room",
    },
    "induction_range": {"efficiency": 0.85},
    "photovoltaics": {
        "arrays": [{"name": "south", "dc_w": 4000.0, "tilt_deg": 25, "azimuth_deg": 180, "module_count": 10}],
        "inverter_ac_limit_w": 3800.0,
        "inverter_efficiency": 0.96,
        "losses_fraction": 0.14,
        "temp_coefficient_per_k": -0.0035,
    },
    "gas_account_closed": {"account": "gas"},
    "oil_account_closed": {},
    "propane_account_closed": {},
    "overhangs": {"openings": ["left"], "depth_m": 0.6, "above_head_m": 0.2, "beyond_jambs_m": 0.3},
    "window_shades": {"openings": ["left", "right"], "side": "exterior", "solar_factor": 0.15},
    "wood_cladding": CEDAR | {"surfaces": ["north wall", "slope"], "thickness_m": 0.018},
    "timber_floor": CEDAR
    | {"material_key": "hardwood", "surfaces": ["floor"], "thickness_m": 0.02, "origin": "reclaimed"}
    | {"layers_taken_up": 1},
    "mechanical_ventilation": {
        "rooms": ["room"],
        "flow_m3_s": 0.03,
        "sensible_recovery": 0.8,
        "fan_w": 30.0,
    },
    "heating_controls": {"rooms": ["room"], "setback_c": 17.0, "setback_hours": [22, 23, 0, 1, 2, 3, 4, 5]},
    "electric_car": {
        "car_km_per_year": 19_312.0,
        "kwh_per_km": 0.1864,
        "charger_w": 7200.0,
        "hours": [22, 23, 0, 1, 2, 3],
        "kwh_source": "the label",
        "old_car_km_per_l": 12.75,
    },
    "load_management": {"house_limit_w": 9000.0},
    "panel_work": {"main_breaker_a": 200.0, "circuits_added": 3},
    "own_figures": {
        "electricity_saved_kwh": 365.0,
        "fuel_saved_by_month_kwh": [100.0, 80.0, 50.0, 0, 0, 0, 0, 0, 0, 10.0, 50.0, 90.0],
        "money_saved_cents": 12_000.0,
        "likely_range_share": 0.3,
        "source": "a neighbor's bills",
    },
    "indirect_water_tank": {
        "volume_l": 200.0,
        "loss_w_k": 1.8,
        "coil_w": 6000.0,
        "set_point_c": 50.0,
        "stands_in": "room",
    },
    "air_to_water_heat_pump": {
        "heating_points": [
            {"source_c": -7.0, "load_c": 35.0, "capacity_w": 7000.0, "power_w": 2500.0},
            {"source_c": -7.0, "load_c": 55.0, "capacity_w": 6500.0, "power_w": 3300.0},
            {"source_c": 7.0, "load_c": 35.0, "capacity_w": 9000.0, "power_w": 1950.0},
            {"source_c": 7.0, "load_c": 55.0, "capacity_w": 8400.0, "power_w": 2900.0},
        ],
        "cooling_points": [{"source_c": 35.0, "load_c": 7.0, "capacity_w": 7000.0, "power_w": 2300.0}],
        "distribution_pump_w": 60.0,
        "backup_w": 6000.0,
        "coils": [{"room": "room", "rated_w": 8000.0}],
    },
    "water_source_heat_pump": {
        "heating_points": [WATER_POINT],
        "cooling_points": [WATER_POINT | {"source_c": 20.0, "load_c": 7.0}],
        "entering_water_c": 11.0,
        "well_pump_w": 300.0,
        "distribution_pump_w": 60.0,
        "free_cooling_capacity_w": 5000.0,
        "coils": [{"room": "room", "rated_w": 8000.0}],
    },
    "battery": {"usable_kwh": 10.0, "power_w": 5000.0, "round_trip": 0.88},
    "heat_pump_dryer": {"kg_per_kwh": 3.4},
    "air_source_heat_pump": {
        "heads": 3,
        "capacity_at_8c_w": 10500.0,
        "cop_at_8c": 3.6,
        "capacity_at_minus_8c_w": 8200.0,
        "cop_at_minus_8c": 2.3,
        "cooling_capacity_w": 9000.0,
        "cooling_cop": 3.8,
        "refrigerant": "R-32",
        "refrigerant_charge_kg": 2.6,
    },
}
