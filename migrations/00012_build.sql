-- +goose Up
SET LOCAL lock_timeout = '5s';

-- One physical machine. tag is the number on its label, counted across the
-- group. newest is its newest version: the machine as it stands; revision_id is
-- the revision of that.
CREATE TABLE builds (
    id           bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT builds_id_key PRIMARY KEY,
    project_id   bigint NOT NULL CONSTRAINT builds_project_id_fk REFERENCES projects (id) ON DELETE RESTRICT,
    tag          integer NOT NULL CONSTRAINT builds_tag_check CHECK (tag >= 1) CONSTRAINT builds_tag_key UNIQUE,
    title        text NOT NULL CONSTRAINT builds_title_check CHECK (char_length(title) BETWEEN 1 AND 120),
    revision_id  bigint NOT NULL CONSTRAINT builds_revision_id_fk REFERENCES revisions (id) ON DELETE RESTRICT,
    newest       integer NOT NULL CONSTRAINT builds_newest_check CHECK (newest >= 1),
    state        text NOT NULL CONSTRAINT builds_state_check CHECK (state IN ('being_built', 'built', 'in_service', 'laid_up', 'scrapped')),
    started_by   bigint NOT NULL CONSTRAINT builds_started_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    started_at   timestamptz NOT NULL,
    version      bigint NOT NULL CONSTRAINT builds_version_check CHECK (version >= 1),
    client_key   text NOT NULL CONSTRAINT builds_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT builds_started_by_client_key_key UNIQUE (started_by, client_key)
);
CREATE INDEX builds_project_id ON builds (project_id, id);
CREATE INDEX builds_revision_id ON builds (revision_id);

-- All who made or changed a part of it, with or without an account. Names are
-- added, never taken off: who may sign hangs on it.
CREATE TABLE build_people (
    build_id    bigint NOT NULL CONSTRAINT build_people_build_id_fk REFERENCES builds (id) ON DELETE RESTRICT,
    position    integer NOT NULL CONSTRAINT build_people_position_check CHECK (position >= 1),
    account_id  bigint CONSTRAINT build_people_account_id_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    name        text CONSTRAINT build_people_name_check CHECK (char_length(name) BETWEEN 1 AND 80),
    added_by    bigint NOT NULL CONSTRAINT build_people_added_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    added_at    timestamptz NOT NULL,
    CONSTRAINT build_people_build_id_position_key PRIMARY KEY (build_id, position),
    CONSTRAINT build_people_build_id_account_id_key UNIQUE (build_id, account_id),
    CONSTRAINT build_people_account_id_name_check CHECK ((account_id IS NULL) = (name IS NOT NULL))
);
CREATE UNIQUE INDEX build_people_build_id_name_key ON build_people (build_id, lower(name)) WHERE name IS NOT NULL;
CREATE INDEX build_people_account_id ON build_people (account_id);
CREATE INDEX build_people_added_by ON build_people (added_by);

-- The machine as it stood, each time with all differences from the sheet of its
-- revision and the answers for it. moves counts how often it was moved; renewed
-- how often a part was replaced like for like, or a joint remade. Whoever makes
-- a version is a builder.
CREATE TABLE build_versions (
    build_id       bigint NOT NULL CONSTRAINT build_versions_build_id_fk REFERENCES builds (id) ON DELETE RESTRICT,
    number         integer NOT NULL CONSTRAINT build_versions_number_check CHECK (number >= 1),
    revision_id    bigint NOT NULL CONSTRAINT build_versions_revision_id_fk REFERENCES revisions (id) ON DELETE RESTRICT,
    differences    jsonb NOT NULL CONSTRAINT build_versions_differences_check CHECK (jsonb_typeof(differences) = 'object'),
    renewed        jsonb NOT NULL CONSTRAINT build_versions_renewed_check CHECK (jsonb_typeof(renewed) = 'object'),
    place          text NOT NULL CONSTRAINT build_versions_place_check CHECK (char_length(place) BETWEEN 1 AND 200),
    moves          integer NOT NULL CONSTRAINT build_versions_moves_check CHECK (moves >= 0),
    report         jsonb NOT NULL CONSTRAINT build_versions_report_check
                   CHECK (jsonb_typeof(report) = 'object' AND report ->> 'calc_version' IS NOT DISTINCT FROM calc_version AND NOT report ? 'faults'),
    calc_version   text NOT NULL CONSTRAINT build_versions_calc_version_check CHECK (char_length(calc_version) BETWEEN 1 AND 40),
    pressure_hash  bytea NOT NULL CONSTRAINT build_versions_pressure_hash_check CHECK (octet_length(pressure_hash) = 32),
    note           text NOT NULL CONSTRAINT build_versions_note_check CHECK (char_length(note) <= 500),
    made_by        bigint NOT NULL,
    made_at        timestamptz NOT NULL,
    CONSTRAINT build_versions_build_id_number_key PRIMARY KEY (build_id, number),
    CONSTRAINT build_versions_build_id_number_revision_id_key UNIQUE (build_id, number, revision_id),
    CONSTRAINT build_versions_build_id_made_by_fk FOREIGN KEY (build_id, made_by) REFERENCES build_people (build_id, account_id) ON DELETE RESTRICT
);
CREATE INDEX build_versions_revision_id ON build_versions (revision_id);
ALTER TABLE builds ADD CONSTRAINT builds_id_newest_revision_id_fk FOREIGN KEY (id, newest, revision_id)
    REFERENCES build_versions (build_id, number, revision_id) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED;

