"""Facts for one measure of every kind, fitting the small house."""

from __future__ import annotations

from typing import Any

CELLULOSE = {
    "name": "cellulose",
    "conductivity_w_mk": 0.039,
    "density_kg_m3": 55.0,
    "specific_heat_j_kgk": 2000.0,
}
WOOD_FIBER = CELLULOSE | {"name": "wood fiber", "conductivity_w_mk": 0.038, "density_kg_m3": 110.0}
WATER_POINT = {"source_c": 10.0, "load_c": 35.0, "capacity_w": 9000.0, "power_w": 2000.0}
CIRCUIT = {"zone": "room", "active_area_m2": 26.0, "covering_m2k_w": 0.1, "below_m2k_w": 2.0}

INPUTS: dict[str, dict[str, Any]] = {
    "air_sealing": {"less_flow_50pa_m3_s": 0.1},
    "insulation_cavity": {
        "surfaces": ["slope"],
        "layer": "air space",
        "material": CELLULOSE,
        "thickness_m": 0.14,
    },
    "insulation_batts": {
        "surfaces": ["north wall"],
        "layer": "studs",
        "material": WOOD_FIBER,
        "thickness_m": 0.089,
    },
    "continuous_insulation": {
        "surfaces": ["north wall", "south wall"],
        "inside_of": "siding",
        "material": WOOD_FIBER,
        "thickness_m": 0.06,
    },
    "glazing_and_shading": {
        "windows": ["left", "right"],
        "product": {"u_value_w_m2k": 1.3, "shgc": 0.6},
        "overhang_depth_m": 0.6,
        "overhang_above_head_m": 0.2,
    },
    "casement_windows": {
        "windows": ["left"],
        "product": {"u_value_w_m2k": 1.4, "shgc": 0.5},
        "hinge": "left",
    },
    "ground_source_heat_pump": {
        "machine": {
            "name": "water-to-water",
            "source": {"kind": "ground", "bore_field": "bores"},
            "heating": {"points": [WATER_POINT]},
            "cooling": {"points": [WATER_POINT | {"source_c": 25.0, "load_c": 7.0}]},
            "refrigerant": "R-454B",
            "charge_kg": 1.6,
        },
        "bore_field": {
            "name": "bores",
            "columns": 3,
            "depth_m": 60.0,
            "ground_conductivity_w_mk": 2.4,
            "ground_diffusivity_m2_s": 1e-6,
            "ground_temp_c": 15.5,
            "flow_kg_s": 0.6,
            "pump_w": 150.0,
        },
        "fan_coils": [{"zone": "room", "rated_w": 8000.0, "exponent": 1.0}],
        "pump_w": 60.0,
    },
    "radiant_floor": {
        "floors": [{"circuit": CIRCUIT, "surface": "floor", "pipe_plane_after_layer": 0}],
        "pump_w": 45.0,
    },
    "thermal_storage": {
        "store": {
            "name": "tank",
            "volume_m3": 1.5,
            "loss_w_k": 3.0,
            "hot_charge_c": 45.0,
            "charge": {"kind": "clock", "hours": [11, 12, 13, 14]},
        }
    },
    "heat_pump_water_heater": {
        "tank": {
            "volume_l": 250.0,
            "loss_w_k": 2.0,
            "compressor_heat_w": 1800.0,
            "cop_rated": 3.4,
            "stands_in": "room",
        }
    },
    "induction_range": {"efficiency": 0.85},
    "photovoltaics": {
        "arrays": [
            {"name": "south", "dc_w": 4000.0, "tilt_deg": 25, "azimuth_deg": 180, "inverter": "inverter"}
        ],
        "inverters": [{"name": "inverter", "ac_limit_w": 3800.0}],
    },
    "gas_account_closed": {},
}
