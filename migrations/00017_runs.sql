-- +goose Up
SET LOCAL lock_timeout = '5s';

-- One measuring session on a build as it stood, its build_version. What it is
-- held against is registered here, before anything is read: the set of
-- coefficients, the version of the calculation, the quantities that it is judged
-- by, and limits that were declared instead of the intervals of the prediction.
CREATE TABLE runs (
    id               bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT runs_id_key PRIMARY KEY,
    build_id         bigint NOT NULL CONSTRAINT runs_build_id_fk REFERENCES builds (id) ON DELETE RESTRICT,
    number           integer NOT NULL CONSTRAINT runs_number_check CHECK (number >= 1),
    build_version    integer NOT NULL,
    title            text NOT NULL CONSTRAINT runs_title_check CHECK (char_length(title) BETWEEN 1 AND 120),
    purpose          text NOT NULL CONSTRAINT runs_purpose_check CHECK (char_length(purpose) <= 2000),
    coefficient_set  text NOT NULL CONSTRAINT runs_coefficient_set_fk REFERENCES coefficient_sets (name) ON DELETE RESTRICT,
    calc_version     text NOT NULL CONSTRAINT runs_calc_version_check CHECK (char_length(calc_version) BETWEEN 1 AND 40),
    required         jsonb NOT NULL CONSTRAINT runs_required_check CHECK (jsonb_typeof(required) = 'array'),
    limits           jsonb NOT NULL CONSTRAINT runs_limits_check CHECK (jsonb_typeof(limits) = 'object'),
    opened_by        bigint NOT NULL CONSTRAINT runs_opened_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    opened_at        timestamptz NOT NULL,
    client_key       text NOT NULL CONSTRAINT runs_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    version          bigint NOT NULL CONSTRAINT runs_version_check CHECK (version >= 1),
    CONSTRAINT runs_build_id_number_key UNIQUE (build_id, number),
    CONSTRAINT runs_opened_by_client_key_key UNIQUE (opened_by, client_key),
    CONSTRAINT runs_build_id_build_version_fk FOREIGN KEY (build_id, build_version) REFERENCES build_versions (build_id, number) ON DELETE RESTRICT
);
CREATE INDEX runs_coefficient_set ON runs (coefficient_set);

-- An operating point; setting says how the air left.
CREATE TABLE run_points (
    id          bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT run_points_id_key PRIMARY KEY,
    run_id      bigint NOT NULL CONSTRAINT run_points_run_id_fk REFERENCES runs (id) ON DELETE RESTRICT,
    number      integer NOT NULL CONSTRAINT run_points_number_check CHECK (number BETWEEN 1 AND 50),
    name        text NOT NULL CONSTRAINT run_points_name_check CHECK (char_length(name) BETWEEN 1 AND 120),
    setting     text NOT NULL CONSTRAINT run_points_setting_check CHECK (setting IN ('as_drawn', 'shut', 'open', 'held', 'all')),
    note        text NOT NULL CONSTRAINT run_points_note_check CHECK (char_length(note) <= 2000),
    added_by    bigint NOT NULL CONSTRAINT run_points_added_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at          timestamptz NOT NULL,
    client_key  text NOT NULL CONSTRAINT run_points_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT run_points_run_id_number_key UNIQUE (run_id, number),
    CONSTRAINT run_points_id_run_id_key UNIQUE (id, run_id),
    CONSTRAINT run_points_added_by_client_key_key UNIQUE (added_by, client_key)
);

