-- +goose Up
SET LOCAL lock_timeout = '5s';

-- A file of a logger, brought to a run in parts. sum is its SHA-256: as it was
-- said, then as it is. Once all parts are there it is complete. One that a run
-- has already is the same as that, and keeps no bytes of its own.
CREATE TABLE series_files (
    id           bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT series_files_id_key PRIMARY KEY,
    run_id       bigint NOT NULL CONSTRAINT series_files_run_id_fk REFERENCES runs (id) ON DELETE RESTRICT,
    name         text NOT NULL CONSTRAINT series_files_name_check CHECK (char_length(name) BETWEEN 1 AND 200),
    size         integer NOT NULL CONSTRAINT series_files_size_check CHECK (size BETWEEN 1 AND 50000000),
    sum          bytea CONSTRAINT series_files_sum_check CHECK (octet_length(sum) = 32),
    added_by     bigint NOT NULL CONSTRAINT series_files_added_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at           timestamptz NOT NULL,
    client_key   text NOT NULL CONSTRAINT series_files_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    complete_at  timestamptz,
    same_as      bigint CONSTRAINT series_files_same_as_fk REFERENCES series_files (id) ON DELETE RESTRICT,
    CONSTRAINT series_files_id_run_id_key UNIQUE (id, run_id),
    CONSTRAINT series_files_added_by_client_key_key UNIQUE (added_by, client_key),
    CONSTRAINT series_files_complete_at_sum_same_as_check CHECK (complete_at IS NULL AND same_as IS NULL OR complete_at IS NOT NULL AND sum IS NOT NULL AND same_as IS DISTINCT FROM id)
);
CREATE INDEX series_files_run_id ON series_files (run_id, id);
CREATE INDEX series_files_same_as ON series_files (same_as);
CREATE UNIQUE INDEX series_files_run_id_sum_key ON series_files (run_id, sum) WHERE complete_at IS NOT NULL AND same_as IS NULL;

CREATE TABLE series_parts (
    file_id  bigint NOT NULL CONSTRAINT series_parts_file_id_fk REFERENCES series_files (id) ON DELETE RESTRICT,
    number   integer NOT NULL CONSTRAINT series_parts_number_check CHECK (number >= 1),
    bytes    bytea NOT NULL,
    CONSTRAINT series_parts_file_id_number_key PRIMARY KEY (file_id, number)
);

-- How a complete file was read: with the answers to what it does not say itself,
-- and what was found. The newest counts. certified says that the machine had a
-- certificate all the time since before the file begins.
CREATE TABLE series_reads (
    file_id    bigint NOT NULL CONSTRAINT series_reads_file_id_fk REFERENCES series_files (id) ON DELETE RESTRICT,
    number     integer NOT NULL CONSTRAINT series_reads_number_check CHECK (number >= 1),
    asked      jsonb NOT NULL CONSTRAINT series_reads_asked_check CHECK (jsonb_typeof(asked) = 'object'),
    report     jsonb NOT NULL CONSTRAINT series_reads_report_check CHECK (jsonb_typeof(report) = 'object'),
    certified  boolean NOT NULL,
    who        bigint NOT NULL CONSTRAINT series_reads_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at         timestamptz NOT NULL,
    CONSTRAINT series_reads_file_id_number_key PRIMARY KEY (file_id, number)
);
CREATE INDEX series_reads_who ON series_reads (who);

-- A logger that sends by itself, for one build. token_sum is the SHA-256 of its
-- token. bytes is how much it has sent, newest the latest time that it told.
CREATE TABLE loggers (
    id          bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT loggers_id_key PRIMARY KEY,
    build_id    bigint NOT NULL CONSTRAINT loggers_build_id_fk REFERENCES builds (id) ON DELETE RESTRICT,
    name        text NOT NULL CONSTRAINT loggers_name_check CHECK (char_length(name) BETWEEN 1 AND 200),
    token_sum   bytea NOT NULL CONSTRAINT loggers_token_sum_key UNIQUE CONSTRAINT loggers_token_sum_check CHECK (octet_length(token_sum) = 32),
    made_by     bigint NOT NULL CONSTRAINT loggers_made_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    made_at     timestamptz NOT NULL,
    client_key  text NOT NULL CONSTRAINT loggers_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    revoked_by  bigint CONSTRAINT loggers_revoked_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    revoked_at  timestamptz,
    bytes       bigint NOT NULL DEFAULT 0 CONSTRAINT loggers_bytes_check CHECK (bytes >= 0),
    heard_at    timestamptz,
    newest      timestamptz,
    CONSTRAINT loggers_made_by_client_key_key UNIQUE (made_by, client_key),
    CONSTRAINT loggers_revoked_by_revoked_at_check CHECK ((revoked_by IS NULL) = (revoked_at IS NULL))
);
CREATE INDEX loggers_build_id ON loggers (build_id, id);
CREATE INDEX loggers_revoked_by ON loggers (revoked_by);