-- How it came to its state: who said so, when and why.
CREATE TABLE build_states (
    id        bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT build_states_id_key PRIMARY KEY,
    build_id  bigint NOT NULL CONSTRAINT build_states_build_id_fk REFERENCES builds (id) ON DELETE RESTRICT,
    state     text NOT NULL CONSTRAINT build_states_state_check CHECK (state IN ('being_built', 'built', 'in_service', 'laid_up', 'scrapped')),
    reason    text NOT NULL CONSTRAINT build_states_reason_check CHECK (char_length(reason) <= 500),
    who       bigint NOT NULL CONSTRAINT build_states_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at        timestamptz NOT NULL
);
CREATE INDEX build_states_build_id ON build_states (build_id, id);
CREATE INDEX build_states_who ON build_states (who);

CREATE TRIGGER builds_kept BEFORE UPDATE OF project_id, tag, title, started_by, started_at, client_key OR DELETE ON builds
    FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER builds_kept_truncate BEFORE TRUNCATE ON builds FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER build_people_append_only BEFORE UPDATE OR DELETE ON build_people FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER build_people_append_only_truncate BEFORE TRUNCATE ON build_people FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER build_versions_append_only BEFORE UPDATE OR DELETE ON build_versions FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER build_versions_append_only_truncate BEFORE TRUNCATE ON build_versions FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER build_states_append_only BEFORE UPDATE OR DELETE ON build_states FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER build_states_append_only_truncate BEFORE TRUNCATE ON build_states FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE builds ENABLE ALWAYS TRIGGER builds_kept;
ALTER TABLE builds ENABLE ALWAYS TRIGGER builds_kept_truncate;
ALTER TABLE build_people ENABLE ALWAYS TRIGGER build_people_append_only;
ALTER TABLE build_people ENABLE ALWAYS TRIGGER build_people_append_only_truncate;
ALTER TABLE build_versions ENABLE ALWAYS TRIGGER build_versions_append_only;
ALTER TABLE build_versions ENABLE ALWAYS TRIGGER build_versions_append_only_truncate;
ALTER TABLE build_states ENABLE ALWAYS TRIGGER build_states_append_only;
ALTER TABLE build_states ENABLE ALWAYS TRIGGER build_states_append_only_truncate;

-- A build is begun as being built. Its state goes on as the rules of the
-- notebook have it, and its newest version only up, one at a time.
-- +goose StatementBegin
CREATE FUNCTION refuse_build_astray() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'INSERT' AND NEW.state = 'being_built' AND NEW.newest = 1 THEN
        RETURN NULL;
    END IF;
    IF TG_OP = 'UPDATE' AND NEW.newest - OLD.newest IN (0, 1) AND (NEW.state = OLD.state OR (OLD.state, NEW.state) IN (
        ('being_built', 'built'), ('built', 'in_service'), ('in_service', 'laid_up'), ('laid_up', 'in_service'),
        ('being_built', 'scrapped'), ('built', 'scrapped'), ('in_service', 'scrapped'), ('laid_up', 'scrapped')
    )) THEN
        RETURN NULL;
    END IF;
    RAISE EXCEPTION 'a build does not come to % and version %', NEW.state, NEW.newest
        USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
END $$;
-- +goose StatementEnd
CREATE TRIGGER builds_forward AFTER INSERT OR UPDATE ON builds FOR EACH ROW EXECUTE FUNCTION refuse_build_astray();
ALTER TABLE builds ENABLE ALWAYS TRIGGER builds_forward;

-- A version is made from a cleared revision of its project, or goes on with the
-- revision of the version before. Of one that was withdrawn nothing more is
-- built: such a machine may only be moved. The lock keeps the state of the
-- revision until this version is in.
-- +goose StatementBegin
CREATE FUNCTION refuse_uncleared() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    was build_versions;
    stands text;
BEGIN
    SELECT * INTO was FROM build_versions WHERE build_id = NEW.build_id AND number = NEW.number - 1;
    SELECT r.state INTO stands FROM revisions r JOIN designs d ON d.id = r.design_id JOIN builds b ON b.project_id = d.project_id
        WHERE r.id = NEW.revision_id AND b.id = NEW.build_id FOR SHARE OF r;
    IF stands = 'cleared' OR was.revision_id = NEW.revision_id
        AND (stands = 'superseded' OR stands = 'withdrawn' AND was.differences = NEW.differences AND was.renewed = NEW.renewed) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'a build from a revision that is not cleared'
        USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
END $$;
-- +goose StatementEnd
CREATE TRIGGER build_versions_from_cleared BEFORE INSERT ON build_versions FOR EACH ROW EXECUTE FUNCTION refuse_uncleared();
ALTER TABLE build_versions ENABLE ALWAYS TRIGGER build_versions_from_cleared;

-- Versions follow each other without a gap, none after the machine is scrapped.
-- It was moved where its place is another one.
-- +goose StatementBegin
CREATE FUNCTION refuse_out_of_turn() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    was build_versions;
BEGIN
    SELECT * INTO was FROM build_versions WHERE build_id = NEW.build_id AND number = NEW.number - 1;
    IF EXISTS (SELECT 1 FROM builds WHERE id = NEW.build_id AND state = 'scrapped')
        OR (NEW.number = 1) = FOUND
        OR NEW.moves <> coalesce(was.moves + (was.place <> NEW.place)::integer, 0) THEN
        RAISE EXCEPTION 'version % of a build out of turn', NEW.number
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER build_versions_in_turn BEFORE INSERT ON build_versions FOR EACH ROW EXECUTE FUNCTION refuse_out_of_turn();
ALTER TABLE build_versions ENABLE ALWAYS TRIGGER build_versions_in_turn;