-- One reading set, as it came: values in the unit of the method, null where
-- one is missing; typed letter for letter; instrument as the register had it
-- then; certified whether a certificate held for the machine when it arrived.
CREATE TABLE run_readings (
    id             bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT run_readings_id_key PRIMARY KEY,
    run_id         bigint NOT NULL CONSTRAINT run_readings_run_id_fk REFERENCES runs (id) ON DELETE RESTRICT,
    point_id       bigint NOT NULL,
    quantity       text NOT NULL CONSTRAINT run_readings_quantity_check CHECK (char_length(quantity) BETWEEN 1 AND 80),
    method         text NOT NULL CONSTRAINT run_readings_method_check CHECK (char_length(method) BETWEEN 1 AND 40),
    instrument_id  bigint CONSTRAINT run_readings_instrument_id_fk REFERENCES instruments (id) ON DELETE RESTRICT,
    instrument     jsonb CONSTRAINT run_readings_instrument_check CHECK (jsonb_typeof(instrument) = 'object'),
    typed          jsonb NOT NULL CONSTRAINT run_readings_typed_check CHECK (jsonb_typeof(typed) = 'object'),
    values         double precision[] NOT NULL CONSTRAINT run_readings_values_check
                   CHECK (array_ndims(values) IS NOT DISTINCT FROM 1 AND cardinality(values) <= 1000
                       AND ('NaN'::float8 = ANY (values) OR 'Infinity'::float8 = ANY (values) OR '-Infinity'::float8 = ANY (values)) IS NOT TRUE
                       AND num_nonnulls(VARIADIC values) > 0),
    extra          jsonb NOT NULL CONSTRAINT run_readings_extra_check CHECK (jsonb_typeof(extra) = 'object'),
    reset          boolean NOT NULL,
    certified      boolean NOT NULL,
    taken_by       bigint NOT NULL CONSTRAINT run_readings_taken_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    taken_at       timestamptz NOT NULL,
    device_at      timestamptz,
    client_key     text NOT NULL CONSTRAINT run_readings_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT run_readings_instrument_id_instrument_check CHECK ((instrument_id IS NULL) = (instrument IS NULL)),
    CONSTRAINT run_readings_point_id_run_id_fk FOREIGN KEY (point_id, run_id) REFERENCES run_points (id, run_id) ON DELETE RESTRICT,
    CONSTRAINT run_readings_taken_by_client_key_key UNIQUE (taken_by, client_key)
);
CREATE INDEX run_readings_run_id ON run_readings (run_id, id);
CREATE INDEX run_readings_point_id ON run_readings (point_id);
CREATE INDEX run_readings_instrument_id ON run_readings (instrument_id);

-- A reading that was struck through, or one of its values, by its position, that
-- was excluded. It stays.
CREATE TABLE run_strikes (
    id          bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT run_strikes_id_key PRIMARY KEY,
    reading_id  bigint NOT NULL CONSTRAINT run_strikes_reading_id_fk REFERENCES run_readings (id) ON DELETE RESTRICT,
    position    integer CONSTRAINT run_strikes_position_check CHECK (position BETWEEN 1 AND 1000),
    reason      text NOT NULL CONSTRAINT run_strikes_reason_check CHECK (char_length(reason) BETWEEN 1 AND 500),
    who         bigint NOT NULL CONSTRAINT run_strikes_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at          timestamptz NOT NULL,
    client_key  text NOT NULL CONSTRAINT run_strikes_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT run_strikes_who_client_key_key UNIQUE (who, client_key)
);
CREATE UNIQUE INDEX run_strikes_reading_id_position_key ON run_strikes (reading_id, (coalesce(position, 0)));

-- From then on nothing is added to the run.
CREATE TABLE run_submissions (
    run_id  bigint CONSTRAINT run_submissions_run_id_key PRIMARY KEY
            CONSTRAINT run_submissions_run_id_fk REFERENCES runs (id) ON DELETE RESTRICT,
    who     bigint NOT NULL CONSTRAINT run_submissions_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at      timestamptz NOT NULL
);
CREATE INDEX run_submissions_who ON run_submissions (who);

-- The verdict, letter for letter as it was worked out once.
CREATE TABLE run_verdicts (
    run_id  bigint CONSTRAINT run_verdicts_run_id_key PRIMARY KEY
            CONSTRAINT run_verdicts_run_id_fk REFERENCES run_submissions (run_id) ON DELETE RESTRICT,
    body    text NOT NULL CONSTRAINT run_verdicts_body_check CHECK (jsonb_typeof(body::jsonb) = 'object'),
    digest  bytea NOT NULL CONSTRAINT run_verdicts_digest_check CHECK (digest = sha256(convert_to(body, 'UTF8'))),
    seed    text NOT NULL CONSTRAINT run_verdicts_seed_check CHECK (char_length(seed) BETWEEN 1 AND 200),
    draws   integer NOT NULL CONSTRAINT run_verdicts_draws_check CHECK (draws >= 0),
    at      timestamptz NOT NULL
);

-- What was signed about the run: that it counts, or that it is not to.
CREATE TABLE run_ends (
    id      bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT run_ends_id_key PRIMARY KEY,
    run_id  bigint NOT NULL CONSTRAINT run_ends_run_id_fk REFERENCES runs (id) ON DELETE RESTRICT,
    kind    text NOT NULL CONSTRAINT run_ends_kind_check CHECK (kind IN ('confirmed', 'set_aside')),
    reason  text NOT NULL,
    who     bigint NOT NULL CONSTRAINT run_ends_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at      timestamptz NOT NULL,
    link    bigint NOT NULL CONSTRAINT run_ends_link_key UNIQUE
            CONSTRAINT run_ends_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT run_ends_kind_reason_check CHECK (CASE kind WHEN 'confirmed' THEN reason = '' ELSE char_length(reason) BETWEEN 1 AND 2000 END),
    CONSTRAINT run_ends_run_id_kind_key UNIQUE (run_id, kind)
);
CREATE INDEX run_ends_who ON run_ends (who);