-- The samples that a logger sent at once, with what it was answered. run_id is the
-- run that was open then; null: none was. units are the channels of the run so far,
-- samples how many it has of this logger.
CREATE TABLE logger_batches (
    id          bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT logger_batches_id_key PRIMARY KEY,
    logger_id   bigint NOT NULL CONSTRAINT logger_batches_logger_id_fk REFERENCES loggers (id) ON DELETE RESTRICT,
    run_id      bigint CONSTRAINT logger_batches_run_id_fk REFERENCES runs (id) ON DELETE RESTRICT,
    client_key  text NOT NULL CONSTRAINT logger_batches_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    body        text NOT NULL CONSTRAINT logger_batches_body_check CHECK (octet_length(body) BETWEEN 2 AND 4194304),
    units       jsonb NOT NULL CONSTRAINT logger_batches_units_check CHECK (jsonb_typeof(units) = 'object'),
    samples     integer NOT NULL CONSTRAINT logger_batches_samples_check CHECK (samples BETWEEN 1 AND 1000000),
    answer      jsonb NOT NULL CONSTRAINT logger_batches_answer_check CHECK (jsonb_typeof(answer) = 'object'),
    certified   boolean NOT NULL,
    at          timestamptz NOT NULL,
    CONSTRAINT logger_batches_logger_id_client_key_key UNIQUE (logger_id, client_key)
);
CREATE INDEX logger_batches_run_id ON logger_batches (run_id, logger_id, id);

-- What a window of a series says; it counts as reading of the run. reading is how
-- the file was read then.
CREATE TABLE series_windows (
    id          bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT series_windows_id_key PRIMARY KEY,
    run_id      bigint NOT NULL CONSTRAINT series_windows_run_id_fk REFERENCES runs (id) ON DELETE RESTRICT,
    point_id    bigint NOT NULL CONSTRAINT series_windows_point_id_fk REFERENCES run_points (id) ON DELETE RESTRICT,
    file_id     bigint,
    reading     integer,
    logger_id   bigint CONSTRAINT series_windows_logger_id_fk REFERENCES loggers (id) ON DELETE RESTRICT,
    from_s      double precision NOT NULL CONSTRAINT series_windows_from_s_check CHECK (from_s > '-infinity' AND from_s < 'infinity'),
    to_s        double precision NOT NULL CONSTRAINT series_windows_to_s_check CHECK (to_s > '-infinity' AND to_s < 'infinity'),
    channels    jsonb NOT NULL CONSTRAINT series_windows_channels_check CHECK (jsonb_typeof(channels) = 'array'),
    summary     jsonb NOT NULL CONSTRAINT series_windows_summary_check CHECK (jsonb_typeof(summary) = 'object'),
    decide      boolean NOT NULL,
    certified   boolean NOT NULL,
    who         bigint NOT NULL CONSTRAINT series_windows_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at          timestamptz NOT NULL,
    client_key  text NOT NULL CONSTRAINT series_windows_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT series_windows_file_id_run_id_fk FOREIGN KEY (file_id, run_id) REFERENCES series_files (id, run_id) ON DELETE RESTRICT,
    CONSTRAINT series_windows_file_id_reading_fk FOREIGN KEY (file_id, reading) REFERENCES series_reads (file_id, number) ON DELETE RESTRICT,
    CONSTRAINT series_windows_file_id_reading_logger_id_check CHECK ((file_id IS NULL) = (reading IS NULL) AND (file_id IS NULL) <> (logger_id IS NULL)),
    CONSTRAINT series_windows_from_s_to_s_check CHECK (from_s <= to_s),
    CONSTRAINT series_windows_who_client_key_key UNIQUE (who, client_key)
);
CREATE INDEX series_windows_run_id ON series_windows (run_id, id);
CREATE INDEX series_windows_point_id ON series_windows (point_id);
CREATE INDEX series_windows_file_id_reading ON series_windows (file_id, reading);
CREATE INDEX series_windows_logger_id ON series_windows (logger_id);

