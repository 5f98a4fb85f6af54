-- Parts: what the shop keeps or buys beside whole motors. Amounts are thousandths of the unit.
CREATE TABLE parts (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL, -- the shop's own name for it
    kind TEXT NOT NULL CHECK (kind IN
        ('bearing', 'belt', 'capacitor', 'filter', 'thermostat', 'seal', 'contactor', 'other')),
    description TEXT NOT NULL DEFAULT '', -- the key facts: 6203 size, 5 µF 370 V, A42
    maker_number TEXT NOT NULL DEFAULT '',
    unit TEXT NOT NULL DEFAULT 'piece',
    bins TEXT NOT NULL DEFAULT '',
    standing TEXT NOT NULL CHECK (standing IN ('held', 'to_buy', 'ended')),
    last_buy TEXT NOT NULL DEFAULT '', -- ended: until when and how many can still be bought
    lead_days INTEGER, -- null: not known, as everywhere below
    price_minor INTEGER, -- hundredths, of one unit
    order_at INTEGER, -- the shop's own point; null: worked out from use and lead time
    critical BOOLEAN NOT NULL DEFAULT FALSE,
    on_hand INTEGER NOT NULL DEFAULT 0 CHECK (on_hand >= 0), -- the sum of its movements
    reserved INTEGER NOT NULL DEFAULT 0 CHECK (reserved >= 0),
    created_at INTEGER NOT NULL,
    version INTEGER NOT NULL DEFAULT 1
);
CREATE UNIQUE INDEX parts_name_idx ON parts (lower(name));
CREATE INDEX parts_kind_idx ON parts (kind, name);

-- The parts list of a machine: what sits where.
CREATE TABLE machine_parts (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    machine_id INTEGER NOT NULL REFERENCES machines (id) ON DELETE RESTRICT,
    place TEXT NOT NULL, -- the position: drive-end bearing, belt 1, filter bank
    part_id INTEGER NOT NULL REFERENCES parts (id) ON DELETE RESTRICT,
    amount INTEGER NOT NULL CHECK (amount > 0),
    note TEXT NOT NULL DEFAULT ''
);
CREATE UNIQUE INDEX machine_parts_place_idx ON machine_parts (machine_id, lower(place), part_id);
CREATE INDEX machine_parts_part_idx ON machine_parts (part_id);

-- Movements: only ever added to. `amount` is what it adds to the shelf, `held_back` what it adds to
-- what is kept for jobs; a balance is the sum.
CREATE TABLE stock_moves (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    part_id INTEGER REFERENCES parts (id) ON DELETE RESTRICT,
    motor_id INTEGER REFERENCES motors (id) ON DELETE RESTRICT,
    kind TEXT NOT NULL CHECK (kind IN
        ('received', 'issued', 'returned', 'counted', 'scrapped', 'reserved', 'released')),
    amount INTEGER NOT NULL,
    held_back INTEGER NOT NULL DEFAULT 0,
    cost_minor INTEGER, -- of the whole amount, as it was booked; null: not known
    job_id INTEGER REFERENCES jobs (id) ON DELETE RESTRICT,
    machine_id INTEGER REFERENCES machines (id) ON DELETE RESTRICT,
    entry_id TEXT REFERENCES entries (id) ON DELETE RESTRICT,
    purchase_id INTEGER,
    expires_on DATE, -- of the lot received
    why TEXT NOT NULL DEFAULT '',
    person_id INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    moved_at INTEGER NOT NULL,
    CHECK ((part_id IS NULL) <> (motor_id IS NULL))
);
CREATE INDEX stock_moves_part_idx ON stock_moves (part_id, moved_at);
CREATE INDEX stock_moves_motor_idx ON stock_moves (motor_id, moved_at);
CREATE INDEX stock_moves_job_idx ON stock_moves (job_id);
CREATE INDEX stock_moves_entry_idx ON stock_moves (entry_id);
CREATE INDEX stock_moves_kind_idx ON stock_moves (kind, moved_at);
CREATE INDEX stock_moves_expires_idx ON stock_moves (expires_on);