CREATE TRIGGER runs_kept BEFORE UPDATE OF id, build_id, number, build_version, title, purpose, coefficient_set, calc_version, required, limits, opened_by, opened_at, client_key
    OR DELETE ON runs FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER runs_kept_truncate BEFORE TRUNCATE ON runs FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER run_points_append_only BEFORE UPDATE OR DELETE ON run_points FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER run_points_append_only_truncate BEFORE TRUNCATE ON run_points FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER run_readings_append_only BEFORE UPDATE OR DELETE ON run_readings FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER run_readings_append_only_truncate BEFORE TRUNCATE ON run_readings FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER run_strikes_append_only BEFORE UPDATE OR DELETE ON run_strikes FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER run_strikes_append_only_truncate BEFORE TRUNCATE ON run_strikes FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER run_submissions_append_only BEFORE UPDATE OR DELETE ON run_submissions FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER run_submissions_append_only_truncate BEFORE TRUNCATE ON run_submissions FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER run_verdicts_append_only BEFORE UPDATE OR DELETE ON run_verdicts FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER run_verdicts_append_only_truncate BEFORE TRUNCATE ON run_verdicts FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER run_ends_append_only BEFORE UPDATE OR DELETE ON run_ends FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER run_ends_append_only_truncate BEFORE TRUNCATE ON run_ends FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE runs ENABLE ALWAYS TRIGGER runs_kept;
ALTER TABLE runs ENABLE ALWAYS TRIGGER runs_kept_truncate;
ALTER TABLE run_points ENABLE ALWAYS TRIGGER run_points_append_only;
ALTER TABLE run_points ENABLE ALWAYS TRIGGER run_points_append_only_truncate;
ALTER TABLE run_readings ENABLE ALWAYS TRIGGER run_readings_append_only;
ALTER TABLE run_readings ENABLE ALWAYS TRIGGER run_readings_append_only_truncate;
ALTER TABLE run_strikes ENABLE ALWAYS TRIGGER run_strikes_append_only;
ALTER TABLE run_strikes ENABLE ALWAYS TRIGGER run_strikes_append_only_truncate;
ALTER TABLE run_submissions ENABLE ALWAYS TRIGGER run_submissions_append_only;
ALTER TABLE run_submissions ENABLE ALWAYS TRIGGER run_submissions_append_only_truncate;
ALTER TABLE run_verdicts ENABLE ALWAYS TRIGGER run_verdicts_append_only;
ALTER TABLE run_verdicts ENABLE ALWAYS TRIGGER run_verdicts_append_only_truncate;
ALTER TABLE run_ends ENABLE ALWAYS TRIGGER run_ends_append_only;
ALTER TABLE run_ends ENABLE ALWAYS TRIGGER run_ends_append_only_truncate;

-- A run is opened on the machine as it stands, finished and not scrapped, of a
-- revision that was not withdrawn, and holds to what its prediction was worked
-- out with. The lock keeps the machine as it is.
-- +goose StatementBegin
CREATE FUNCTION refuse_run_of_other() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM builds b JOIN build_versions v ON v.build_id = b.id AND v.number = b.newest JOIN revisions r ON r.id = b.revision_id
            JOIN accounts a ON a.id = NEW.opened_by
        WHERE b.id = NEW.build_id AND b.state IN ('built', 'in_service', 'laid_up') AND r.state <> 'withdrawn' AND a.closed_at IS NULL
            AND v.number = NEW.build_version AND v.calc_version = NEW.calc_version AND coalesce(v.report ->> 'coefficient_set', '0') = NEW.coefficient_set
        FOR SHARE OF b, r;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a run that may not be opened'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER runs_of_newest BEFORE INSERT ON runs FOR EACH ROW EXECUTE FUNCTION refuse_run_of_other();
ALTER TABLE runs ENABLE ALWAYS TRIGGER runs_of_newest;

-- Points and readings are added while the run is open and its machine is the one
-- that it was opened for; what is struck, while it is open. The locks keep it so.
-- +goose StatementBegin
CREATE FUNCTION refuse_frozen_run() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    run bigint;
BEGIN
    IF TG_TABLE_NAME = 'run_strikes' THEN
        SELECT run_id INTO run FROM run_readings WHERE id = NEW.reading_id AND coalesce(NEW.position, 1) <= cardinality(values);
    ELSE
        run := NEW.run_id;
    END IF;
    PERFORM 1 FROM runs WHERE id = run FOR NO KEY UPDATE;
    PERFORM 1 FROM runs r JOIN builds b ON b.id = r.build_id
        WHERE r.id = run AND (TG_TABLE_NAME = 'run_strikes' OR b.newest = r.build_version)
            AND NOT EXISTS (SELECT 1 FROM run_submissions s WHERE s.run_id = r.id) AND NOT EXISTS (SELECT 1 FROM run_ends e WHERE e.run_id = r.id)
        FOR SHARE OF b;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a run that takes nothing more'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER run_points_in_time BEFORE INSERT ON run_points FOR EACH ROW EXECUTE FUNCTION refuse_frozen_run();
