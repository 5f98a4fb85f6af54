-- What the search looks in, kept by triggers so that no write can forget it. The words of a row come
-- from one view each, which the triggers and a rebuild both read.
CREATE VIRTUAL TABLE search_machines USING fts5 (words, content = '', contentless_delete = 1,
    prefix = '2 3 4 5 6', tokenize = 'unicode61 remove_diacritics 2');
CREATE VIRTUAL TABLE search_jobs USING fts5 (words, content = '', contentless_delete = 1,
    prefix = '2 3 4 5 6', tokenize = 'unicode61 remove_diacritics 2');
CREATE VIRTUAL TABLE search_motors USING fts5 (words, content = '', contentless_delete = 1,
    prefix = '2 3 4 5 6', tokenize = 'unicode61 remove_diacritics 2');
CREATE VIRTUAL TABLE search_panels USING fts5 (words, content = '', contentless_delete = 1,
    prefix = '2 3 4 5 6', tokenize = 'unicode61 remove_diacritics 2');

-- A place and everything above it, itself included.
CREATE VIEW search_place_above AS
WITH RECURSIVE up (id, above_id) AS (
    SELECT id, id FROM places
    UNION
    SELECT up.id, p.parent_id FROM up JOIN places p ON p.id = up.above_id
    WHERE p.parent_id IS NOT NULL
)
SELECT id, above_id FROM up;

CREATE VIEW search_machine_words AS
SELECT m.id, m.tag || ' ' || replace(replace(replace(m.tag, '-', ''), ' ', ''), '.', '') || ' '
    || m.name || ' ' || replace(m.kind, '_', ' ') || ' ' || m.serves || ' '
    || COALESCE((WITH RECURSIVE up (id, parent_id, name) AS (
            SELECT id, parent_id, name FROM places WHERE id = m.place_id
            UNION
            SELECT p.id, p.parent_id, p.name FROM places p JOIN up ON p.id = up.parent_id
        )
        SELECT group_concat(name, ' ') FROM up), '') || ' '
    || COALESCE((SELECT name || ' ' || plate_text FROM motors WHERE id = m.fitted_motor_id), '')
    || ' ' || COALESCE((SELECT name || ' ' || plate_text FROM motors
        WHERE id = m.design_motor_id AND m.design_motor_id IS NOT m.fitted_motor_id), '') AS words
FROM machines m;

CREATE VIEW search_job_words AS
SELECT j.id, j.id || ' ' || j.words || ' ' || j.scope || ' ' || j.component || ' ' || j.mode || ' '
    || j.mechanism || ' ' || j.cause || ' '
    || COALESCE((SELECT tag || ' ' || replace(replace(replace(tag, '-', ''), ' ', ''), '.', '')
        FROM machines WHERE id = j.machine_id), '') || ' '
    || COALESCE((SELECT group_concat(
            COALESCE(json_extract(e.body, '$.what'), '') || ' '
            || COALESCE(json_extract(e.body, '$.text'), '') || ' '
            || COALESCE(json_extract(e.body, '$.work_done'), '') || ' '
            || COALESCE(json_extract(e.body, '$.condition'), '') || ' '
            || COALESCE(json_extract(e.body, '$.evidence'), '') || ' '
            || COALESCE(json_extract(e.body, '$.note'), ''), ' ')
        FROM entries e WHERE e.job_id = j.id), '') AS words
FROM jobs j;

CREATE VIEW search_motor_words AS SELECT id, name || ' ' || plate_text AS words FROM motors;

CREATE VIEW search_panel_words AS
SELECT p.id, p.name || ' ' || p.supply || ' ' || p.note || ' '
    || COALESCE((SELECT group_concat(number || ' ' || label_read, ' ')
        FROM circuits WHERE panel_id = p.id), '') AS words
FROM panels p;

CREATE TRIGGER search_machine_new AFTER INSERT ON machines BEGIN
    INSERT INTO search_machines (rowid, words) SELECT id, words FROM search_machine_words
    WHERE id = NEW.id;
END;
CREATE TRIGGER search_machine_changed AFTER UPDATE OF tag, name, kind, serves, place_id,
    design_motor_id, fitted_motor_id ON machines BEGIN
    DELETE FROM search_machines WHERE rowid = NEW.id;
    INSERT INTO search_machines (rowid, words) SELECT id, words FROM search_machine_words
    WHERE id = NEW.id;
END;
CREATE TRIGGER search_machine_gone AFTER DELETE ON machines BEGIN
    DELETE FROM search_machines WHERE rowid = OLD.id;
END;
CREATE TRIGGER search_machine_tag AFTER UPDATE OF tag ON machines WHEN NEW.tag <> OLD.tag BEGIN
    DELETE FROM search_jobs WHERE rowid IN (SELECT id FROM jobs WHERE machine_id = NEW.id);
    INSERT INTO search_jobs (rowid, words) SELECT w.id, w.words
    FROM jobs j JOIN search_job_words w ON w.id = j.id WHERE j.machine_id = NEW.id;
