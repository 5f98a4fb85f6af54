-- What the search looks in, kept by triggers so that no write can forget it. The words of a row come
-- from one view each, which the triggers and a rebuild both read. Built-in means only: pg_trgm is an
-- extension that a shop may have no right to create.

-- Small letters without accents. Normalising is for UTF-8 only; elsewhere letters stay as they are.
CREATE FUNCTION search_fold (t TEXT) RETURNS TEXT LANGUAGE plpgsql IMMUTABLE PARALLEL SAFE AS $$
BEGIN
    IF getdatabaseencoding() = 'UTF8' THEN
        RETURN lower(regexp_replace(regexp_replace(normalize(t, NFKD), '[\u0300-\u036f]', '', 'g'),
            '[\u00a1-\u00bf\u00d7\u00f7\u2000-\u206f\u3000-\u303f]', ' ', 'g'));
    END IF;
    RETURN lower(t);
END $$;

-- The words of a text; an overlong one by its beginning.
CREATE FUNCTION search_vector (t TEXT) RETURNS TSVECTOR LANGUAGE plpgsql IMMUTABLE PARALLEL SAFE AS $$
BEGIN
    RETURN array_to_tsvector(ARRAY(
        SELECT DISTINCT left(w, 60)
        FROM regexp_split_to_table(search_fold(t), '[\s\x01-\x2f\x3a-\x40\x5b-\x60\x7b-\x7f]+') w
        WHERE w <> ''));
END $$;

-- What people wrote in an entry. A body that this database cannot read adds no words.
CREATE FUNCTION search_entry (body TEXT) RETURNS TEXT LANGUAGE plpgsql IMMUTABLE PARALLEL SAFE AS $$
DECLARE b JSON;
BEGIN
    b := body::JSON;
    RETURN concat_ws(' ', b ->> 'what', b ->> 'text', b ->> 'work_done', b ->> 'condition',
        b ->> 'evidence', b ->> 'note');
EXCEPTION WHEN OTHERS THEN
    RETURN '';
END $$;

CREATE TABLE search_machines (
    id BIGINT PRIMARY KEY REFERENCES machines (id) ON DELETE CASCADE,
    words TSVECTOR NOT NULL
);
CREATE TABLE search_jobs (
    id BIGINT PRIMARY KEY REFERENCES jobs (id) ON DELETE CASCADE,
    words TSVECTOR NOT NULL
);
CREATE TABLE search_motors (
    id BIGINT PRIMARY KEY REFERENCES motors (id) ON DELETE CASCADE,
    words TSVECTOR NOT NULL
);
CREATE TABLE search_panels (
    id BIGINT PRIMARY KEY REFERENCES panels (id) ON DELETE CASCADE,
    words TSVECTOR NOT NULL
);

CREATE VIEW search_machine_words AS
SELECT m.id, m.place_id, concat_ws(' ', m.tag, replace(replace(replace(m.tag, '-', ''), ' ', ''), '.', ''),
    m.name, replace(m.kind, '_', ' '), m.serves,
    (WITH RECURSIVE up (id, parent_id, name) AS (
            SELECT p.id, p.parent_id, p.name FROM places p WHERE p.id = m.place_id
            UNION
            SELECT p.id, p.parent_id, p.name FROM places p JOIN up ON p.id = up.parent_id
        )
        SELECT string_agg(name, ' ') FROM up),
    (SELECT name || ' ' || plate_text FROM motors WHERE id = m.fitted_motor_id),
    (SELECT name || ' ' || plate_text FROM motors WHERE id = m.design_motor_id
        AND m.design_motor_id IS DISTINCT FROM m.fitted_motor_id)) AS words
FROM machines m;

CREATE VIEW search_job_words AS
SELECT j.id, j.machine_id, concat_ws(' ', j.id, j.words, j.scope, j.component, j.mode, j.mechanism,
    j.cause,
    (SELECT tag || ' ' || replace(replace(replace(tag, '-', ''), ' ', ''), '.', '')
        FROM machines WHERE id = j.machine_id),
    (SELECT string_agg(search_entry(e.body), ' ') FROM entries e WHERE e.job_id = j.id)) AS words
FROM jobs j;

CREATE VIEW search_motor_words AS SELECT id, name || ' ' || plate_text AS words FROM motors;

CREATE VIEW search_panel_words AS
SELECT p.id, concat_ws(' ', p.name, p.supply, p.note,
    (SELECT string_agg(number || ' ' || label_read, ' ') FROM circuits WHERE panel_id = p.id)) AS words
FROM panels p;

CREATE FUNCTION search_write_machines (BIGINT[]) RETURNS VOID LANGUAGE sql AS $$
    INSERT INTO search_machines SELECT id, search_vector(words) FROM search_machine_words
    WHERE id = ANY ($1) ON CONFLICT (id) DO UPDATE SET words = excluded.words
$$;
CREATE FUNCTION search_write_jobs (BIGINT[]) RETURNS VOID LANGUAGE sql AS $$
    INSERT INTO search_jobs SELECT id, search_vector(words) FROM search_job_words
    WHERE id = ANY ($1) ON CONFLICT (id) DO UPDATE SET words = excluded.words
$$;
CREATE FUNCTION search_write_panels (BIGINT) RETURNS VOID LANGUAGE sql AS $$
    INSERT INTO search_panels SELECT id, search_vector(words) FROM search_panel_words
    WHERE id = $1 ON CONFLICT (id) DO UPDATE SET words = excluded.words
$$;