-- Buying: one row a thing to buy, for a job or for the shelf.
CREATE TABLE purchases (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    job_id INTEGER REFERENCES jobs (id) ON DELETE RESTRICT, -- null: for the shelf
    part_id INTEGER REFERENCES parts (id) ON DELETE RESTRICT,
    motor_id INTEGER REFERENCES motors (id) ON DELETE RESTRICT,
    what TEXT NOT NULL, -- in words, as it was asked for
    amount INTEGER NOT NULL CHECK (amount > 0),
    why TEXT NOT NULL DEFAULT '',
    state TEXT NOT NULL CHECK (state IN ('needed', 'approved', 'ordered', 'arrived', 'cancelled')),
    needed_by INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    needed_at INTEGER NOT NULL,
    approved_by INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    approved_at INTEGER,
    order_number TEXT NOT NULL DEFAULT '',
    supplier TEXT NOT NULL DEFAULT '',
    expected_on DATE,
    cost_minor INTEGER,
    ordered_at INTEGER,
    arrived_at INTEGER,
    cancelled_at INTEGER,
    cancelled_why TEXT NOT NULL DEFAULT '',
    version INTEGER NOT NULL DEFAULT 1
);
CREATE INDEX purchases_state_idx ON purchases (state, expected_on);
CREATE INDEX purchases_job_idx ON purchases (job_id);
CREATE INDEX purchases_part_idx ON purchases (part_id, state);

-- Until when a maker or supplier stands for something.
CREATE TABLE warranties (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    machine_id INTEGER REFERENCES machines (id) ON DELETE RESTRICT,
    motor_id INTEGER REFERENCES motors (id) ON DELETE RESTRICT,
    part_id INTEGER REFERENCES parts (id) ON DELETE RESTRICT,
    covers TEXT NOT NULL, -- the whole unit, the motor, the bearing fitted in May
    until_on DATE NOT NULL,
    terms TEXT NOT NULL DEFAULT '', -- who to call, what voids it
    ended BOOLEAN NOT NULL DEFAULT FALSE -- written down wrongly, or given up
);
CREATE INDEX warranties_machine_idx ON warranties (machine_id, until_on);
CREATE INDEX warranties_motor_idx ON warranties (motor_id, until_on);
CREATE INDEX warranties_part_idx ON warranties (part_id, until_on);

-- What was answered on a job about a running warranty.
CREATE TABLE warranty_answers (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    warranty_id INTEGER NOT NULL REFERENCES warranties (id) ON DELETE RESTRICT,
    answer TEXT NOT NULL CHECK (answer IN ('claim', 'go_on', 'not_covered')),
    why TEXT NOT NULL DEFAULT ''
);
CREATE INDEX warranty_answers_job_idx ON warranty_answers (job_id);

-- Where a unit taken off goes: back as a core, back under warranty, to scrap, or kept.
CREATE TABLE removed_units (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    machine_id INTEGER REFERENCES machines (id) ON DELETE RESTRICT,
    what TEXT NOT NULL,
    goes TEXT NOT NULL CHECK (goes IN ('core', 'warranty', 'scrap', 'kept')),
    sent_to TEXT NOT NULL DEFAULT '',
    back_by DATE,
    settled_by TEXT REFERENCES entries (id) ON DELETE RESTRICT, -- null: still here
    settled_how TEXT NOT NULL DEFAULT ''
);
CREATE INDEX removed_units_open_idx ON removed_units (settled_by, back_by);
CREATE INDEX removed_units_job_idx ON removed_units (job_id);

-- Approved alternates for a part or a motor, on the limits written here.
CREATE TABLE alternates (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    of_part_id INTEGER REFERENCES parts (id) ON DELETE RESTRICT,
    of_motor_id INTEGER REFERENCES motors (id) ON DELETE RESTRICT,
    part_id INTEGER REFERENCES parts (id) ON DELETE RESTRICT,
    motor_id INTEGER REFERENCES motors (id) ON DELETE RESTRICT,
    limits TEXT NOT NULL,
    verdict TEXT NOT NULL DEFAULT '', -- of the fit it comes from
    job_id INTEGER REFERENCES jobs (id) ON DELETE RESTRICT,
    approved_by INTEGER NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    approved_at INTEGER NOT NULL,
    withdrawn_at INTEGER,
    withdrawn_why TEXT NOT NULL DEFAULT '',
    CHECK ((of_part_id IS NULL) <> (of_motor_id IS NULL)),
    CHECK ((part_id IS NULL) <> (motor_id IS NULL))
);
CREATE INDEX alternates_of_part_idx ON alternates (of_part_id);
CREATE INDEX alternates_of_motor_idx ON alternates (of_motor_id);

-- What lies on the shelf today is the first movement of each motor.
INSERT INTO stock_moves (motor_id, kind, amount, why, moved_at)
SELECT motor_id, 'counted', held * 1000, 'On the shelf before movements were kept', 0
FROM shelf_motors WHERE held > 0;