CREATE TRIGGER run_readings_in_time BEFORE INSERT ON run_readings FOR EACH ROW EXECUTE FUNCTION refuse_frozen_run();
CREATE TRIGGER run_strikes_in_time BEFORE INSERT ON run_strikes FOR EACH ROW EXECUTE FUNCTION refuse_frozen_run();
ALTER TABLE run_points ENABLE ALWAYS TRIGGER run_points_in_time;
ALTER TABLE run_readings ENABLE ALWAYS TRIGGER run_readings_in_time;
ALTER TABLE run_strikes ENABLE ALWAYS TRIGGER run_strikes_in_time;

-- A run that was set aside is neither submitted nor judged.
-- +goose StatementBegin
CREATE FUNCTION refuse_run_aside() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM runs WHERE id = NEW.run_id FOR NO KEY UPDATE;
    IF EXISTS (SELECT 1 FROM run_ends WHERE run_id = NEW.run_id) THEN
        RAISE EXCEPTION 'a run that was set aside'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER run_submissions_of_open BEFORE INSERT ON run_submissions FOR EACH ROW EXECUTE FUNCTION refuse_run_aside();
CREATE TRIGGER run_verdicts_of_submitted BEFORE INSERT ON run_verdicts FOR EACH ROW EXECUTE FUNCTION refuse_run_aside();
ALTER TABLE run_submissions ENABLE ALWAYS TRIGGER run_submissions_of_open;
ALTER TABLE run_verdicts ENABLE ALWAYS TRIGGER run_verdicts_of_submitted;

-- Whoever opened the run, or added, read, struck or submitted something.
-- +goose StatementBegin
CREATE FUNCTION took_part_in_run(run bigint, person bigint) RETURNS boolean LANGUAGE sql STABLE AS $$
    SELECT EXISTS (SELECT 1 FROM runs WHERE id = run AND opened_by = person)
        OR EXISTS (SELECT 1 FROM run_points WHERE run_id = run AND added_by = person)
        OR EXISTS (SELECT 1 FROM run_readings WHERE run_id = run AND taken_by = person)
        OR EXISTS (SELECT 1 FROM run_strikes s JOIN run_readings g ON g.id = s.reading_id WHERE g.run_id = run AND s.who = person)
        OR EXISTS (SELECT 1 FROM run_submissions WHERE run_id = run AND who = person)
$$;
-- +goose StatementEnd

-- A run is confirmed by a steward who neither built the machine nor took part in
-- it, once its verdict stands. It is set aside, once, by such a steward, or by
-- whoever opened it until it is confirmed. The locks keep the role, and the run
-- as it is.
-- +goose StatementBegin
CREATE FUNCTION refuse_run_end_by_others() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM runs WHERE id = NEW.run_id FOR NO KEY UPDATE;
    PERFORM 1 FROM runs r, accounts a
        WHERE r.id = NEW.run_id AND a.id = NEW.who AND a.closed_at IS NULL AND (
            a.steward AND NOT has_built(r.build_id, a.id) AND NOT took_part_in_run(r.id, a.id)
            OR NEW.kind = 'set_aside' AND r.opened_by = a.id AND NOT EXISTS (SELECT 1 FROM run_ends e WHERE e.run_id = r.id))
        FOR SHARE OF a;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a run is judged by a steward who neither built the machine nor took part in it'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;

CREATE FUNCTION refuse_run_end_early() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.kind = 'confirmed' AND (NOT EXISTS (SELECT 1 FROM run_verdicts WHERE run_id = NEW.run_id) OR EXISTS (SELECT 1 FROM run_ends WHERE run_id = NEW.run_id)) THEN
        RAISE EXCEPTION 'a run without its verdict, or about which was signed before'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER run_ends_by_uninvolved BEFORE INSERT ON run_ends FOR EACH ROW EXECUTE FUNCTION refuse_run_end_by_others();
CREATE TRIGGER run_ends_in_turn BEFORE INSERT ON run_ends FOR EACH ROW EXECUTE FUNCTION refuse_run_end_early();
ALTER TABLE run_ends ENABLE ALWAYS TRIGGER run_ends_by_uninvolved;
ALTER TABLE run_ends ENABLE ALWAYS TRIGGER run_ends_in_turn;
