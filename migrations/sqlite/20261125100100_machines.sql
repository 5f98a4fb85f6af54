CREATE TABLE places (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    parent_id INTEGER REFERENCES places (id) ON DELETE RESTRICT,
    kind TEXT NOT NULL CHECK (kind IN ('site', 'building', 'floor', 'room', 'roof', 'shaft', 'yard')),
    name TEXT NOT NULL,
    access_note TEXT NOT NULL DEFAULT '',
    version INTEGER NOT NULL DEFAULT 1
);
CREATE INDEX places_parent_idx ON places (parent_id);

CREATE TABLE panels (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL,
    place_id INTEGER NOT NULL REFERENCES places (id) ON DELETE RESTRICT,
    supply TEXT NOT NULL, -- as written on it: 120/240 V single-phase, 208Y/120 V three-phase
    note TEXT NOT NULL DEFAULT '',
    version INTEGER NOT NULL DEFAULT 1
);
CREATE UNIQUE INDEX panels_name_idx ON panels (lower(name));

-- A circuit's label, as read, and what it is proved to feed are separate facts.
CREATE TABLE circuits (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    panel_id INTEGER NOT NULL REFERENCES panels (id) ON DELETE RESTRICT,
    number TEXT NOT NULL, -- as marked: 7, 9-11
    label_read TEXT NOT NULL,
    label_wrong BOOLEAN NOT NULL DEFAULT FALSE, -- found wrong and not yet put right
    label_note TEXT NOT NULL DEFAULT '',
    facts TEXT NOT NULL, -- JSON: calc::installation::Circuit
    version INTEGER NOT NULL DEFAULT 1
);
CREATE UNIQUE INDEX circuits_number_idx ON circuits (panel_id, number);

-- A motor: on a machine, on the shelf or on a supplier's list.
CREATE TABLE motors (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL, -- the shop's own name for it
    plate TEXT NOT NULL, -- JSON: calc::plate::Plate
    plate_text TEXT NOT NULL DEFAULT '', -- the plate as it reads
    made TEXT NOT NULL DEFAULT 'made' CHECK (made IN ('made', 'ended', 'unknown')),
    note TEXT NOT NULL DEFAULT '',
    version INTEGER NOT NULL DEFAULT 1
);

CREATE TABLE shelf_motors (
    motor_id INTEGER PRIMARY KEY REFERENCES motors (id) ON DELETE RESTRICT,
    bin TEXT NOT NULL,
    held INTEGER NOT NULL CHECK (held >= 0),
    price_minor INTEGER, -- cents and the like; null: not known
    version INTEGER NOT NULL DEFAULT 1
);

CREATE TABLE supplier_lists (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL,
    read_on DATE NOT NULL, -- the day the list was current
    note TEXT NOT NULL DEFAULT ''
);

CREATE TABLE supplier_motors (
    list_id INTEGER NOT NULL REFERENCES supplier_lists (id) ON DELETE CASCADE,
    motor_id INTEGER NOT NULL REFERENCES motors (id) ON DELETE RESTRICT,
    price_minor INTEGER,
    lead_days INTEGER,
    PRIMARY KEY (list_id, motor_id)
);
CREATE INDEX supplier_motors_motor_idx ON supplier_motors (motor_id);

CREATE TABLE machines (
    id INTEGER PRIMARY KEY AUTOINCREMENT, -- never reused: it is on paper
    tag TEXT NOT NULL,
    name TEXT NOT NULL, -- what it is: kiln-hall extract fan
    kind TEXT NOT NULL CHECK (kind IN
        ('fan', 'pump', 'unit_heater', 'compressor', 'air_handler', 'other')),
    serves TEXT NOT NULL DEFAULT '',
    place_id INTEGER NOT NULL REFERENCES places (id) ON DELETE RESTRICT,
    parent_id INTEGER REFERENCES machines (id) ON DELETE RESTRICT,
    criticality TEXT NOT NULL DEFAULT 'ordinary' CHECK (criticality IN ('low', 'ordinary', 'high')),
    before_you_go TEXT NOT NULL DEFAULT '', -- know before you go: keys, ladder, who to tell
    facts TEXT NOT NULL, -- JSON: calc::installation::Installation
    circuit_id INTEGER REFERENCES circuits (id) ON DELETE RESTRICT,
    feed_proved_on DATE, -- null: nobody has proved that this circuit feeds it
    feed_proved_by TEXT NOT NULL DEFAULT '',
    design_motor_id INTEGER REFERENCES motors (id) ON DELETE RESTRICT, -- what it was built with
    fitted_motor_id INTEGER REFERENCES motors (id) ON DELETE RESTRICT, -- what is on it now
    installed_on DATE,
    retired_on DATE,
    created_at INTEGER NOT NULL,
    version INTEGER NOT NULL DEFAULT 1
);
CREATE UNIQUE INDEX machines_tag_idx ON machines (lower(tag));
CREATE INDEX machines_place_idx ON machines (place_id);
CREATE INDEX machines_circuit_idx ON machines (circuit_id);

-- A source of energy, apart from any machine: two machines on one breaker share one source.
CREATE TABLE energy_sources (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    kind TEXT NOT NULL CHECK (kind IN
        ('electrical', 'stored', 'draught', 'water', 'gas', 'gravity', 'heat')),
    name TEXT NOT NULL,
    magnitude TEXT NOT NULL DEFAULT '',
    device TEXT NOT NULL, -- the isolating device: breaker, disconnect, valve, block
    device_place TEXT NOT NULL DEFAULT '',
    label_read TEXT NOT NULL DEFAULT '',
    locked_how TEXT NOT NULL DEFAULT '',
    relieved_how TEXT NOT NULL DEFAULT '', -- how stored energy is let out; none: looked at; empty: not known
    dead_test TEXT NOT NULL DEFAULT 'none' CHECK (dead_test IN
        ('none', 'single_phase', 'split_phase', 'split_phase_neutral', 'three_phase',
         'three_phase_neutral')),
    circuit_id INTEGER REFERENCES circuits (id) ON DELETE RESTRICT,
    version INTEGER NOT NULL DEFAULT 1
);

-- The machine's written energy-control steps. A change makes a new revision; the old one stays.
CREATE TABLE isolation_sheets (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    machine_id INTEGER NOT NULL REFERENCES machines (id) ON DELETE RESTRICT,
    revision INTEGER NOT NULL,
    steps TEXT NOT NULL, -- shutting down, isolating, testing: the shop's own words
    made_at INTEGER NOT NULL,
    made_by INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    inspected_on DATE,
    inspected_by TEXT NOT NULL DEFAULT ''
);
CREATE UNIQUE INDEX isolation_sheets_revision_idx ON isolation_sheets (machine_id, revision);

CREATE TABLE isolation_sheet_sources (
    sheet_id INTEGER NOT NULL REFERENCES isolation_sheets (id) ON DELETE CASCADE,
    source_id INTEGER NOT NULL REFERENCES energy_sources (id) ON DELETE RESTRICT,
    position INTEGER NOT NULL,
    PRIMARY KEY (sheet_id, source_id)
);
CREATE INDEX isolation_sheet_sources_source_idx ON isolation_sheet_sources (source_id);