-- What somebody says about a window: values that stand out are kept or left out,
-- or the window is struck through. The newest counts.
CREATE TABLE series_decisions (
    id         bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT series_decisions_id_key PRIMARY KEY,
    window_id  bigint NOT NULL CONSTRAINT series_decisions_window_id_fk REFERENCES series_windows (id) ON DELETE RESTRICT,
    decide     text NOT NULL CONSTRAINT series_decisions_decide_check CHECK (decide IN ('keep', 'leave_out', 'strike')),
    reason     text NOT NULL CONSTRAINT series_decisions_reason_check CHECK (char_length(reason) BETWEEN 1 AND 500),
    who        bigint NOT NULL CONSTRAINT series_decisions_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at         timestamptz NOT NULL,
    client_key text NOT NULL CONSTRAINT series_decisions_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT series_decisions_who_client_key_key UNIQUE (who, client_key)
);
CREATE INDEX series_decisions_window_id ON series_decisions (window_id, id);

CREATE TRIGGER series_files_kept BEFORE UPDATE OF id, run_id, name, size, added_by, at, client_key OR DELETE ON series_files FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER series_files_kept_truncate BEFORE TRUNCATE ON series_files FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER series_files_complete_once BEFORE UPDATE ON series_files FOR EACH ROW
    WHEN (OLD.complete_at IS NOT NULL OR OLD.sum IS NOT NULL AND NEW.sum IS DISTINCT FROM OLD.sum) EXECUTE FUNCTION refuse();
CREATE TRIGGER series_parts_kept BEFORE UPDATE ON series_parts FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER series_parts_kept_truncate BEFORE TRUNCATE ON series_parts FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER series_reads_append_only BEFORE UPDATE OR DELETE ON series_reads FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER series_reads_append_only_truncate BEFORE TRUNCATE ON series_reads FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER loggers_kept BEFORE UPDATE OF id, build_id, name, token_sum, made_by, made_at, client_key OR DELETE ON loggers FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER loggers_kept_truncate BEFORE TRUNCATE ON loggers FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER loggers_revoked_once BEFORE UPDATE ON loggers FOR EACH ROW WHEN (OLD.revoked_at IS NOT NULL) EXECUTE FUNCTION refuse();
CREATE TRIGGER logger_batches_append_only BEFORE UPDATE OR DELETE ON logger_batches FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER logger_batches_append_only_truncate BEFORE TRUNCATE ON logger_batches FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER series_windows_append_only BEFORE UPDATE OR DELETE ON series_windows FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER series_windows_append_only_truncate BEFORE TRUNCATE ON series_windows FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER series_decisions_append_only BEFORE UPDATE OR DELETE ON series_decisions FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER series_decisions_append_only_truncate BEFORE TRUNCATE ON series_decisions FOR EACH STATEMENT EXECUTE FUNCTION refuse();

-- Files, windows and samples are added to a run while it takes readings.
CREATE TRIGGER series_files_of_open_run BEFORE INSERT ON series_files FOR EACH ROW EXECUTE FUNCTION refuse_frozen_run();
CREATE TRIGGER series_windows_of_open_run BEFORE INSERT ON series_windows FOR EACH ROW EXECUTE FUNCTION refuse_frozen_run();
CREATE TRIGGER logger_batches_of_open_run BEFORE INSERT ON logger_batches FOR EACH ROW WHEN (NEW.run_id IS NOT NULL) EXECUTE FUNCTION refuse_frozen_run();

-- A part belongs to a file that is not complete, and has its length. Parts go only
-- where the run has the same file already, or what came is not what was announced.
-- +goose StatementBegin
CREATE FUNCTION refuse_foreign_part() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'DELETE' THEN
        PERFORM 1 FROM series_files f WHERE f.id = OLD.file_id AND (f.same_as IS NOT NULL OR f.complete_at IS NULL AND f.sum IS NOT NULL) FOR SHARE;
    ELSE
        PERFORM 1 FROM series_files f WHERE f.id = NEW.file_id AND f.complete_at IS NULL
            AND octet_length(NEW.bytes) = least(2097152, f.size - (NEW.number - 1) * 2097152) FOR SHARE;
    END IF;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a part that is not one of its file'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN coalesce(NEW, OLD);
END $$;
-- +goose StatementEnd
CREATE TRIGGER series_parts_of_file BEFORE INSERT OR DELETE ON series_parts FOR EACH ROW EXECUTE FUNCTION refuse_foreign_part();

