BEGIN TRANSACTION;
CREATE TABLE action (
	title VARCHAR NOT NULL, 
	at DATETIME NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	of_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_action PRIMARY KEY (id), 
	CONSTRAINT fk_action_of_id_action FOREIGN KEY(of_id) REFERENCES action (id)
);
INSERT INTO "action" VALUES('Describe the house','2026-11-26 03:47:31.889630','done',NULL,1);
INSERT INTO "action" VALUES('Think about the range','2026-11-26 03:47:31.903082','done',NULL,2);
INSERT INTO "action" VALUES('Think about the range','2026-11-26 03:47:31.912145','undone',2,3);
CREATE TABLE alembic_version (
    version_num VARCHAR(32) NOT NULL, CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num));
INSERT INTO "alembic_version" VALUES('0005');
CREATE TABLE bill (
	meter_id INTEGER NOT NULL, 
	period_start DATE NOT NULL, 
	period_end DATE NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	quantity DOUBLE, 
	quantity_is VARCHAR(40) NOT NULL, 
	exported DOUBLE, 
	cost_cents INTEGER, 
	cost_is VARCHAR(40) NOT NULL, 
	days_away INTEGER NOT NULL, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_bill PRIMARY KEY (id), 
	CONSTRAINT fk_bill_meter_id_meter FOREIGN KEY(meter_id) REFERENCES meter (id), 
	CONSTRAINT fk_bill_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id), 
	CONSTRAINT ck_bill_quantity_and_word CHECK ((quantity IS NULL) = (quantity_is <> 'known')), 
	CONSTRAINT ck_bill_cost_cents_and_word CHECK ((cost_cents IS NULL) = (cost_is <> 'known'))
);
CREATE TABLE booking_rule (
	firm_id INTEGER NOT NULL, 
	lead_days INTEGER NOT NULL, 
	call_by VARCHAR NOT NULL, 
	weekdays VARCHAR NOT NULL, 
	slots VARCHAR NOT NULL, 
	words VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_booking_rule PRIMARY KEY (id), 
	CONSTRAINT uq_booking_rule_firm_id UNIQUE (firm_id), 
	CONSTRAINT fk_booking_rule_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id)
);
CREATE TABLE chain_party (
	contract_id INTEGER NOT NULL, 
	firm_id INTEGER, 
	name VARCHAR NOT NULL, 
	role VARCHAR NOT NULL, 
	notice_on DATE, 
	last_work_on DATE, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_chain_party PRIMARY KEY (id), 
	CONSTRAINT fk_chain_party_contract_id_contract FOREIGN KEY(contract_id) REFERENCES contract (id), 
	CONSTRAINT fk_chain_party_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id), 
	CONSTRAINT fk_chain_party_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE change (
	action_id INTEGER NOT NULL, 
	"table" VARCHAR NOT NULL, 
	row_id INTEGER NOT NULL, 
	"before" JSON, 
	"after" JSON, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_change PRIMARY KEY (id), 
	CONSTRAINT fk_change_action_id_action FOREIGN KEY(action_id) REFERENCES action (id)
);
INSERT INTO "change" VALUES(1,'storey',1,NULL,'{"key": "lower", "name": "Lower level", "level_m": 0.0, "height_m": 2.44, "position": 0, "id": 1}',1);
INSERT INTO "change" VALUES(1,'measure',1,NULL,'{"key": "attic", "kind": "air_sealing", "title": "Seal the attic", "why": "", "inputs": "{}", "state": "idea", "position": 0, "in_line_up": 1, "cost_cents": 98765, "cost_is": "known", "cost_low_cents": null, "cost_high_cents": null, "cost_source": "", "cost_as_of": null, "replacement_cents": null, "replacement_is": "unknown", "needs_permit": 0, "own_work": 0, "placed_in_service_on": null, "owner_accepted_on": null, "bills_answer": "not asked", "bills_asked_on": null, "replaced_by_id": null, "notes": "", "id": 1}',2);
INSERT INTO "change" VALUES(1,'measure',2,NULL,'{"key": "range", "kind": "induction_range", "title": "Induction range", "why": "", "inputs": "{}", "state": "idea", "position": 0, "in_line_up": 1, "cost_cents": null, "cost_is": "unknown", "cost_low_cents": null, "cost_high_cents": null, "cost_source": "", "cost_as_of": null, "replacement_cents": null, "replacement_is": "unknown", "needs_permit": 0, "own_work": 0, "placed_in_service_on": null, "owner_accepted_on": null, "bills_answer": "not asked", "bills_asked_on": null, "replaced_by_id": null, "notes": "", "id": 2}',3);
INSERT INTO "change" VALUES(1,'firm',1,NULL,'{"key": "office", "name": "Inspections office", "legal_name": "", "kind": "contractor", "trade": "", "address": "", "phone": "", "email": "", "is_backup": 0, "notes": "", "id": 1}',4);
INSERT INTO "change" VALUES(1,'rule_file',1,NULL,'{"programme_key": "own-programme", "text": "key = \"own-programme\"\n", "id": 1}',5);
INSERT INTO "change" VALUES(1,'horizon_point',1,NULL,'{"azimuth_deg": 0.0, "altitude_deg": 2.0, "id": 1}',6);
INSERT INTO "change" VALUES(1,'horizon_point',2,NULL,'{"azimuth_deg": 45.0, "altitude_deg": 2.0, "id": 2}',7);
INSERT INTO "change" VALUES(1,'horizon_point',3,NULL,'{"azimuth_deg": 90.0, "altitude_deg": 2.0, "id": 3}',8);
INSERT INTO "change" VALUES(1,'horizon_point',4,NULL,'{"azimuth_deg": 135.0, "altitude_deg": 2.0, "id": 4}',9);
INSERT INTO "change" VALUES(1,'horizon_point',5,NULL,'{"azimuth_deg": 180.0, "altitude_deg": 2.0, "id": 5}',10);
INSERT INTO "change" VALUES(1,'horizon_point',6,NULL,'{"azimuth_deg": 225.0, "altitude_deg": 2.0, "id": 6}',11);
INSERT INTO "change" VALUES(1,'horizon_point',7,NULL,'{"azimuth_deg": 270.0, "altitude_deg": 2.0, "id": 7}',12);
INSERT INTO "change" VALUES(1,'horizon_point',8,NULL,'{"azimuth_deg": 315.0, "altitude_deg": 2.0, "id": 8}',13);
INSERT INTO "change" VALUES(1,'tree_stand',1,NULL,'{"name": "Oaks", "from_azimuth_deg": 135.0, "to_azimuth_deg": 225.0, "altitude_deg": 35.0, "share_in_leaf": 0.2, "share_bare": 0.6, "leaf_from_month": 4, "leaf_to_month": 10, "source": "looked at in July and January", "id": 1}',14);
INSERT INTO "change" VALUES(1,'day_off',1,NULL,'{"first_on": "2026-07-06", "last_on": "2026-07-17", "what": "at the lake", "id": 1}',15);
INSERT INTO "change" VALUES(1,'room',1,NULL,'{"storey_id": 1, "key": "den", "name": "Den", "kind": "other", "outline": "[[0, 0], [4.1, 0], [4.1, 3.46], [0, 3.46]]", "floor_area_m2": 14.2, "height_m": 2.44, "is_heated": 1, "is_cooled": 1, "heating_set_point_c": null, "heating_setback_c": null, "cooling_set_point_c": null, "internal_gain_w": null, "internal_gain_is": "unknown", "air_changes_per_hour": null, "air_changes_is": "unknown", "notes": "", "id": 1}',16);
INSERT INTO "change" VALUES(1,'later_figures',1,NULL,'{"measure_id": 1, "life_years": null, "life_is": "unknown", "renewal_cents": null, "renewal_is": "unknown", "upkeep_cents": 4500, "upkeep_is": "known", "ended_upkeep_cents": null, "ended_upkeep_is": "unknown", "instead_due_on": null, "instead_life_years": null, "instead_life_is": "unknown", "source": "own sum", "as_of": "2026-04-18", "id": 1}',17);
INSERT INTO "change" VALUES(1,'work_entry',1,NULL,'{"measure_id": 1, "worked_on": "2026-04-18", "written_at": "2026-04-18 21:05:00.000000", "who": "", "firm_id": null, "hours": 6.5, "hours_is": "known", "notes": "", "change_from_plan": "", "still_open": "", "is_draft": 0, "is_complete": 0, "id": 1}',18);
INSERT INTO "change" VALUES(1,'programme_choice',1,NULL,'{"measure_id": 1, "is_whole_house": 1, "programme_key": "own-programme", "chosen_on": null, "expected_cents": null, "expected_is": "unknown", "facts": "{}", "is_dropped": 0, "notes": "", "id": 1}',19);
INSERT INTO "change" VALUES(1,'surface',1,NULL,'{"room_id": 1, "key": "den-north", "name": "North wall", "kind": "wall", "boundary": "outdoors", "other_room_id": null, "construction_id": null, "area_m2": 9.9, "azimuth_deg": null, "tilt_deg": 90.0, "outline_edge": null, "exposed_perimeter_m": null, "depth_below_ground_m": null, "solar_absorptance": null, "emittance": null, "passage_area_m2": null, "notes": "", "id": 1}',20);
INSERT INTO "change" VALUES(1,'choice_measure',1,NULL,'{"choice_id": 1, "measure_id": 2, "id": 1}',21);
INSERT INTO "change" VALUES(1,'opening',1,NULL,'{"surface_id": 1, "key": "den-window", "name": "Window", "kind": "window", "operation": "fixed", "hinge": "none", "width_m": 1.2, "height_m": 1.1, "sill_m": 0.9, "left_offset_m": null, "count": 1, "u_value_w_m2k": null, "u_value_is": "unknown", "shgc": 0.55, "shgc_is": "known", "panes": null, "coating": "low-e", "shgc_by_angle": "[[0.0, 0.55], [60.0, 0.44]]", "fill_gas": "", "frame": "other", "frame_fraction": null, "overhang_depth_m": 0.0, "overhang_above_head_m": 0.0, "overhang_left_m": 0.0, "overhang_right_m": 0.0, "left_fin_depth_m": 0.0, "left_fin_gap_m": 0.0, "right_fin_depth_m": 0.0, "right_fin_gap_m": 0.0, "reveal_m": 0.0, "shade": "shutter", "shade_solar_factor": 0.15, "shade_rule": "drawn by the clock", "shade_from_hour": 9, "shade_to_hour": 17, "shade_from_month": 5, "shade_to_month": 9, "shade_sun_above_w_m2": 150.0, "shade_outdoor_above_c": 18.0, "shade_added_resistance_m2k_w": 0.2, "notes": "", "id": 1}',22);
INSERT INTO "change" VALUES(1,'thermal_bridge',1,NULL,'{"surface_id": 1, "name": "Eave", "length_m": 4.1, "psi_w_mk": 0.08, "source": "a sum", "id": 1}',23);
INSERT INTO "change" VALUES(1,'measure_place',1,NULL,'{"measure_id": 1, "room_id": 1, "surface_id": null, "opening_id": null, "id": 1}',24);
INSERT INTO "change" VALUES(2,'measure',2,'{"key": "range", "kind": "induction_range", "title": "Induction range", "why": "", "inputs": "{}", "state": "idea", "position": 0, "in_line_up": 1, "cost_cents": null, "cost_is": "unknown", "cost_low_cents": null, "cost_high_cents": null, "cost_source": "", "cost_as_of": null, "replacement_cents": null, "replacement_is": "unknown", "needs_permit": 0, "own_work": 0, "placed_in_service_on": null, "owner_accepted_on": null, "bills_answer": "not asked", "bills_asked_on": null, "replaced_by_id": null, "notes": "", "id": 2}','{"key": "range", "kind": "induction_range", "title": "Induction range", "why": "no more gas in the kitchen", "inputs": "{}", "state": "idea", "position": 0, "in_line_up": 1, "cost_cents": null, "cost_is": "unknown", "cost_low_cents": null, "cost_high_cents": null, "cost_source": "", "cost_as_of": null, "replacement_cents": null, "replacement_is": "unknown", "needs_permit": 0, "own_work": 0, "placed_in_service_on": null, "owner_accepted_on": null, "bills_answer": "not asked", "bills_asked_on": null, "replaced_by_id": null, "notes": "", "id": 2}',25);
INSERT INTO "change" VALUES(3,'measure',2,'{"key": "range", "kind": "induction_range", "title": "Induction range", "why": "no more gas in the kitchen", "inputs": "{}", "state": "idea", "position": 0, "in_line_up": 1, "cost_cents": null, "cost_is": "unknown", "cost_low_cents": null, "cost_high_cents": null, "cost_source": "", "cost_as_of": null, "replacement_cents": null, "replacement_is": "unknown", "needs_permit": 0, "own_work": 0, "placed_in_service_on": null, "owner_accepted_on": null, "bills_answer": "not asked", "bills_asked_on": null, "replaced_by_id": null, "notes": "", "id": 2}','{"key": "range", "kind": "induction_range", "title": "Induction range", "why": "", "inputs": "{}", "state": "idea", "position": 0, "in_line_up": 1, "cost_cents": null, "cost_is": "unknown", "cost_low_cents": null, "cost_high_cents": null, "cost_source": "", "cost_as_of": null, "replacement_cents": null, "replacement_is": "unknown", "needs_permit": 0, "own_work": 0, "placed_in_service_on": null, "owner_accepted_on": null, "bills_answer": "not asked", "bills_asked_on": null, "replaced_by_id": null, "notes": "", "id": 2}',26);
CREATE TABLE change_order (
	contract_id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	"on" DATE NOT NULL, 
	reason VARCHAR NOT NULL, 
	change_cents INTEGER NOT NULL, 
	change_days INTEGER NOT NULL, 
	signed_by_owner_on DATE, 
	signed_by_firm_on DATE, 
	measure_id INTEGER, 
	changes_models VARCHAR NOT NULL, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_change_order PRIMARY KEY (id), 
	CONSTRAINT fk_change_order_contract_id_contract FOREIGN KEY(contract_id) REFERENCES contract (id), 
	CONSTRAINT fk_change_order_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_change_order_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE choice_measure (
	choice_id INTEGER NOT NULL, 
	measure_id INTEGER NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_choice_measure PRIMARY KEY (id), 
	CONSTRAINT fk_choice_measure_choice_id_programme_choice FOREIGN KEY(choice_id) REFERENCES programme_choice (id), 
	CONSTRAINT fk_choice_measure_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id)
);
INSERT INTO "choice_measure" VALUES(1,2,1);
CREATE TABLE circuit (
	panel_id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	spaces VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	breaker_a DOUBLE NOT NULL, 
	poles INTEGER NOT NULL, 
	wire VARCHAR NOT NULL, 
	is_spare BOOLEAN NOT NULL, 
	room_id INTEGER, 
	equipment_id INTEGER, 
	measure_id INTEGER, 
	removed_by_measure_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_circuit PRIMARY KEY (id), 
	CONSTRAINT fk_circuit_panel_id_panel FOREIGN KEY(panel_id) REFERENCES panel (id), 
	CONSTRAINT fk_circuit_room_id_room FOREIGN KEY(room_id) REFERENCES room (id), 
	CONSTRAINT fk_circuit_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id), 
	CONSTRAINT fk_circuit_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_circuit_removed_by_measure_id_measure FOREIGN KEY(removed_by_measure_id) REFERENCES measure (id)
);
CREATE TABLE claim (
	choice_id INTEGER NOT NULL, 
	state VARCHAR(40) NOT NULL, 
	number VARCHAR NOT NULL, 
	claim_by DATE, 
	sent_on DATE, 
	answered_on DATE, 
	appeal_by DATE, 
	paid_on DATE, 
	asked_cents INTEGER, 
	asked_is VARCHAR(40) NOT NULL, 
	paid_cents INTEGER, 
	paid_is VARCHAR(40) NOT NULL, 
	answer VARCHAR NOT NULL, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_claim PRIMARY KEY (id), 
	CONSTRAINT fk_claim_choice_id_programme_choice FOREIGN KEY(choice_id) REFERENCES programme_choice (id), 
	CONSTRAINT fk_claim_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id), 
	CONSTRAINT ck_claim_asked_cents_and_word CHECK ((asked_cents IS NULL) = (asked_is <> 'known')), 
	CONSTRAINT ck_claim_paid_cents_and_word CHECK ((paid_cents IS NULL) = (paid_is <> 'known'))
);
CREATE TABLE commissioning_test (
	entry_id INTEGER NOT NULL, 
	equipment_id INTEGER, 
	kind VARCHAR NOT NULL, 
	quantity VARCHAR NOT NULL, 
	value DOUBLE, 
	value_is VARCHAR(40) NOT NULL, 
	unit VARCHAR NOT NULL, 
	end_value DOUBLE, 
	low_limit DOUBLE, 
	high_limit DOUBLE, 
	minutes DOUBLE, 
	minutes_needed DOUBLE, 
	started_at DATETIME, 
	ended_at DATETIME, 
	gauge VARCHAR NOT NULL, 
	medium VARCHAR NOT NULL, 
	ambient_change_c DOUBLE, 
	witness VARCHAR NOT NULL, 
	passed BOOLEAN, 
	limit_source VARCHAR NOT NULL, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_commissioning_test PRIMARY KEY (id), 
	CONSTRAINT fk_commissioning_test_entry_id_work_entry FOREIGN KEY(entry_id) REFERENCES work_entry (id), 
	CONSTRAINT fk_commissioning_test_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id), 
	CONSTRAINT fk_commissioning_test_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id), 
	CONSTRAINT ck_commissioning_test_value_and_word CHECK ((value IS NULL) = (value_is <> 'known'))
);
CREATE TABLE construction (
	"key" VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	source VARCHAR NOT NULL, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_construction PRIMARY KEY (id), 
	CONSTRAINT uq_construction_key UNIQUE ("key")
);
CREATE TABLE construction_layer (
	construction_id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	material_key VARCHAR NOT NULL, 
	thickness_m DOUBLE, 
	thickness_is VARCHAR(40) NOT NULL, 
	conductivity_w_mk DOUBLE, 
	density_kg_m3 DOUBLE, 
	specific_heat_j_kgk DOUBLE, 
	resistance_m2k_w DOUBLE, 
	vapor_resistance_factor DOUBLE, 
	framing_fraction DOUBLE NOT NULL, 
	framing_material_key VARCHAR NOT NULL, 
	framing_conductivity_w_mk DOUBLE, 
	framing_density_kg_m3 DOUBLE, 
	framing_specific_heat_j_kgk DOUBLE, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_construction_layer PRIMARY KEY (id), 
	CONSTRAINT fk_construction_layer_construction_id_construction FOREIGN KEY(construction_id) REFERENCES construction (id), 
	CONSTRAINT ck_construction_layer_thickness_m_and_word CHECK ((thickness_m IS NULL) = (thickness_is <> 'known'))
);
CREATE TABLE contract (
	"key" VARCHAR NOT NULL, 
	title VARCHAR NOT NULL, 
	firm_id INTEGER NOT NULL, 
	quote_id INTEGER, 
	state VARCHAR(40) NOT NULL, 
	number VARCHAR NOT NULL, 
	signed_on DATE, 
	start_on DATE, 
	finish_on DATE, 
	price_cents INTEGER NOT NULL, 
	special_order_cents INTEGER, 
	special_order_is VARCHAR(40) NOT NULL, 
	retainage_percent DOUBLE NOT NULL, 
	paper_id INTEGER, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_contract PRIMARY KEY (id), 
	CONSTRAINT uq_contract_key UNIQUE ("key"), 
	CONSTRAINT fk_contract_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id), 
	CONSTRAINT fk_contract_quote_id_quote FOREIGN KEY(quote_id) REFERENCES quote (id), 
	CONSTRAINT fk_contract_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id), 
	CONSTRAINT ck_contract_special_order_cents_and_word CHECK ((special_order_cents IS NULL) = (special_order_is <> 'known'))
);
CREATE TABLE contract_share (
	contract_id INTEGER NOT NULL, 
	measure_id INTEGER NOT NULL, 
	share_cents INTEGER NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_contract_share PRIMARY KEY (id), 
	CONSTRAINT fk_contract_share_contract_id_contract FOREIGN KEY(contract_id) REFERENCES contract (id), 
	CONSTRAINT fk_contract_share_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id)
);
CREATE TABLE correction (
	inspection_id INTEGER NOT NULL, 
	text VARCHAR NOT NULL, 
	code_reference VARCHAR NOT NULL, 
	room_id INTEGER, 
	closed_on DATE, 
	how_closed VARCHAR NOT NULL, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_correction PRIMARY KEY (id), 
	CONSTRAINT fk_correction_inspection_id_inspection FOREIGN KEY(inspection_id) REFERENCES inspection (id), 
	CONSTRAINT fk_correction_room_id_room FOREIGN KEY(room_id) REFERENCES room (id), 
	CONSTRAINT fk_correction_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE day_off (
	first_on DATE NOT NULL, 
	last_on DATE NOT NULL, 
	what VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_day_off PRIMARY KEY (id)
);
INSERT INTO "day_off" VALUES('2026-07-06','2026-07-17','at the lake',1);
CREATE TABLE design_load (
	name VARCHAR NOT NULL, 
	fingerprint VARCHAR NOT NULL, 
	heating_w DOUBLE NOT NULL, 
	cooling_w DOUBLE, 
	at_heating_c DOUBLE NOT NULL, 
	at_cooling_c DOUBLE, 
	method VARCHAR NOT NULL, 
	made_at DATETIME NOT NULL, 
	rooms JSON NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_design_load PRIMARY KEY (id)
);
CREATE TABLE equipment (
	"key" VARCHAR NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	name VARCHAR NOT NULL, 
	status VARCHAR(40) NOT NULL, 
	fuel VARCHAR(40), 
	make VARCHAR NOT NULL, 
	model VARCHAR NOT NULL, 
	serial VARCHAR NOT NULL, 
	second_model VARCHAR NOT NULL, 
	second_serial VARCHAR NOT NULL, 
	room_id INTEGER, 
	measure_id INTEGER, 
	serves JSON NOT NULL, 
	installed_on DATE, 
	tested_on DATE, 
	removed_on DATE, 
	installed_by_firm_id INTEGER, 
	heating_capacity_w DOUBLE, 
	heating_capacity_is VARCHAR(40) NOT NULL, 
	cooling_capacity_w DOUBLE, 
	cooling_capacity_is VARCHAR(40) NOT NULL, 
	electric_input_w DOUBLE, 
	volume_m3 DOUBLE, 
	refrigerant VARCHAR NOT NULL, 
	refrigerant_charge_kg DOUBLE, 
	details JSON NOT NULL, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_equipment PRIMARY KEY (id), 
	CONSTRAINT uq_equipment_key UNIQUE ("key"), 
	CONSTRAINT fk_equipment_room_id_room FOREIGN KEY(room_id) REFERENCES room (id), 
	CONSTRAINT fk_equipment_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_equipment_installed_by_firm_id_firm FOREIGN KEY(installed_by_firm_id) REFERENCES firm (id), 
	CONSTRAINT ck_equipment_heating_capacity_w_and_word CHECK ((heating_capacity_w IS NULL) = (heating_capacity_is <> 'known')), 
	CONSTRAINT ck_equipment_cooling_capacity_w_and_word CHECK ((cooling_capacity_w IS NULL) = (cooling_capacity_is <> 'known'))
);
CREATE TABLE equipment_rating (
	equipment_id INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	value DOUBLE NOT NULL, 
	source_temp_c DOUBLE, 
	load_temp_c DOUBLE, 
	capacity_w DOUBLE, 
	power_w DOUBLE, 
	source VARCHAR NOT NULL, 
	as_of DATE, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_equipment_rating PRIMARY KEY (id), 
	CONSTRAINT fk_equipment_rating_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id)
);
CREATE TABLE fact_note (
	"table" VARCHAR NOT NULL, 
	row_id INTEGER NOT NULL, 
	"column" VARCHAR NOT NULL, 
	certainty VARCHAR(40) NOT NULL, 
	source VARCHAR NOT NULL, 
	as_of DATE, 
	low DOUBLE, 
	high DOUBLE, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_fact_note PRIMARY KEY (id), 
	CONSTRAINT uq_fact_note_place UNIQUE ("table", row_id, "column"), 
	CONSTRAINT fk_fact_note_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE firm (
	"key" VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	legal_name VARCHAR NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	trade VARCHAR NOT NULL, 
	address VARCHAR NOT NULL, 
	phone VARCHAR NOT NULL, 
	email VARCHAR NOT NULL, 
	is_backup BOOLEAN NOT NULL, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_firm PRIMARY KEY (id), 
	CONSTRAINT uq_firm_key UNIQUE ("key")
);
INSERT INTO "firm" VALUES('office','Inspections office','','contractor','','','','',0,'',1);
CREATE TABLE hazard_finding (
	kind VARCHAR NOT NULL, 
	"where" VARCHAR NOT NULL, 
	room_id INTEGER, 
	surface_id INTEGER, 
	measure_id INTEGER, 
	state VARCHAR(40) NOT NULL, 
	seen_on DATE, 
	settled_on DATE, 
	settled_by VARCHAR NOT NULL, 
	stops_work BOOLEAN NOT NULL, 
	cost_cents INTEGER, 
	cost_is VARCHAR(40) NOT NULL, 
	paper_id INTEGER, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_hazard_finding PRIMARY KEY (id), 
	CONSTRAINT fk_hazard_finding_room_id_room FOREIGN KEY(room_id) REFERENCES room (id), 
	CONSTRAINT fk_hazard_finding_surface_id_surface FOREIGN KEY(surface_id) REFERENCES surface (id), 
	CONSTRAINT fk_hazard_finding_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_hazard_finding_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id), 
	CONSTRAINT ck_hazard_finding_cost_cents_and_word CHECK ((cost_cents IS NULL) = (cost_is <> 'known'))
);
CREATE TABLE hidden_thing (
	kind VARCHAR(40) NOT NULL, 
	name VARCHAR NOT NULL, 
	surface_id INTEGER, 
	room_id INTEGER, 
	entry_id INTEGER, 
	equipment_id INTEGER, 
	path JSON, 
	depth_m DOUBLE, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_hidden_thing PRIMARY KEY (id), 
	CONSTRAINT fk_hidden_thing_surface_id_surface FOREIGN KEY(surface_id) REFERENCES surface (id), 
	CONSTRAINT fk_hidden_thing_room_id_room FOREIGN KEY(room_id) REFERENCES room (id), 
	CONSTRAINT fk_hidden_thing_entry_id_work_entry FOREIGN KEY(entry_id) REFERENCES work_entry (id), 
	CONSTRAINT fk_hidden_thing_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id)
);
CREATE TABLE hold (
	"key" VARCHAR NOT NULL, 
	action VARCHAR(40) NOT NULL, 
	what VARCHAR NOT NULL, 
	subject VARCHAR(40) NOT NULL, 
	subject_id INTEGER NOT NULL, 
	measure_id INTEGER, 
	because VARCHAR NOT NULL, 
	source VARCHAR NOT NULL, 
	template_key VARCHAR NOT NULL, 
	made_on DATE, 
	done_on DATE, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_hold PRIMARY KEY (id), 
	CONSTRAINT uq_hold_key UNIQUE ("key"), 
	CONSTRAINT fk_hold_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id)
);
CREATE TABLE hold_need (
	hold_id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	text VARCHAR NOT NULL, 
	paper_kind VARCHAR NOT NULL, 
	count INTEGER NOT NULL, 
	inspection_id INTEGER, 
	permit_id INTEGER, 
	measure_id INTEGER, 
	state VARCHAR NOT NULL, 
	equipment_id INTEGER, 
	contract_id INTEGER, 
	stage_id INTEGER, 
	reservation_id INTEGER, 
	test_kind VARCHAR NOT NULL, 
	not_before DATE, 
	with_whom VARCHAR NOT NULL, 
	answered_on DATE, 
	answered_by_test_id INTEGER, 
	not_applicable_reason VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_hold_need PRIMARY KEY (id), 
	CONSTRAINT fk_hold_need_hold_id_hold FOREIGN KEY(hold_id) REFERENCES hold (id), 
	CONSTRAINT fk_hold_need_inspection_id_inspection FOREIGN KEY(inspection_id) REFERENCES inspection (id), 
	CONSTRAINT fk_hold_need_permit_id_permit FOREIGN KEY(permit_id) REFERENCES permit (id), 
	CONSTRAINT fk_hold_need_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_hold_need_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id), 
	CONSTRAINT fk_hold_need_contract_id_contract FOREIGN KEY(contract_id) REFERENCES contract (id), 
	CONSTRAINT fk_hold_need_stage_id_staged_payment FOREIGN KEY(stage_id) REFERENCES staged_payment (id), 
	CONSTRAINT fk_hold_need_reservation_id_reservation FOREIGN KEY(reservation_id) REFERENCES reservation (id), 
	CONSTRAINT fk_hold_need_answered_by_test_id_commissioning_test FOREIGN KEY(answered_by_test_id) REFERENCES commissioning_test (id)
);
CREATE TABLE hold_override (
	hold_id INTEGER NOT NULL, 
	reason VARCHAR NOT NULL, 
	"by" VARCHAR NOT NULL, 
	at DATETIME NOT NULL, 
	missing VARCHAR NOT NULL, 
	withdrawn_at DATETIME, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_hold_override PRIMARY KEY (id), 
	CONSTRAINT fk_hold_override_hold_id_hold FOREIGN KEY(hold_id) REFERENCES hold (id)
);
CREATE TABLE horizon_point (
	azimuth_deg DOUBLE NOT NULL, 
	altitude_deg DOUBLE NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_horizon_point PRIMARY KEY (id), 
	CONSTRAINT uq_horizon_point_azimuth_deg UNIQUE (azimuth_deg)
);
INSERT INTO "horizon_point" VALUES(0.0,2.0,1);
INSERT INTO "horizon_point" VALUES(45.0,2.0,2);
INSERT INTO "horizon_point" VALUES(90.0,2.0,3);
INSERT INTO "horizon_point" VALUES(135.0,2.0,4);
INSERT INTO "horizon_point" VALUES(180.0,2.0,5);
INSERT INTO "horizon_point" VALUES(225.0,2.0,6);
INSERT INTO "horizon_point" VALUES(270.0,2.0,7);
INSERT INTO "horizon_point" VALUES(315.0,2.0,8);
CREATE TABLE household (
	hot_water_l_per_day DOUBLE, 
	hot_water_is VARCHAR(40) NOT NULL, 
	hot_water_at_c DOUBLE, 
	hot_water_at_is VARCHAR(40) NOT NULL, 
	plug_kwh_per_year DOUBLE, 
	plug_is VARCHAR(40) NOT NULL, 
	light_kwh_per_year DOUBLE, 
	light_is VARCHAR(40) NOT NULL, 
	cooking_useful_kwh_per_year DOUBLE, 
	cooking_is VARCHAR(40) NOT NULL, 
	dryer_loads_per_year DOUBLE, 
	dryer_loads_is VARCHAR(40) NOT NULL, 
	car_km_per_year DOUBLE, 
	car_is VARCHAR(40) NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_household PRIMARY KEY (id), 
	CONSTRAINT ck_household_hot_water_l_per_day_and_word CHECK ((hot_water_l_per_day IS NULL) = (hot_water_is <> 'known')), 
	CONSTRAINT ck_household_hot_water_at_c_and_word CHECK ((hot_water_at_c IS NULL) = (hot_water_at_is <> 'known')), 
	CONSTRAINT ck_household_plug_kwh_per_year_and_word CHECK ((plug_kwh_per_year IS NULL) = (plug_is <> 'known')), 
	CONSTRAINT ck_household_light_kwh_per_year_and_word CHECK ((light_kwh_per_year IS NULL) = (light_is <> 'known')), 
	CONSTRAINT ck_household_cooking_useful_kwh_per_year_and_word CHECK ((cooking_useful_kwh_per_year IS NULL) = (cooking_is <> 'known')), 
	CONSTRAINT ck_household_dryer_loads_per_year_and_word CHECK ((dryer_loads_per_year IS NULL) = (dryer_loads_is <> 'known')), 
	CONSTRAINT ck_household_car_km_per_year_and_word CHECK ((car_km_per_year IS NULL) = (car_is <> 'known'))
);
CREATE TABLE household_use (
	hot_water_l_per_day DOUBLE, 
	hot_water_is VARCHAR(40) NOT NULL, 
	hot_water_at_c DOUBLE NOT NULL, 
	plug_kwh_per_year DOUBLE, 
	plug_is VARCHAR(40) NOT NULL, 
	light_kwh_per_year DOUBLE, 
	light_is VARCHAR(40) NOT NULL, 
	cooking_useful_kwh_per_year DOUBLE, 
	cooking_is VARCHAR(40) NOT NULL, 
	dryer_loads_per_year DOUBLE, 
	dryer_is VARCHAR(40) NOT NULL, 
	car_km_per_year DOUBLE, 
	car_is VARCHAR(40) NOT NULL, 
	source VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_household_use PRIMARY KEY (id), 
	CONSTRAINT ck_household_use_hot_water_l_per_day_and_word CHECK ((hot_water_l_per_day IS NULL) = (hot_water_is <> 'known')), 
	CONSTRAINT ck_household_use_plug_kwh_per_year_and_word CHECK ((plug_kwh_per_year IS NULL) = (plug_is <> 'known')), 
	CONSTRAINT ck_household_use_light_kwh_per_year_and_word CHECK ((light_kwh_per_year IS NULL) = (light_is <> 'known')), 
	CONSTRAINT ck_household_use_cooking_useful_kwh_per_year_and_word CHECK ((cooking_useful_kwh_per_year IS NULL) = (cooking_is <> 'known')), 
	CONSTRAINT ck_household_use_dryer_loads_per_year_and_word CHECK ((dryer_loads_per_year IS NULL) = (dryer_is <> 'known')), 
	CONSTRAINT ck_household_use_car_km_per_year_and_word CHECK ((car_km_per_year IS NULL) = (car_is <> 'known'))
);
CREATE TABLE inspection (
	permit_id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	kind VARCHAR NOT NULL, 
	title VARCHAR NOT NULL, 
	result VARCHAR(40) NOT NULL, 
	booked_for DATE, 
	booked_window VARCHAR NOT NULL, 
	booking_number VARCHAR NOT NULL, 
	visited_at DATETIME, 
	visited_on DATE, 
	inspector VARCHAR NOT NULL, 
	is_final BOOLEAN NOT NULL, 
	again_of_id INTEGER, 
	paper_id INTEGER, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_inspection PRIMARY KEY (id), 
	CONSTRAINT fk_inspection_permit_id_permit FOREIGN KEY(permit_id) REFERENCES permit (id), 
	CONSTRAINT fk_inspection_again_of_id_inspection FOREIGN KEY(again_of_id) REFERENCES inspection (id), 
	CONSTRAINT fk_inspection_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE installed_item (
	entry_id INTEGER NOT NULL, 
	equipment_id INTEGER, 
	product VARCHAR NOT NULL, 
	make VARCHAR NOT NULL, 
	model VARCHAR NOT NULL, 
	serial VARCHAR NOT NULL, 
	quantity DOUBLE, 
	unit VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_installed_item PRIMARY KEY (id), 
	CONSTRAINT fk_installed_item_entry_id_work_entry FOREIGN KEY(entry_id) REFERENCES work_entry (id), 
	CONSTRAINT fk_installed_item_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id)
);
CREATE TABLE insurance (
	firm_id INTEGER NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	carrier VARCHAR NOT NULL, 
	number VARCHAR NOT NULL, 
	limit_cents INTEGER, 
	limit_is VARCHAR(40) NOT NULL, 
	starts_on DATE, 
	ends_on DATE, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_insurance PRIMARY KEY (id), 
	CONSTRAINT fk_insurance_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id), 
	CONSTRAINT fk_insurance_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id), 
	CONSTRAINT ck_insurance_limit_cents_and_word CHECK ((limit_cents IS NULL) = (limit_is <> 'known'))
);
CREATE TABLE invoice (
	firm_id INTEGER NOT NULL, 
	contract_id INTEGER, 
	stage_id INTEGER, 
	measure_id INTEGER, 
	number VARCHAR NOT NULL, 
	"on" DATE NOT NULL, 
	due_on DATE, 
	amount_cents INTEGER NOT NULL, 
	equipment_cents INTEGER, 
	equipment_is VARCHAR(40) NOT NULL, 
	labor_cents INTEGER, 
	labor_is VARCHAR(40) NOT NULL, 
	tax_cents INTEGER, 
	tax_is VARCHAR(40) NOT NULL, 
	retained_cents INTEGER NOT NULL, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_invoice PRIMARY KEY (id), 
	CONSTRAINT fk_invoice_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id), 
	CONSTRAINT fk_invoice_contract_id_contract FOREIGN KEY(contract_id) REFERENCES contract (id), 
	CONSTRAINT fk_invoice_stage_id_staged_payment FOREIGN KEY(stage_id) REFERENCES staged_payment (id), 
	CONSTRAINT fk_invoice_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_invoice_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id), 
	CONSTRAINT ck_invoice_equipment_cents_and_word CHECK ((equipment_cents IS NULL) = (equipment_is <> 'known')), 
	CONSTRAINT ck_invoice_labor_cents_and_word CHECK ((labor_cents IS NULL) = (labor_is <> 'known')), 
	CONSTRAINT ck_invoice_tax_cents_and_word CHECK ((tax_cents IS NULL) = (tax_is <> 'known'))
);
CREATE TABLE later_figures (
	measure_id INTEGER NOT NULL, 
	life_years INTEGER, 
	life_is VARCHAR(40) NOT NULL, 
	renewal_cents INTEGER, 
	renewal_is VARCHAR(40) NOT NULL, 
	upkeep_cents INTEGER, 
	upkeep_is VARCHAR(40) NOT NULL, 
	ended_upkeep_cents INTEGER, 
	ended_upkeep_is VARCHAR(40) NOT NULL, 
	instead_due_on DATE, 
	instead_life_years INTEGER, 
	instead_life_is VARCHAR(40) NOT NULL, 
	source VARCHAR NOT NULL, 
	as_of DATE, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_later_figures PRIMARY KEY (id), 
	CONSTRAINT uq_later_figures_measure_id UNIQUE (measure_id), 
	CONSTRAINT fk_later_figures_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT ck_later_figures_life_years_and_word CHECK ((life_years IS NULL) = (life_is <> 'known')), 
	CONSTRAINT ck_later_figures_renewal_cents_and_word CHECK ((renewal_cents IS NULL) = (renewal_is <> 'known')), 
	CONSTRAINT ck_later_figures_upkeep_cents_and_word CHECK ((upkeep_cents IS NULL) = (upkeep_is <> 'known')), 
	CONSTRAINT ck_later_figures_ended_upkeep_cents_and_word CHECK ((ended_upkeep_cents IS NULL) = (ended_upkeep_is <> 'known')), 
	CONSTRAINT ck_later_figures_instead_life_years_and_word CHECK ((instead_life_years IS NULL) = (instead_life_is <> 'known'))
);
INSERT INTO "later_figures" VALUES(1,NULL,'unknown',NULL,'unknown',4500,'known',NULL,'unknown',NULL,NULL,'unknown','own sum','2026-04-18',1);
CREATE TABLE leakage_test (
	tested_on DATE NOT NULL, 
	flow_50pa_m3_s DOUBLE NOT NULL, 
	flow_exponent DOUBLE NOT NULL, 
	volume_m3 DOUBLE, 
	house_version VARCHAR NOT NULL, 
	firm_id INTEGER, 
	tested_by VARCHAR NOT NULL, 
	after_measure_id INTEGER, 
	paper_id INTEGER, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_leakage_test PRIMARY KEY (id), 
	CONSTRAINT fk_leakage_test_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id), 
	CONSTRAINT fk_leakage_test_after_measure_id_measure FOREIGN KEY(after_measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_leakage_test_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE license (
	firm_id INTEGER NOT NULL, 
	trade VARCHAR NOT NULL, 
	number VARCHAR NOT NULL, 
	state VARCHAR NOT NULL, 
	starts_on DATE, 
	ends_on DATE, 
	checked_on DATE, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_license PRIMARY KEY (id), 
	CONSTRAINT fk_license_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id), 
	CONSTRAINT fk_license_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE lien_waiver (
	contract_id INTEGER NOT NULL, 
	party_id INTEGER, 
	stage_id INTEGER, 
	payment_id INTEGER, 
	kind VARCHAR(40) NOT NULL, 
	through_on DATE, 
	amount_cents INTEGER, 
	amount_is VARCHAR(40) NOT NULL, 
	exceptions VARCHAR NOT NULL, 
	signed_on DATE, 
	received_on DATE, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_lien_waiver PRIMARY KEY (id), 
	CONSTRAINT fk_lien_waiver_contract_id_contract FOREIGN KEY(contract_id) REFERENCES contract (id), 
	CONSTRAINT fk_lien_waiver_party_id_chain_party FOREIGN KEY(party_id) REFERENCES chain_party (id), 
	CONSTRAINT fk_lien_waiver_stage_id_staged_payment FOREIGN KEY(stage_id) REFERENCES staged_payment (id), 
	CONSTRAINT fk_lien_waiver_payment_id_payment FOREIGN KEY(payment_id) REFERENCES payment (id), 
	CONSTRAINT fk_lien_waiver_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id), 
	CONSTRAINT ck_lien_waiver_amount_cents_and_word CHECK ((amount_cents IS NULL) = (amount_is <> 'known'))
);
CREATE TABLE loan (
	"key" VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	lender_id INTEGER, 
	principal_cents INTEGER NOT NULL, 
	rate_percent DOUBLE, 
	rate_is VARCHAR(40) NOT NULL, 
	fees_cents INTEGER, 
	fees_is VARCHAR(40) NOT NULL, 
	months INTEGER, 
	first_payment_on DATE, 
	approved_on DATE, 
	draw_by DATE, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_loan PRIMARY KEY (id), 
	CONSTRAINT uq_loan_key UNIQUE ("key"), 
	CONSTRAINT fk_loan_lender_id_firm FOREIGN KEY(lender_id) REFERENCES firm (id), 
	CONSTRAINT fk_loan_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id), 
	CONSTRAINT ck_loan_rate_percent_and_word CHECK ((rate_percent IS NULL) = (rate_is <> 'known')), 
	CONSTRAINT ck_loan_fees_cents_and_word CHECK ((fees_cents IS NULL) = (fees_is <> 'known'))
);
CREATE TABLE loan_draw (
	loan_id INTEGER NOT NULL, 
	asked_on DATE, 
	paid_on DATE, 
	amount_cents INTEGER NOT NULL, 
	for_what VARCHAR NOT NULL, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_loan_draw PRIMARY KEY (id), 
	CONSTRAINT fk_loan_draw_loan_id_loan FOREIGN KEY(loan_id) REFERENCES loan (id), 
	CONSTRAINT fk_loan_draw_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE machine_setting (
	entry_id INTEGER NOT NULL, 
	equipment_id INTEGER, 
	name VARCHAR NOT NULL, 
	value VARCHAR NOT NULL, 
	unit VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_machine_setting PRIMARY KEY (id), 
	CONSTRAINT fk_machine_setting_entry_id_work_entry FOREIGN KEY(entry_id) REFERENCES work_entry (id), 
	CONSTRAINT fk_machine_setting_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id)
);
CREATE TABLE measure (
	"key" VARCHAR NOT NULL, 
	kind VARCHAR NOT NULL, 
	title VARCHAR NOT NULL, 
	why VARCHAR NOT NULL, 
	inputs JSON NOT NULL, 
	state VARCHAR(40) NOT NULL, 
	position INTEGER NOT NULL, 
	in_line_up BOOLEAN NOT NULL, 
	cost_cents INTEGER, 
	cost_is VARCHAR(40) NOT NULL, 
	cost_low_cents INTEGER, 
	cost_high_cents INTEGER, 
	cost_source VARCHAR NOT NULL, 
	cost_as_of DATE, 
	replacement_cents INTEGER, 
	replacement_is VARCHAR(40) NOT NULL, 
	needs_permit BOOLEAN NOT NULL, 
	own_work BOOLEAN NOT NULL, 
	placed_in_service_on DATE, 
	owner_accepted_on DATE, 
	bills_answer VARCHAR(40) NOT NULL, 
	bills_asked_on DATE, 
	replaced_by_id INTEGER, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_measure PRIMARY KEY (id), 
	CONSTRAINT uq_measure_key UNIQUE ("key"), 
	CONSTRAINT fk_measure_replaced_by_id_measure FOREIGN KEY(replaced_by_id) REFERENCES measure (id), 
	CONSTRAINT ck_measure_cost_cents_and_word CHECK ((cost_cents IS NULL) = (cost_is <> 'known')), 
	CONSTRAINT ck_measure_replacement_cents_and_word CHECK ((replacement_cents IS NULL) = (replacement_is <> 'known'))
);
INSERT INTO "measure" VALUES('attic','air_sealing','Seal the attic','','{}','idea',0,1,98765,'known',NULL,NULL,'',NULL,NULL,'unknown',0,0,NULL,NULL,'not asked',NULL,NULL,'',1);
INSERT INTO "measure" VALUES('range','induction_range','Induction range','','{}','idea',0,1,NULL,'unknown',NULL,NULL,'',NULL,NULL,'unknown',0,0,NULL,NULL,'not asked',NULL,NULL,'',2);
CREATE TABLE measure_place (
	measure_id INTEGER NOT NULL, 
	room_id INTEGER, 
	surface_id INTEGER, 
	opening_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_measure_place PRIMARY KEY (id), 
	CONSTRAINT fk_measure_place_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_measure_place_room_id_room FOREIGN KEY(room_id) REFERENCES room (id), 
	CONSTRAINT fk_measure_place_surface_id_surface FOREIGN KEY(surface_id) REFERENCES surface (id), 
	CONSTRAINT fk_measure_place_opening_id_opening FOREIGN KEY(opening_id) REFERENCES opening (id)
);
INSERT INTO "measure_place" VALUES(1,1,NULL,NULL,1);
CREATE TABLE measure_state_change (
	measure_id INTEGER NOT NULL, 
	"before" VARCHAR(40), 
	"after" VARCHAR(40) NOT NULL, 
	"on" DATE NOT NULL, 
	reason VARCHAR NOT NULL, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_measure_state_change PRIMARY KEY (id), 
	CONSTRAINT fk_measure_state_change_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_measure_state_change_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE meter (
	"key" VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	fuel VARCHAR(40) NOT NULL, 
	unit VARCHAR(40) NOT NULL, 
	number VARCHAR NOT NULL, 
	account_id INTEGER, 
	removed_on DATE, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_meter PRIMARY KEY (id), 
	CONSTRAINT uq_meter_key UNIQUE ("key"), 
	CONSTRAINT fk_meter_account_id_utility_account FOREIGN KEY(account_id) REFERENCES utility_account (id)
);
CREATE TABLE opening (
	surface_id INTEGER NOT NULL, 
	"key" VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	operation VARCHAR(40) NOT NULL, 
	hinge VARCHAR(40) NOT NULL, 
	width_m DOUBLE NOT NULL, 
	height_m DOUBLE NOT NULL, 
	sill_m DOUBLE NOT NULL, 
	left_offset_m DOUBLE, 
	count INTEGER NOT NULL, 
	u_value_w_m2k DOUBLE, 
	u_value_is VARCHAR(40) NOT NULL, 
	shgc DOUBLE, 
	shgc_is VARCHAR(40) NOT NULL, 
	panes INTEGER, 
	coating VARCHAR NOT NULL, 
	shgc_by_angle JSON, 
	fill_gas VARCHAR NOT NULL, 
	frame VARCHAR(40) NOT NULL, 
	frame_fraction DOUBLE, 
	overhang_depth_m DOUBLE NOT NULL, 
	overhang_above_head_m DOUBLE NOT NULL, 
	overhang_left_m DOUBLE NOT NULL, 
	overhang_right_m DOUBLE NOT NULL, 
	left_fin_depth_m DOUBLE NOT NULL, 
	left_fin_gap_m DOUBLE NOT NULL, 
	right_fin_depth_m DOUBLE NOT NULL, 
	right_fin_gap_m DOUBLE NOT NULL, 
	reveal_m DOUBLE NOT NULL, 
	shade VARCHAR(40) NOT NULL, 
	shade_solar_factor DOUBLE, 
	shade_rule VARCHAR NOT NULL, 
	shade_from_hour INTEGER, 
	shade_to_hour INTEGER, 
	shade_from_month INTEGER, 
	shade_to_month INTEGER, 
	shade_sun_above_w_m2 DOUBLE, 
	shade_outdoor_above_c DOUBLE, 
	shade_added_resistance_m2k_w DOUBLE, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_opening PRIMARY KEY (id), 
	CONSTRAINT fk_opening_surface_id_surface FOREIGN KEY(surface_id) REFERENCES surface (id), 
	CONSTRAINT uq_opening_key UNIQUE ("key"), 
	CONSTRAINT ck_opening_u_value_w_m2k_and_word CHECK ((u_value_w_m2k IS NULL) = (u_value_is <> 'known')), 
	CONSTRAINT ck_opening_shgc_and_word CHECK ((shgc IS NULL) = (shgc_is <> 'known'))
);
INSERT INTO "opening" VALUES(1,'den-window','Window','window','fixed','none',1.2,1.1,0.9,NULL,1,NULL,'unknown',0.55,'known',NULL,'low-e','[[0.0, 0.55], [60.0, 0.44]]','','other',NULL,0.0,0.0,0.0,0.0,0.0,0.0,0.0,0.0,0.0,'shutter',0.15,'drawn by the clock',9,17,5,9,150.0,18.0,0.2,'',1);
CREATE TABLE owner (
	name VARCHAR NOT NULL, 
	legal_name VARCHAR NOT NULL, 
	phone VARCHAR NOT NULL, 
	email VARCHAR NOT NULL, 
	does_own_work BOOLEAN NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_owner PRIMARY KEY (id)
);
CREATE TABLE panel (
	"key" VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	main_a DOUBLE NOT NULL, 
	bus_a DOUBLE, 
	service_a DOUBLE, 
	volts DOUBLE NOT NULL, 
	spaces INTEGER, 
	make VARCHAR NOT NULL, 
	model VARCHAR NOT NULL, 
	fed_from_id INTEGER, 
	room_id INTEGER, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_panel PRIMARY KEY (id), 
	CONSTRAINT uq_panel_key UNIQUE ("key"), 
	CONSTRAINT fk_panel_fed_from_id_panel FOREIGN KEY(fed_from_id) REFERENCES panel (id), 
	CONSTRAINT fk_panel_room_id_room FOREIGN KEY(room_id) REFERENCES room (id)
);
CREATE TABLE panel_load (
	panel_id INTEGER NOT NULL, 
	circuit_id INTEGER, 
	name VARCHAR NOT NULL, 
	category VARCHAR NOT NULL, 
	volt_amperes DOUBLE, 
	volt_amperes_is VARCHAR(40) NOT NULL, 
	is_continuous BOOLEAN NOT NULL, 
	is_managed BOOLEAN NOT NULL, 
	added_by_measure_id INTEGER, 
	removed_by_measure_id INTEGER, 
	from_date DATE, 
	source VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_panel_load PRIMARY KEY (id), 
	CONSTRAINT fk_panel_load_panel_id_panel FOREIGN KEY(panel_id) REFERENCES panel (id), 
	CONSTRAINT fk_panel_load_circuit_id_circuit FOREIGN KEY(circuit_id) REFERENCES circuit (id), 
	CONSTRAINT fk_panel_load_added_by_measure_id_measure FOREIGN KEY(added_by_measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_panel_load_removed_by_measure_id_measure FOREIGN KEY(removed_by_measure_id) REFERENCES measure (id), 
	CONSTRAINT ck_panel_load_volt_amperes_and_word CHECK ((volt_amperes IS NULL) = (volt_amperes_is <> 'known'))
);
CREATE TABLE paper (
	kind VARCHAR(40) NOT NULL, 
	title VARCHAR NOT NULL, 
	original_name VARCHAR NOT NULL, 
	sha256 VARCHAR NOT NULL, 
	size_bytes INTEGER NOT NULL, 
	media_type VARCHAR NOT NULL, 
	on_paper DATE, 
	filed_at DATETIME NOT NULL, 
	ends_on DATE, 
	from_firm_id INTEGER, 
	asked_by VARCHAR NOT NULL, 
	pages INTEGER, 
	direction VARCHAR(40), 
	tape_in_view BOOLEAN, 
	latitude_deg DOUBLE, 
	longitude_deg DOUBLE, 
	is_private BOOLEAN NOT NULL, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_paper PRIMARY KEY (id), 
	CONSTRAINT fk_paper_from_firm_id_firm FOREIGN KEY(from_firm_id) REFERENCES firm (id)
);
CREATE TABLE paper_fact (
	paper_id INTEGER NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	label VARCHAR NOT NULL, 
	value VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_paper_fact PRIMARY KEY (id), 
	CONSTRAINT fk_paper_fact_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE paper_use (
	paper_id INTEGER NOT NULL, 
	subject VARCHAR(40) NOT NULL, 
	subject_id INTEGER NOT NULL, 
	note VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_paper_use PRIMARY KEY (id), 
	CONSTRAINT fk_paper_use_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE payment (
	firm_id INTEGER NOT NULL, 
	contract_id INTEGER, 
	stage_id INTEGER, 
	invoice_id INTEGER, 
	"on" DATE NOT NULL, 
	amount_cents INTEGER NOT NULL, 
	how VARCHAR NOT NULL, 
	cleared_on DATE, 
	is_retainage BOOLEAN NOT NULL, 
	from_loan_id INTEGER, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_payment PRIMARY KEY (id), 
	CONSTRAINT fk_payment_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id), 
	CONSTRAINT fk_payment_contract_id_contract FOREIGN KEY(contract_id) REFERENCES contract (id), 
	CONSTRAINT fk_payment_stage_id_staged_payment FOREIGN KEY(stage_id) REFERENCES staged_payment (id), 
	CONSTRAINT fk_payment_invoice_id_invoice FOREIGN KEY(invoice_id) REFERENCES invoice (id), 
	CONSTRAINT fk_payment_from_loan_id_loan FOREIGN KEY(from_loan_id) REFERENCES loan (id), 
	CONSTRAINT fk_payment_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE permit (
	"key" VARCHAR NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	title VARCHAR NOT NULL, 
	state VARCHAR(40) NOT NULL, 
	authority_id INTEGER, 
	number VARCHAR NOT NULL, 
	pulled_by VARCHAR NOT NULL, 
	pulled_by_firm_id INTEGER, 
	is_homeowner_permit BOOLEAN NOT NULL, 
	applied_on DATE, 
	issued_on DATE, 
	idle_days_limit INTEGER, 
	ends_on DATE, 
	extended_until DATE, 
	final_on DATE, 
	fee_cents INTEGER, 
	fee_is VARCHAR(40) NOT NULL, 
	paper_id INTEGER, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_permit PRIMARY KEY (id), 
	CONSTRAINT uq_permit_key UNIQUE ("key"), 
	CONSTRAINT fk_permit_authority_id_firm FOREIGN KEY(authority_id) REFERENCES firm (id), 
	CONSTRAINT fk_permit_pulled_by_firm_id_firm FOREIGN KEY(pulled_by_firm_id) REFERENCES firm (id), 
	CONSTRAINT fk_permit_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id), 
	CONSTRAINT ck_permit_fee_cents_and_word CHECK ((fee_cents IS NULL) = (fee_is <> 'known'))
);
CREATE TABLE permit_measure (
	permit_id INTEGER NOT NULL, 
	measure_id INTEGER NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_permit_measure PRIMARY KEY (id), 
	CONSTRAINT fk_permit_measure_permit_id_permit FOREIGN KEY(permit_id) REFERENCES permit (id), 
	CONSTRAINT fk_permit_measure_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id)
);
CREATE TABLE person (
	firm_id INTEGER, 
	name VARCHAR NOT NULL, 
	role VARCHAR NOT NULL, 
	phone VARCHAR NOT NULL, 
	email VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_person PRIMARY KEY (id), 
	CONSTRAINT fk_person_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id)
);
CREATE TABLE preference (
	"key" VARCHAR NOT NULL, 
	value VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_preference PRIMARY KEY (id), 
	CONSTRAINT uq_preference_key UNIQUE ("key")
);
CREATE TABLE programme_choice (
	measure_id INTEGER NOT NULL, 
	is_whole_house BOOLEAN DEFAULT '0' NOT NULL, 
	programme_key VARCHAR NOT NULL, 
	chosen_on DATE, 
	expected_cents INTEGER, 
	expected_is VARCHAR(40) NOT NULL, 
	facts JSON NOT NULL, 
	is_dropped BOOLEAN NOT NULL, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_programme_choice PRIMARY KEY (id), 
	CONSTRAINT fk_programme_choice_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT ck_programme_choice_expected_cents_and_word CHECK ((expected_cents IS NULL) = (expected_is <> 'known'))
);
INSERT INTO "programme_choice" VALUES(1,1,'own-programme',NULL,NULL,'unknown','{}',0,'',1);
CREATE TABLE programme_listing (
	firm_id INTEGER NOT NULL, 
	programme_key VARCHAR NOT NULL, 
	listed_from DATE, 
	listed_until DATE, 
	checked_on DATE NOT NULL, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_programme_listing PRIMARY KEY (id), 
	CONSTRAINT fk_programme_listing_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id), 
	CONSTRAINT fk_programme_listing_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE quote (
	request_id INTEGER NOT NULL, 
	firm_id INTEGER NOT NULL, 
	state VARCHAR(40) NOT NULL, 
	number VARCHAR NOT NULL, 
	quoted_on DATE, 
	valid_until DATE, 
	price_cents INTEGER, 
	price_is VARCHAR(40) NOT NULL, 
	tax_cents INTEGER, 
	tax_is VARCHAR(40) NOT NULL, 
	deposit_cents INTEGER, 
	deposit_is VARCHAR(40) NOT NULL, 
	make VARCHAR NOT NULL, 
	model VARCHAR NOT NULL, 
	second_model VARCHAR NOT NULL, 
	match_number VARCHAR NOT NULL, 
	capacity_w DOUBLE, 
	capacity_is VARCHAR(40) NOT NULL, 
	capacity_at_c DOUBLE, 
	load_w DOUBLE, 
	load_is VARCHAR(40) NOT NULL, 
	load_method VARCHAR NOT NULL, 
	based_on VARCHAR NOT NULL, 
	measured_on_site BOOLEAN, 
	warranty_parts_years DOUBLE, 
	warranty_parts_is VARCHAR(40) NOT NULL, 
	warranty_labor_years DOUBLE, 
	warranty_labor_is VARCHAR(40) NOT NULL, 
	start_on DATE, 
	finish_on DATE, 
	paper_id INTEGER, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_quote PRIMARY KEY (id), 
	CONSTRAINT fk_quote_request_id_quote_request FOREIGN KEY(request_id) REFERENCES quote_request (id), 
	CONSTRAINT fk_quote_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id), 
	CONSTRAINT fk_quote_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id), 
	CONSTRAINT ck_quote_price_cents_and_word CHECK ((price_cents IS NULL) = (price_is <> 'known')), 
	CONSTRAINT ck_quote_tax_cents_and_word CHECK ((tax_cents IS NULL) = (tax_is <> 'known')), 
	CONSTRAINT ck_quote_deposit_cents_and_word CHECK ((deposit_cents IS NULL) = (deposit_is <> 'known')), 
	CONSTRAINT ck_quote_capacity_w_and_word CHECK ((capacity_w IS NULL) = (capacity_is <> 'known')), 
	CONSTRAINT ck_quote_load_w_and_word CHECK ((load_w IS NULL) = (load_is <> 'known')), 
	CONSTRAINT ck_quote_warranty_parts_years_and_word CHECK ((warranty_parts_years IS NULL) = (warranty_parts_is <> 'known')), 
	CONSTRAINT ck_quote_warranty_labor_years_and_word CHECK ((warranty_labor_years IS NULL) = (warranty_labor_is <> 'known'))
);
CREATE TABLE quote_line (
	quote_id INTEGER NOT NULL, 
	scope_item_id INTEGER, 
	position INTEGER NOT NULL, 
	text VARCHAR NOT NULL, 
	answer VARCHAR(40) NOT NULL, 
	amount_cents INTEGER, 
	amount_is VARCHAR(40) NOT NULL, 
	per_unit VARCHAR NOT NULL, 
	guess_cents INTEGER, 
	guess_is VARCHAR(40) NOT NULL, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_quote_line PRIMARY KEY (id), 
	CONSTRAINT fk_quote_line_quote_id_quote FOREIGN KEY(quote_id) REFERENCES quote (id), 
	CONSTRAINT fk_quote_line_scope_item_id_scope_item FOREIGN KEY(scope_item_id) REFERENCES scope_item (id), 
	CONSTRAINT ck_quote_line_amount_cents_and_word CHECK ((amount_cents IS NULL) = (amount_is <> 'known')), 
	CONSTRAINT ck_quote_line_guess_cents_and_word CHECK ((guess_cents IS NULL) = (guess_is <> 'known'))
);
CREATE TABLE quote_question (
	quote_id INTEGER NOT NULL, 
	text VARCHAR NOT NULL, 
	answer VARCHAR NOT NULL, 
	asked_on DATE, 
	answered_on DATE, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_quote_question PRIMARY KEY (id), 
	CONSTRAINT fk_quote_question_quote_id_quote FOREIGN KEY(quote_id) REFERENCES quote (id)
);
CREATE TABLE quote_request (
	measure_id INTEGER NOT NULL, 
	title VARCHAR NOT NULL, 
	asked_on DATE, 
	answer_by DATE, 
	design_load_id INTEGER, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_quote_request PRIMARY KEY (id), 
	CONSTRAINT fk_quote_request_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_quote_request_design_load_id_design_load FOREIGN KEY(design_load_id) REFERENCES design_load (id)
);
CREATE TABLE reservation (
	choice_id INTEGER NOT NULL, 
	state VARCHAR(40) NOT NULL, 
	number VARCHAR NOT NULL, 
	asked_on DATE, 
	held_from DATE, 
	ends_on DATE, 
	amount_cents INTEGER, 
	amount_is VARCHAR(40) NOT NULL, 
	answered_on DATE, 
	answer VARCHAR NOT NULL, 
	appeal_by DATE, 
	appealed_on DATE, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_reservation PRIMARY KEY (id), 
	CONSTRAINT fk_reservation_choice_id_programme_choice FOREIGN KEY(choice_id) REFERENCES programme_choice (id), 
	CONSTRAINT fk_reservation_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id), 
	CONSTRAINT ck_reservation_amount_cents_and_word CHECK ((amount_cents IS NULL) = (amount_is <> 'known'))
);
CREATE TABLE room (
	storey_id INTEGER NOT NULL, 
	"key" VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	outline JSON, 
	floor_area_m2 DOUBLE NOT NULL, 
	height_m DOUBLE NOT NULL, 
	is_heated BOOLEAN NOT NULL, 
	is_cooled BOOLEAN NOT NULL, 
	heating_set_point_c DOUBLE, 
	heating_setback_c DOUBLE, 
	cooling_set_point_c DOUBLE, 
	internal_gain_w DOUBLE, 
	internal_gain_is VARCHAR(40) NOT NULL, 
	air_changes_per_hour DOUBLE, 
	air_changes_is VARCHAR(40) NOT NULL, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_room PRIMARY KEY (id), 
	CONSTRAINT fk_room_storey_id_storey FOREIGN KEY(storey_id) REFERENCES storey (id), 
	CONSTRAINT uq_room_key UNIQUE ("key"), 
	CONSTRAINT ck_room_internal_gain_w_and_word CHECK ((internal_gain_w IS NULL) = (internal_gain_is <> 'known')), 
	CONSTRAINT ck_room_air_changes_per_hour_and_word CHECK ((air_changes_per_hour IS NULL) = (air_changes_is <> 'known'))
);
INSERT INTO "room" VALUES(1,'den','Den','other','[[0, 0], [4.1, 0], [4.1, 3.46], [0, 3.46]]',14.2,2.44,1,1,NULL,NULL,NULL,NULL,'unknown',NULL,'unknown','',1);
CREATE TABLE rule_file (
	programme_key VARCHAR NOT NULL, 
	text VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_rule_file PRIMARY KEY (id), 
	CONSTRAINT uq_rule_file_programme_key UNIQUE (programme_key)
);
INSERT INTO "rule_file" VALUES('own-programme','key = "own-programme"
',1);
CREATE TABLE savings_result (
	kind VARCHAR NOT NULL, 
	fingerprint VARCHAR NOT NULL, 
	inputs JSON NOT NULL, 
	payload JSON NOT NULL, 
	made_at DATETIME NOT NULL, 
	program_version VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_savings_result PRIMARY KEY (id)
);
CREATE TABLE scope_item (
	request_id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	text VARCHAR NOT NULL, 
	guess_cents INTEGER, 
	guess_is VARCHAR(40) NOT NULL, 
	guess_source VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_scope_item PRIMARY KEY (id), 
	CONSTRAINT fk_scope_item_request_id_quote_request FOREIGN KEY(request_id) REFERENCES quote_request (id), 
	CONSTRAINT ck_scope_item_guess_cents_and_word CHECK ((guess_cents IS NULL) = (guess_is <> 'known'))
);
CREATE TABLE sent_packet (
	kind VARCHAR NOT NULL, 
	title VARCHAR NOT NULL, 
	made_at DATETIME NOT NULL, 
	sent_on DATE, 
	to_whom VARCHAR NOT NULL, 
	how VARCHAR NOT NULL, 
	firm_id INTEGER, 
	claim_id INTEGER, 
	permit_id INTEGER, 
	paper_id INTEGER, 
	sha256 VARCHAR NOT NULL, 
	pages INTEGER NOT NULL, 
	readiness VARCHAR NOT NULL, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_sent_packet PRIMARY KEY (id), 
	CONSTRAINT fk_sent_packet_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id), 
	CONSTRAINT fk_sent_packet_claim_id_claim FOREIGN KEY(claim_id) REFERENCES claim (id), 
	CONSTRAINT fk_sent_packet_permit_id_permit FOREIGN KEY(permit_id) REFERENCES permit (id), 
	CONSTRAINT fk_sent_packet_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE service_entry (
	equipment_id INTEGER NOT NULL, 
	done_on DATE NOT NULL, 
	"by" VARCHAR NOT NULL, 
	what VARCHAR NOT NULL, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_service_entry PRIMARY KEY (id), 
	CONSTRAINT fk_service_entry_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id), 
	CONSTRAINT fk_service_entry_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE site (
	name VARCHAR NOT NULL, 
	street VARCHAR NOT NULL, 
	unit VARCHAR NOT NULL, 
	city VARCHAR NOT NULL, 
	state VARCHAR NOT NULL, 
	postal_code VARCHAR NOT NULL, 
	county VARCHAR NOT NULL, 
	parcel VARCHAR NOT NULL, 
	latitude_deg DOUBLE, 
	longitude_deg DOUBLE, 
	elevation_m DOUBLE, 
	time_zone VARCHAR NOT NULL, 
	year_built INTEGER, 
	year_built_is VARCHAR(40) NOT NULL, 
	floor_area_m2 DOUBLE, 
	floor_area_is VARCHAR(40) NOT NULL, 
	occupants INTEGER, 
	occupants_is VARCHAR(40) NOT NULL, 
	household_income_share DOUBLE, 
	household_income_share_is VARCHAR(40) NOT NULL, 
	design_heating_c DOUBLE, 
	design_heating_is VARCHAR(40) NOT NULL, 
	design_cooling_c DOUBLE, 
	design_cooling_is VARCHAR(40) NOT NULL, 
	budget_cents INTEGER, 
	budget_is VARCHAR(40) NOT NULL, 
	contingency_percent DOUBLE, 
	contingency_is VARCHAR(40) NOT NULL, 
	units VARCHAR(40) NOT NULL, 
	story_date DATE, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_site PRIMARY KEY (id), 
	CONSTRAINT ck_site_year_built_and_word CHECK ((year_built IS NULL) = (year_built_is <> 'known')), 
	CONSTRAINT ck_site_floor_area_m2_and_word CHECK ((floor_area_m2 IS NULL) = (floor_area_is <> 'known')), 
	CONSTRAINT ck_site_occupants_and_word CHECK ((occupants IS NULL) = (occupants_is <> 'known')), 
	CONSTRAINT ck_site_household_income_share_and_word CHECK ((household_income_share IS NULL) = (household_income_share_is <> 'known')), 
	CONSTRAINT ck_site_design_heating_c_and_word CHECK ((design_heating_c IS NULL) = (design_heating_is <> 'known')), 
	CONSTRAINT ck_site_design_cooling_c_and_word CHECK ((design_cooling_c IS NULL) = (design_cooling_is <> 'known')), 
	CONSTRAINT ck_site_budget_cents_and_word CHECK ((budget_cents IS NULL) = (budget_is <> 'known')), 
	CONSTRAINT ck_site_contingency_percent_and_word CHECK ((contingency_percent IS NULL) = (contingency_is <> 'known'))
);
CREATE TABLE staged_payment (
	contract_id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	title VARCHAR NOT NULL, 
	amount_cents INTEGER NOT NULL, 
	waits_for VARCHAR NOT NULL, 
	due_on DATE, 
	is_deposit BOOLEAN NOT NULL, 
	is_final BOOLEAN NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_staged_payment PRIMARY KEY (id), 
	CONSTRAINT fk_staged_payment_contract_id_contract FOREIGN KEY(contract_id) REFERENCES contract (id)
);
CREATE TABLE storey (
	"key" VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	level_m DOUBLE NOT NULL, 
	height_m DOUBLE NOT NULL, 
	position INTEGER NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_storey PRIMARY KEY (id), 
	CONSTRAINT uq_storey_key UNIQUE ("key")
);
INSERT INTO "storey" VALUES('lower','Lower level',0.0,2.44,0,1);
CREATE TABLE surface (
	room_id INTEGER NOT NULL, 
	"key" VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	boundary VARCHAR(40) NOT NULL, 
	other_room_id INTEGER, 
	construction_id INTEGER, 
	area_m2 DOUBLE NOT NULL, 
	azimuth_deg DOUBLE, 
	tilt_deg DOUBLE NOT NULL, 
	outline_edge INTEGER, 
	exposed_perimeter_m DOUBLE, 
	depth_below_ground_m DOUBLE, 
	solar_absorptance DOUBLE, 
	emittance DOUBLE, 
	passage_area_m2 DOUBLE, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_surface PRIMARY KEY (id), 
	CONSTRAINT fk_surface_room_id_room FOREIGN KEY(room_id) REFERENCES room (id), 
	CONSTRAINT uq_surface_key UNIQUE ("key"), 
	CONSTRAINT fk_surface_other_room_id_room FOREIGN KEY(other_room_id) REFERENCES room (id), 
	CONSTRAINT fk_surface_construction_id_construction FOREIGN KEY(construction_id) REFERENCES construction (id)
);
INSERT INTO "surface" VALUES(1,'den-north','North wall','wall','outdoors',NULL,NULL,9.9,NULL,90.0,NULL,NULL,NULL,NULL,NULL,NULL,'',1);
CREATE TABLE tariff_choice (
	meter_id INTEGER NOT NULL, 
	tariff_key VARCHAR NOT NULL, 
	starts_on DATE NOT NULL, 
	ends_on DATE, 
	source VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_tariff_choice PRIMARY KEY (id), 
	CONSTRAINT fk_tariff_choice_meter_id_meter FOREIGN KEY(meter_id) REFERENCES meter (id)
);
CREATE TABLE task (
	"key" VARCHAR NOT NULL, 
	title VARCHAR NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	state VARCHAR(40) NOT NULL, 
	measure_id INTEGER, 
	inspection_id INTEGER, 
	hold_id INTEGER, 
	firm_id INTEGER, 
	template_key VARCHAR NOT NULL, 
	days DOUBLE NOT NULL, 
	days_low DOUBLE, 
	days_high DOUBLE, 
	not_before DATE, 
	must_end_by DATE, 
	planned_on DATE, 
	is_confirmed BOOLEAN NOT NULL, 
	started_on DATE, 
	done_on DATE, 
	with_whom VARCHAR NOT NULL, 
	since DATE, 
	ask_again_on DATE, 
	calendar_sequence INTEGER NOT NULL, 
	notes VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_task PRIMARY KEY (id), 
	CONSTRAINT uq_task_key UNIQUE ("key"), 
	CONSTRAINT fk_task_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_task_inspection_id_inspection FOREIGN KEY(inspection_id) REFERENCES inspection (id), 
	CONSTRAINT fk_task_hold_id_hold FOREIGN KEY(hold_id) REFERENCES hold (id), 
	CONSTRAINT fk_task_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id)
);
CREATE TABLE task_contact (
	task_id INTEGER NOT NULL, 
	"on" DATE NOT NULL, 
	with_whom VARCHAR NOT NULL, 
	said VARCHAR NOT NULL, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_task_contact PRIMARY KEY (id), 
	CONSTRAINT fk_task_contact_task_id_task FOREIGN KEY(task_id) REFERENCES task (id), 
	CONSTRAINT fk_task_contact_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE task_link (
	before_id INTEGER NOT NULL, 
	after_id INTEGER NOT NULL, 
	lag_days DOUBLE NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_task_link PRIMARY KEY (id), 
	CONSTRAINT fk_task_link_before_id_task FOREIGN KEY(before_id) REFERENCES task (id), 
	CONSTRAINT fk_task_link_after_id_task FOREIGN KEY(after_id) REFERENCES task (id)
);
CREATE TABLE thermal_bridge (
	surface_id INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	length_m DOUBLE NOT NULL, 
	psi_w_mk DOUBLE NOT NULL, 
	source VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_thermal_bridge PRIMARY KEY (id), 
	CONSTRAINT fk_thermal_bridge_surface_id_surface FOREIGN KEY(surface_id) REFERENCES surface (id)
);
INSERT INTO "thermal_bridge" VALUES(1,'Eave',4.1,0.08,'a sum',1);
CREATE TABLE tie_point (
	equipment_id INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	latitude_deg DOUBLE, 
	longitude_deg DOUBLE, 
	first_point VARCHAR NOT NULL, 
	first_distance_m DOUBLE, 
	second_point VARCHAR NOT NULL, 
	second_distance_m DOUBLE, 
	depth_m DOUBLE, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_tie_point PRIMARY KEY (id), 
	CONSTRAINT fk_tie_point_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id), 
	CONSTRAINT fk_tie_point_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE tree_stand (
	name VARCHAR NOT NULL, 
	from_azimuth_deg DOUBLE NOT NULL, 
	to_azimuth_deg DOUBLE NOT NULL, 
	altitude_deg DOUBLE NOT NULL, 
	share_in_leaf DOUBLE NOT NULL, 
	share_bare DOUBLE, 
	leaf_from_month INTEGER, 
	leaf_to_month INTEGER, 
	source VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_tree_stand PRIMARY KEY (id)
);
INSERT INTO "tree_stand" VALUES('Oaks',135.0,225.0,35.0,0.2,0.6,4,10,'looked at in July and January',1);
CREATE TABLE utility_account (
	"key" VARCHAR NOT NULL, 
	utility VARCHAR NOT NULL, 
	fuel VARCHAR(40) NOT NULL, 
	account_number VARCHAR NOT NULL, 
	name_on_account VARCHAR NOT NULL, 
	service_address VARCHAR NOT NULL, 
	opened_on DATE, 
	closed_on DATE, 
	case_number VARCHAR NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_utility_account PRIMARY KEY (id), 
	CONSTRAINT uq_utility_account_key UNIQUE ("key")
);
CREATE TABLE warranty (
	equipment_id INTEGER NOT NULL, 
	kind VARCHAR(40) NOT NULL, 
	starts_on DATE, 
	ends_on DATE, 
	register_by DATE, 
	registered_on DATE, 
	registration_number VARCHAR NOT NULL, 
	paper_id INTEGER, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_warranty PRIMARY KEY (id), 
	CONSTRAINT fk_warranty_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id), 
	CONSTRAINT fk_warranty_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE weather_choice (
	kind VARCHAR(40) NOT NULL, 
	name VARCHAR NOT NULL, 
	station VARCHAR NOT NULL, 
	source VARCHAR NOT NULL, 
	paper_id INTEGER, 
	in_use BOOLEAN NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_weather_choice PRIMARY KEY (id), 
	CONSTRAINT fk_weather_choice_paper_id_paper FOREIGN KEY(paper_id) REFERENCES paper (id)
);
CREATE TABLE work_entry (
	measure_id INTEGER NOT NULL, 
	worked_on DATE NOT NULL, 
	written_at DATETIME NOT NULL, 
	who VARCHAR NOT NULL, 
	firm_id INTEGER, 
	hours DOUBLE, 
	hours_is VARCHAR(40) NOT NULL, 
	notes VARCHAR NOT NULL, 
	change_from_plan VARCHAR NOT NULL, 
	still_open VARCHAR NOT NULL, 
	is_draft BOOLEAN NOT NULL, 
	is_complete BOOLEAN NOT NULL, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_work_entry PRIMARY KEY (id), 
	CONSTRAINT fk_work_entry_measure_id_measure FOREIGN KEY(measure_id) REFERENCES measure (id), 
	CONSTRAINT fk_work_entry_firm_id_firm FOREIGN KEY(firm_id) REFERENCES firm (id), 
	CONSTRAINT ck_work_entry_hours_and_word CHECK ((hours IS NULL) = (hours_is <> 'known'))
);
INSERT INTO "work_entry" VALUES(1,'2026-04-18','2026-04-18 21:05:00.000000','',NULL,6.5,'known','','','',0,0,1);
CREATE TABLE work_place (
	entry_id INTEGER NOT NULL, 
	room_id INTEGER, 
	surface_id INTEGER, 
	what_is_inside VARCHAR NOT NULL, 
	covered_on DATE, 
	reopened_on DATE, 
	id INTEGER NOT NULL, 
	CONSTRAINT pk_work_place PRIMARY KEY (id), 
	CONSTRAINT fk_work_place_entry_id_work_entry FOREIGN KEY(entry_id) REFERENCES work_entry (id), 
	CONSTRAINT fk_work_place_room_id_room FOREIGN KEY(room_id) REFERENCES room (id), 
	CONSTRAINT fk_work_place_surface_id_surface FOREIGN KEY(surface_id) REFERENCES surface (id)
);
CREATE INDEX ix_savings_result_fingerprint ON savings_result (fingerprint);
CREATE INDEX ix_change_action_id ON change (action_id);
CREATE INDEX ix_paper_sha256 ON paper (sha256);
CREATE INDEX ix_paper_use_subject ON paper_use (subject, subject_id);
COMMIT;