CREATE FUNCTION search_on_machine () RETURNS TRIGGER LANGUAGE plpgsql AS $$
BEGIN
    PERFORM search_write_machines(ARRAY[NEW.id]);
    IF TG_OP = 'UPDATE' AND NEW.tag <> OLD.tag THEN
        PERFORM search_write_jobs(ARRAY(SELECT id FROM jobs WHERE machine_id = NEW.id));
    END IF;
    RETURN NULL;
END $$;
CREATE TRIGGER search_machine AFTER INSERT OR UPDATE OF tag, name, kind, serves, place_id,
    design_motor_id, fitted_motor_id ON machines FOR EACH ROW EXECUTE FUNCTION search_on_machine();

CREATE FUNCTION search_on_place () RETURNS TRIGGER LANGUAGE plpgsql AS $$
BEGIN
    PERFORM search_write_machines(ARRAY(
        WITH RECURSIVE down (id) AS (
            SELECT NEW.id
            UNION
            SELECT p.id FROM places p JOIN down ON p.parent_id = down.id
        )
        SELECT m.id FROM machines m JOIN down ON m.place_id = down.id));
    RETURN NULL;
END $$;
CREATE TRIGGER search_place AFTER UPDATE OF name, parent_id ON places FOR EACH ROW
    WHEN (NEW.name <> OLD.name OR NEW.parent_id IS DISTINCT FROM OLD.parent_id)
    EXECUTE FUNCTION search_on_place();

CREATE FUNCTION search_on_motor () RETURNS TRIGGER LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO search_motors SELECT id, search_vector(words) FROM search_motor_words
    WHERE id = NEW.id ON CONFLICT (id) DO UPDATE SET words = excluded.words;
    IF TG_OP = 'UPDATE' THEN
        PERFORM search_write_machines(ARRAY(SELECT id FROM machines
            WHERE design_motor_id = NEW.id OR fitted_motor_id = NEW.id));
    END IF;
    RETURN NULL;
END $$;
CREATE TRIGGER search_motor AFTER INSERT OR UPDATE OF name, plate_text ON motors FOR EACH ROW
    EXECUTE FUNCTION search_on_motor();

CREATE FUNCTION search_on_job () RETURNS TRIGGER LANGUAGE plpgsql AS $$
BEGIN
    PERFORM search_write_jobs(ARRAY[NEW.id]);
    RETURN NULL;
END $$;
CREATE TRIGGER search_job_new AFTER INSERT ON jobs FOR EACH ROW EXECUTE FUNCTION search_on_job();
CREATE TRIGGER search_job_changed AFTER UPDATE ON jobs FOR EACH ROW
    WHEN (NEW.words <> OLD.words OR NEW.scope <> OLD.scope OR NEW.component <> OLD.component
        OR NEW.mode <> OLD.mode OR NEW.mechanism <> OLD.mechanism OR NEW.cause <> OLD.cause
        OR NEW.machine_id IS DISTINCT FROM OLD.machine_id)
    EXECUTE FUNCTION search_on_job();

CREATE FUNCTION search_on_entry () RETURNS TRIGGER LANGUAGE plpgsql AS $$
BEGIN
    PERFORM search_write_jobs(ARRAY[NEW.job_id]);
    RETURN NULL;
END $$;
CREATE TRIGGER search_entry_new AFTER INSERT ON entries FOR EACH ROW
    WHEN (NEW.kind NOT IN
        ('reported', 'lock_on', 'lock_off', 'handed_out', 'people_told', 'dead_test', 'photo'))
    EXECUTE FUNCTION search_on_entry();

CREATE FUNCTION search_on_panel () RETURNS TRIGGER LANGUAGE plpgsql AS $$
BEGIN
    PERFORM search_write_panels(NEW.id);
    RETURN NULL;
END $$;
CREATE TRIGGER search_panel AFTER INSERT OR UPDATE OF name, supply, note ON panels FOR EACH ROW
    EXECUTE FUNCTION search_on_panel();
CREATE FUNCTION search_on_circuit () RETURNS TRIGGER LANGUAGE plpgsql AS $$
BEGIN
    PERFORM search_write_panels(NEW.panel_id);
    RETURN NULL;
END $$;
CREATE TRIGGER search_circuit AFTER INSERT OR UPDATE OF number, label_read ON circuits FOR EACH ROW
    EXECUTE FUNCTION search_on_circuit();

INSERT INTO search_machines SELECT id, search_vector(words) FROM search_machine_words;
INSERT INTO search_jobs SELECT id, search_vector(words) FROM search_job_words;
INSERT INTO search_motors SELECT id, search_vector(words) FROM search_motor_words;
INSERT INTO search_panels SELECT id, search_vector(words) FROM search_panel_words;
-- Written through at once: a search never reads through a list of pending words.
CREATE INDEX search_machines_idx ON search_machines USING gin (words) WITH (fastupdate = off);
CREATE INDEX search_jobs_idx ON search_jobs USING gin (words) WITH (fastupdate = off);
CREATE INDEX search_motors_idx ON search_motors USING gin (words) WITH (fastupdate = off);
CREATE INDEX search_panels_idx ON search_panels USING gin (words) WITH (fastupdate = off);

-- A tag as it may be mistyped: without marks, with o as 0 and i and l as 1.
CREATE INDEX machines_tag_key_idx ON machines (replace(replace(replace(replace(replace(replace(
    replace(replace(lower(tag), '-', ''), ' ', ''), '.', ''), '/', ''), '_', ''), 'o', '0'),
    'i', '1'), 'l', '1'));
CREATE INDEX machines_design_motor_idx ON machines (design_motor_id);
CREATE INDEX machines_fitted_motor_idx ON machines (fitted_motor_id);