-- A file is read and completed in full: all parts, of its length. Which file it
-- is the same as is one of its run with its sum.
-- +goose StatementBegin
CREATE FUNCTION refuse_incomplete_file() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.same_as IS NOT NULL THEN
        PERFORM 1 FROM series_files f WHERE f.id = NEW.same_as AND f.run_id = NEW.run_id AND f.sum = NEW.sum AND f.complete_at IS NOT NULL AND f.same_as IS NULL;
    ELSE
        PERFORM 1 WHERE (SELECT sum(octet_length(p.bytes)) FROM series_parts p WHERE p.file_id = NEW.id) = NEW.size;
    END IF;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a file that is not complete'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER series_files_complete BEFORE UPDATE ON series_files FOR EACH ROW WHEN (NEW.complete_at IS NOT NULL) EXECUTE FUNCTION refuse_incomplete_file();

-- +goose StatementBegin
CREATE FUNCTION refuse_read_of_incomplete() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM series_files f WHERE f.id = NEW.file_id AND f.complete_at IS NOT NULL AND f.same_as IS NULL;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a reading of a file that is not complete'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER series_reads_of_complete BEFORE INSERT ON series_reads FOR EACH ROW EXECUTE FUNCTION refuse_read_of_incomplete();

-- A logger is revoked by who made it, the crew or a keeper. The lock keeps the
-- role until then.
-- +goose StatementBegin
CREATE FUNCTION refuse_revocation_by_others() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM accounts a WHERE a.id = NEW.revoked_by AND a.closed_at IS NULL AND (a.keeper OR a.id = NEW.made_by
        OR EXISTS (SELECT 1 FROM builds b JOIN crew c ON c.project_id = b.project_id WHERE b.id = NEW.build_id AND c.account_id = a.id AND c.left_at IS NULL)) FOR SHARE;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a logger revoked by somebody else'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER loggers_revoked_by_right_people BEFORE UPDATE OF revoked_by, revoked_at ON loggers FOR EACH ROW WHEN (NEW.revoked_by IS NOT NULL) EXECUTE FUNCTION refuse_revocation_by_others();

-- A logger that is not revoked sends for runs of its own build.
-- +goose StatementBegin
CREATE FUNCTION refuse_foreign_batch() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM loggers l WHERE l.id = NEW.logger_id AND l.revoked_at IS NULL
        AND (NEW.run_id IS NULL OR EXISTS (SELECT 1 FROM runs r WHERE r.id = NEW.run_id AND r.build_id = l.build_id)) FOR SHARE;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'samples of a logger that is revoked or of another build'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER logger_batches_of_logger BEFORE INSERT ON logger_batches FOR EACH ROW EXECUTE FUNCTION refuse_foreign_batch();

-- A window stands at a point of its run, and a logger in it is one of the build.
-- +goose StatementBegin
CREATE FUNCTION refuse_foreign_window() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM run_points p JOIN runs r ON r.id = p.run_id WHERE p.id = NEW.point_id AND p.run_id = NEW.run_id
        AND (NEW.logger_id IS NULL OR EXISTS (SELECT 1 FROM loggers l WHERE l.id = NEW.logger_id AND l.build_id = r.build_id));
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a window of another run'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER series_windows_of_run BEFORE INSERT ON series_windows FOR EACH ROW EXECUTE FUNCTION refuse_foreign_window();

-- Only a window that asks is decided on; any may be struck through, and stays so.
-- A run that is submitted was judged with everything in: that may still be said
-- to be right.
-- +goose StatementBegin
CREATE FUNCTION refuse_decision() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM series_windows w JOIN runs r ON r.id = w.run_id WHERE w.id = NEW.window_id FOR SHARE OF r;
    PERFORM 1 FROM series_windows w WHERE w.id = NEW.window_id AND (w.decide OR NEW.decide = 'strike')
        AND NOT EXISTS (SELECT 1 FROM series_decisions d WHERE d.window_id = w.id AND d.decide = 'strike')
        AND NOT EXISTS (SELECT 1 FROM run_ends e WHERE e.run_id = w.run_id)
        AND (NOT EXISTS (SELECT 1 FROM run_submissions s WHERE s.run_id = w.run_id)
            OR NEW.decide = 'keep' AND NOT EXISTS (SELECT 1 FROM series_decisions d WHERE d.window_id = w.id));
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a decision that the run does not take'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER series_decisions_of_open_run BEFORE INSERT ON series_decisions FOR EACH ROW EXECUTE FUNCTION refuse_decision();

-- A run is not confirmed while a window waits for somebody to decide.
-- +goose StatementBegin
CREATE FUNCTION refuse_undecided() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (SELECT 1 FROM series_windows w WHERE w.run_id = NEW.run_id AND w.decide AND NOT EXISTS (SELECT 1 FROM series_decisions d WHERE d.window_id = w.id)) THEN
        RAISE EXCEPTION 'a run with a window that nobody decided on'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER run_ends_decided BEFORE INSERT ON run_ends FOR EACH ROW WHEN (NEW.kind = 'confirmed') EXECUTE FUNCTION refuse_undecided();