END;
CREATE TRIGGER search_place_changed AFTER UPDATE OF name, parent_id ON places
WHEN NEW.name <> OLD.name OR NEW.parent_id IS NOT OLD.parent_id BEGIN
    DELETE FROM search_machines WHERE rowid IN (SELECT m.id FROM search_place_above a
        JOIN machines m ON m.place_id = a.id WHERE a.above_id = NEW.id);
    INSERT INTO search_machines (rowid, words) SELECT id, words FROM search_machine_words
    WHERE id IN (SELECT m.id FROM search_place_above a
        JOIN machines m ON m.place_id = a.id WHERE a.above_id = NEW.id);
END;
CREATE TRIGGER search_motor_new AFTER INSERT ON motors BEGIN
    INSERT INTO search_motors (rowid, words) SELECT id, words FROM search_motor_words
    WHERE id = NEW.id;
END;
CREATE TRIGGER search_motor_changed AFTER UPDATE OF name, plate_text ON motors BEGIN
    DELETE FROM search_motors WHERE rowid = NEW.id;
    INSERT INTO search_motors (rowid, words) SELECT id, words FROM search_motor_words
    WHERE id = NEW.id;
    DELETE FROM search_machines WHERE rowid IN
        (SELECT id FROM machines WHERE design_motor_id = NEW.id OR fitted_motor_id = NEW.id);
    INSERT INTO search_machines (rowid, words) SELECT id, words FROM search_machine_words
    WHERE id IN (SELECT id FROM machines WHERE design_motor_id = NEW.id OR fitted_motor_id = NEW.id);
END;
CREATE TRIGGER search_motor_gone AFTER DELETE ON motors BEGIN
    DELETE FROM search_motors WHERE rowid = OLD.id;
END;
CREATE TRIGGER search_job_new AFTER INSERT ON jobs BEGIN
    INSERT INTO search_jobs (rowid, words) SELECT id, words FROM search_job_words WHERE id = NEW.id;
END;
CREATE TRIGGER search_job_changed AFTER UPDATE ON jobs
WHEN NEW.words <> OLD.words OR NEW.scope <> OLD.scope OR NEW.component <> OLD.component
    OR NEW.mode <> OLD.mode OR NEW.mechanism <> OLD.mechanism OR NEW.cause <> OLD.cause
    OR NEW.machine_id IS NOT OLD.machine_id BEGIN
    DELETE FROM search_jobs WHERE rowid = NEW.id;
    INSERT INTO search_jobs (rowid, words) SELECT id, words FROM search_job_words WHERE id = NEW.id;
END;
CREATE TRIGGER search_job_gone AFTER DELETE ON jobs BEGIN
    DELETE FROM search_jobs WHERE rowid = OLD.id;
END;
CREATE TRIGGER search_entry_new AFTER INSERT ON entries WHEN NEW.kind NOT IN
    ('reported', 'lock_on', 'lock_off', 'handed_out', 'people_told', 'dead_test', 'photo') BEGIN
    DELETE FROM search_jobs WHERE rowid = NEW.job_id;
    INSERT INTO search_jobs (rowid, words) SELECT id, words FROM search_job_words
    WHERE id = NEW.job_id;
END;
CREATE TRIGGER search_panel_new AFTER INSERT ON panels BEGIN
    INSERT INTO search_panels (rowid, words) SELECT id, words FROM search_panel_words
    WHERE id = NEW.id;
END;
CREATE TRIGGER search_panel_changed AFTER UPDATE OF name, supply, note ON panels BEGIN
    DELETE FROM search_panels WHERE rowid = NEW.id;
    INSERT INTO search_panels (rowid, words) SELECT id, words FROM search_panel_words
    WHERE id = NEW.id;
END;
CREATE TRIGGER search_panel_gone AFTER DELETE ON panels BEGIN
    DELETE FROM search_panels WHERE rowid = OLD.id;
END;
CREATE TRIGGER search_circuit_new AFTER INSERT ON circuits BEGIN
    DELETE FROM search_panels WHERE rowid = NEW.panel_id;
    INSERT INTO search_panels (rowid, words) SELECT id, words FROM search_panel_words
    WHERE id = NEW.panel_id;
END;
CREATE TRIGGER search_circuit_changed AFTER UPDATE OF number, label_read ON circuits BEGIN
    DELETE FROM search_panels WHERE rowid = NEW.panel_id;
    INSERT INTO search_panels (rowid, words) SELECT id, words FROM search_panel_words
    WHERE id = NEW.panel_id;
END;

INSERT INTO search_machines (rowid, words) SELECT id, words FROM search_machine_words;
INSERT INTO search_jobs (rowid, words) SELECT id, words FROM search_job_words;
INSERT INTO search_motors (rowid, words) SELECT id, words FROM search_motor_words;
INSERT INTO search_panels (rowid, words) SELECT id, words FROM search_panel_words;

-- A tag as it may be mistyped: without marks, with o as 0 and i and l as 1.
CREATE INDEX machines_tag_key_idx ON machines (replace(replace(replace(replace(replace(replace(
    replace(replace(lower(tag), '-', ''), ' ', ''), '.', ''), '/', ''), '_', ''), 'o', '0'),
    'i', '1'), 'l', '1'));
CREATE INDEX machines_design_motor_idx ON machines (design_motor_id);
CREATE INDEX machines_fitted_motor_idx ON machines (fitted_motor_id);