-- Whoever brought, read, took or decided on a series took part in its run too.
-- +goose StatementBegin
CREATE OR REPLACE FUNCTION took_part_in_run(run bigint, person bigint) RETURNS boolean LANGUAGE sql STABLE AS $$
    SELECT EXISTS (SELECT 1 FROM runs WHERE id = run AND opened_by = person)
        OR EXISTS (SELECT 1 FROM run_points WHERE run_id = run AND added_by = person)
        OR EXISTS (SELECT 1 FROM run_readings WHERE run_id = run AND taken_by = person)
        OR EXISTS (SELECT 1 FROM run_strikes s JOIN run_readings g ON g.id = s.reading_id WHERE g.run_id = run AND s.who = person)
        OR EXISTS (SELECT 1 FROM run_submissions WHERE run_id = run AND who = person)
        OR EXISTS (SELECT 1 FROM series_files WHERE run_id = run AND added_by = person)
        OR EXISTS (SELECT 1 FROM series_reads s JOIN series_files f ON f.id = s.file_id WHERE f.run_id = run AND s.who = person)
        OR EXISTS (SELECT 1 FROM series_windows WHERE run_id = run AND who = person)
        OR EXISTS (SELECT 1 FROM series_decisions d JOIN series_windows w ON w.id = d.window_id WHERE w.run_id = run AND d.who = person)
        OR EXISTS (SELECT 1 FROM logger_batches b JOIN loggers l ON l.id = b.logger_id WHERE b.run_id = run AND l.made_by = person)
$$;
-- +goose StatementEnd

ALTER TABLE series_files ENABLE ALWAYS TRIGGER series_files_kept;
ALTER TABLE series_files ENABLE ALWAYS TRIGGER series_files_kept_truncate;
ALTER TABLE series_files ENABLE ALWAYS TRIGGER series_files_complete_once;
ALTER TABLE series_parts ENABLE ALWAYS TRIGGER series_parts_kept;
ALTER TABLE series_parts ENABLE ALWAYS TRIGGER series_parts_kept_truncate;
ALTER TABLE series_reads ENABLE ALWAYS TRIGGER series_reads_append_only;
ALTER TABLE series_reads ENABLE ALWAYS TRIGGER series_reads_append_only_truncate;
ALTER TABLE loggers ENABLE ALWAYS TRIGGER loggers_kept;
ALTER TABLE loggers ENABLE ALWAYS TRIGGER loggers_kept_truncate;
ALTER TABLE loggers ENABLE ALWAYS TRIGGER loggers_revoked_once;
ALTER TABLE logger_batches ENABLE ALWAYS TRIGGER logger_batches_append_only;
ALTER TABLE logger_batches ENABLE ALWAYS TRIGGER logger_batches_append_only_truncate;
ALTER TABLE series_windows ENABLE ALWAYS TRIGGER series_windows_append_only;
ALTER TABLE series_windows ENABLE ALWAYS TRIGGER series_windows_append_only_truncate;
ALTER TABLE series_decisions ENABLE ALWAYS TRIGGER series_decisions_append_only;
ALTER TABLE series_decisions ENABLE ALWAYS TRIGGER series_decisions_append_only_truncate;
ALTER TABLE series_files ENABLE ALWAYS TRIGGER series_files_of_open_run;
ALTER TABLE series_windows ENABLE ALWAYS TRIGGER series_windows_of_open_run;
ALTER TABLE logger_batches ENABLE ALWAYS TRIGGER logger_batches_of_open_run;
ALTER TABLE series_parts ENABLE ALWAYS TRIGGER series_parts_of_file;
ALTER TABLE series_files ENABLE ALWAYS TRIGGER series_files_complete;
ALTER TABLE series_reads ENABLE ALWAYS TRIGGER series_reads_of_complete;
ALTER TABLE loggers ENABLE ALWAYS TRIGGER loggers_revoked_by_right_people;
ALTER TABLE logger_batches ENABLE ALWAYS TRIGGER logger_batches_of_logger;
ALTER TABLE series_windows ENABLE ALWAYS TRIGGER series_windows_of_run;
ALTER TABLE series_decisions ENABLE ALWAYS TRIGGER series_decisions_of_open_run;
ALTER TABLE run_ends ENABLE ALWAYS TRIGGER run_ends_decided;
