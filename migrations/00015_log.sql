-- +goose Up
SET LOCAL lock_timeout = '5s';

-- Pictures and other files of a project. digest is the SHA-256 of the bytes that
-- are kept; it stays when those must go.
CREATE TABLE files (
    id          bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT files_id_key PRIMARY KEY,
    project_id  bigint NOT NULL CONSTRAINT files_project_id_fk REFERENCES projects (id) ON DELETE RESTRICT,
    kind        text NOT NULL CONSTRAINT files_kind_check CHECK (kind IN ('picture', 'file')),
    media_type  text NOT NULL,
    name        text NOT NULL CONSTRAINT files_name_check CHECK (char_length(name) BETWEEN 1 AND 200),
    size        integer NOT NULL CONSTRAINT files_size_check CHECK (size BETWEEN 1 AND 30000000),
    digest      bytea NOT NULL CONSTRAINT files_digest_check CHECK (octet_length(digest) = 32),
    width       integer,
    height      integer,
    made_by     bigint NOT NULL CONSTRAINT files_made_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    made_at     timestamptz NOT NULL,
    client_key  text NOT NULL CONSTRAINT files_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT files_kind_media_type_check CHECK (CASE kind WHEN 'picture' THEN media_type IN ('image/jpeg', 'image/png') ELSE media_type = 'application/octet-stream' END),
    CONSTRAINT files_kind_width_height_check CHECK (CASE kind WHEN 'picture' THEN width BETWEEN 1 AND 2560 AND height BETWEEN 1 AND 2560 AND width IS NOT NULL AND height IS NOT NULL
                                                    ELSE width IS NULL AND height IS NULL END),
    CONSTRAINT files_made_by_client_key_key UNIQUE (made_by, client_key)
);
CREATE INDEX files_project_id ON files (project_id);

-- The bytes. Those of pictures are packed already.
CREATE TABLE file_bodies (
    file_id  bigint NOT NULL CONSTRAINT file_bodies_file_id_fk REFERENCES files (id) ON DELETE RESTRICT,
    variant  text NOT NULL CONSTRAINT file_bodies_variant_check CHECK (variant IN ('full', 'thumb')),
    bytes    bytea NOT NULL,
    CONSTRAINT file_bodies_file_id_variant_key PRIMARY KEY (file_id, variant)
);
ALTER TABLE file_bodies ALTER COLUMN bytes SET STORAGE EXTERNAL;

-- Who wants a file hidden, and why. Two people sign, one of them a keeper and one
-- a steward; keeper and steward say which they were then. After the second
-- signature the bytes may go.
CREATE TABLE file_hides (
    file_id  bigint NOT NULL CONSTRAINT file_hides_file_id_fk REFERENCES files (id) ON DELETE RESTRICT,
    number   integer NOT NULL CONSTRAINT file_hides_number_check CHECK (number IN (1, 2)),
    reason   text NOT NULL CONSTRAINT file_hides_reason_check CHECK (char_length(reason) BETWEEN 1 AND 500),
    keeper   boolean NOT NULL,
    steward  boolean NOT NULL,
    who      bigint NOT NULL CONSTRAINT file_hides_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at       timestamptz NOT NULL,
    link     bigint NOT NULL CONSTRAINT file_hides_link_key UNIQUE
             CONSTRAINT file_hides_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT file_hides_file_id_number_key PRIMARY KEY (file_id, number),
    CONSTRAINT file_hides_file_id_who_key UNIQUE (file_id, who)
);
CREATE INDEX file_hides_who ON file_hides (who);

-- What happened. A correction is an entry that strikes another one through: in
-- the same place, each entry at most once; both stay.
CREATE TABLE log_entries (
    id           bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT log_entries_id_key PRIMARY KEY,
    project_id   bigint NOT NULL CONSTRAINT log_entries_project_id_fk REFERENCES projects (id) ON DELETE RESTRICT,
    build_id     bigint CONSTRAINT log_entries_build_id_fk REFERENCES builds (id) ON DELETE RESTRICT,
    text         text NOT NULL CONSTRAINT log_entries_text_check CHECK (char_length(text) <= 4000),
    strikes      bigint CONSTRAINT log_entries_strikes_fk REFERENCES log_entries (id) ON DELETE RESTRICT,
    who          bigint NOT NULL CONSTRAINT log_entries_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    happened_at  timestamptz NOT NULL,
    at           timestamptz NOT NULL,
    client_key   text NOT NULL CONSTRAINT log_entries_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT log_entries_who_client_key_key UNIQUE (who, client_key)
);
CREATE INDEX log_entries_project_id ON log_entries (project_id, id);
CREATE INDEX log_entries_build_id ON log_entries (build_id, id);
-- Each entry is struck through at most once. Few are, so that this stays small.
CREATE UNIQUE INDEX log_entries_strikes_key ON log_entries (strikes) WHERE strikes IS NOT NULL;

CREATE TABLE log_files (
    entry_id  bigint NOT NULL CONSTRAINT log_files_entry_id_fk REFERENCES log_entries (id) ON DELETE RESTRICT,
    position  integer NOT NULL CONSTRAINT log_files_position_check CHECK (position BETWEEN 1 AND 20),
    file_id   bigint NOT NULL CONSTRAINT log_files_file_id_fk REFERENCES files (id) ON DELETE RESTRICT,
    CONSTRAINT log_files_entry_id_position_key PRIMARY KEY (entry_id, position),
    CONSTRAINT log_files_entry_id_file_id_key UNIQUE (entry_id, file_id)
);
CREATE INDEX log_files_file_id ON log_files (file_id);

-- An entry tells of an incident: whoever wrote it said so, or somebody later on.
CREATE TABLE incident_marks (
    entry_id  bigint CONSTRAINT incident_marks_entry_id_key PRIMARY KEY
              CONSTRAINT incident_marks_entry_id_fk REFERENCES log_entries (id) ON DELETE RESTRICT,
    who       bigint NOT NULL CONSTRAINT incident_marks_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at        timestamptz NOT NULL
);
CREATE INDEX incident_marks_who ON incident_marks (who);

-- A steward who did not build it has signed that the incident was harmless.
CREATE TABLE incident_rests (
    entry_id  bigint CONSTRAINT incident_rests_entry_id_key PRIMARY KEY
              CONSTRAINT incident_rests_entry_id_fk REFERENCES log_entries (id) ON DELETE RESTRICT,
    reason    text NOT NULL CONSTRAINT incident_rests_reason_check CHECK (char_length(reason) BETWEEN 1 AND 2000),
    who       bigint NOT NULL CONSTRAINT incident_rests_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at        timestamptz NOT NULL,
    link      bigint NOT NULL CONSTRAINT incident_rests_link_key UNIQUE
              CONSTRAINT incident_rests_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED
);
CREATE INDEX incident_rests_who ON incident_rests (who);

CREATE TRIGGER files_append_only BEFORE UPDATE OR DELETE ON files FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER files_append_only_truncate BEFORE TRUNCATE ON files FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER file_bodies_kept BEFORE UPDATE ON file_bodies FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER file_bodies_kept_truncate BEFORE TRUNCATE ON file_bodies FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER file_hides_append_only BEFORE UPDATE OR DELETE ON file_hides FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER file_hides_append_only_truncate BEFORE TRUNCATE ON file_hides FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER log_entries_append_only BEFORE UPDATE OR DELETE ON log_entries FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER log_entries_append_only_truncate BEFORE TRUNCATE ON log_entries FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER log_files_append_only BEFORE UPDATE OR DELETE ON log_files FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER log_files_append_only_truncate BEFORE TRUNCATE ON log_files FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER incident_marks_append_only BEFORE UPDATE OR DELETE ON incident_marks FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER incident_marks_append_only_truncate BEFORE TRUNCATE ON incident_marks FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER incident_rests_append_only BEFORE UPDATE OR DELETE ON incident_rests FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER incident_rests_append_only_truncate BEFORE TRUNCATE ON incident_rests FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE files ENABLE ALWAYS TRIGGER files_append_only;
ALTER TABLE files ENABLE ALWAYS TRIGGER files_append_only_truncate;
ALTER TABLE file_bodies ENABLE ALWAYS TRIGGER file_bodies_kept;
ALTER TABLE file_bodies ENABLE ALWAYS TRIGGER file_bodies_kept_truncate;
ALTER TABLE file_hides ENABLE ALWAYS TRIGGER file_hides_append_only;
ALTER TABLE file_hides ENABLE ALWAYS TRIGGER file_hides_append_only_truncate;
ALTER TABLE log_entries ENABLE ALWAYS TRIGGER log_entries_append_only;
ALTER TABLE log_entries ENABLE ALWAYS TRIGGER log_entries_append_only_truncate;
ALTER TABLE log_files ENABLE ALWAYS TRIGGER log_files_append_only;
ALTER TABLE log_files ENABLE ALWAYS TRIGGER log_files_append_only_truncate;
ALTER TABLE incident_marks ENABLE ALWAYS TRIGGER incident_marks_append_only;
ALTER TABLE incident_marks ENABLE ALWAYS TRIGGER incident_marks_append_only_truncate;
ALTER TABLE incident_rests ENABLE ALWAYS TRIGGER incident_rests_append_only;
ALTER TABLE incident_rests ENABLE ALWAYS TRIGGER incident_rests_append_only_truncate;

-- Bytes belong to their digest, and come back to no file that is hidden.
-- +goose StatementBegin
CREATE FUNCTION refuse_other_bytes() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM files f WHERE f.id = NEW.file_id
        AND CASE NEW.variant WHEN 'full' THEN f.size = octet_length(NEW.bytes) AND f.digest = sha256(NEW.bytes)
            ELSE f.kind = 'picture' AND octet_length(NEW.bytes) BETWEEN 1 AND 1000000 END
        AND NOT EXISTS (SELECT 1 FROM file_hides h WHERE h.file_id = f.id AND h.number = 2);
    IF NOT FOUND THEN
        RAISE EXCEPTION 'bytes that are not those of the file'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER file_bodies_of_file BEFORE INSERT ON file_bodies FOR EACH ROW EXECUTE FUNCTION refuse_other_bytes();
ALTER TABLE file_bodies ENABLE ALWAYS TRIGGER file_bodies_of_file;

-- Bytes go only when two have signed for it.
-- +goose StatementBegin
CREATE FUNCTION refuse_unless_hidden() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM file_hides WHERE file_id = OLD.file_id AND number = 2;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'bytes of a file that is not hidden'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN OLD;
END $$;
-- +goose StatementEnd
CREATE TRIGGER file_bodies_of_hidden BEFORE DELETE ON file_bodies FOR EACH ROW EXECUTE FUNCTION refuse_unless_hidden();
ALTER TABLE file_bodies ENABLE ALWAYS TRIGGER file_bodies_of_hidden;

-- Who signs holds the roles that the row says, and of the two who sign one is a
-- keeper and the other one a steward. The lock keeps the roles until then.
-- +goose StatementBegin
CREATE FUNCTION refuse_hide() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    other file_hides;
BEGIN
    SELECT * INTO other FROM file_hides WHERE file_id = NEW.file_id AND number = 1;
    PERFORM 1 FROM accounts a WHERE a.id = NEW.who AND a.closed_at IS NULL AND a.keeper = NEW.keeper AND a.steward = NEW.steward
        AND CASE NEW.number WHEN 1 THEN NEW.keeper OR NEW.steward
            ELSE other.who <> NEW.who AND (other.keeper AND NEW.steward OR other.steward AND NEW.keeper) END FOR SHARE;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a file is hidden by a keeper and a steward, two people'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER file_hides_by_two BEFORE INSERT ON file_hides FOR EACH ROW EXECUTE FUNCTION refuse_hide();
ALTER TABLE file_hides ENABLE ALWAYS TRIGGER file_hides_by_two;

-- An entry names a build of its own project, and strikes one that stands where
-- it stands itself.
-- +goose StatementBegin
CREATE FUNCTION refuse_foreign_entry() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.build_id IS NOT NULL AND NOT EXISTS (SELECT 1 FROM builds WHERE id = NEW.build_id AND project_id = NEW.project_id)
        OR NEW.strikes IS NOT NULL AND NOT EXISTS (SELECT 1 FROM log_entries
            WHERE id = NEW.strikes AND project_id = NEW.project_id AND build_id IS NOT DISTINCT FROM NEW.build_id) THEN
        RAISE EXCEPTION 'an entry about a build or an entry of another place'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER log_entries_of_project BEFORE INSERT ON log_entries FOR EACH ROW
    WHEN (NEW.build_id IS NOT NULL OR NEW.strikes IS NOT NULL) EXECUTE FUNCTION refuse_foreign_entry();
ALTER TABLE log_entries ENABLE ALWAYS TRIGGER log_entries_of_project;

-- An entry shows files of its own project.
-- +goose StatementBegin
CREATE FUNCTION refuse_foreign_file() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM log_entries e JOIN files f ON f.project_id = e.project_id WHERE e.id = NEW.entry_id AND f.id = NEW.file_id;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'an entry with a file of another project'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER log_files_of_project BEFORE INSERT ON log_files FOR EACH ROW EXECUTE FUNCTION refuse_foreign_file();
ALTER TABLE log_files ENABLE ALWAYS TRIGGER log_files_of_project;

-- Only an incident is laid to rest, by a steward who did not build the machine:
-- of an entry that names none, no machine of the project. The lock keeps the
-- role until then.
-- +goose StatementBegin
CREATE FUNCTION refuse_rest() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM log_entries e, accounts a WHERE e.id = NEW.entry_id AND a.id = NEW.who AND a.steward AND a.closed_at IS NULL
        AND EXISTS (SELECT 1 FROM incident_marks m WHERE m.entry_id = e.id)
        AND NOT EXISTS (SELECT 1 FROM build_people p JOIN builds b ON b.id = p.build_id
            WHERE p.account_id = NEW.who AND b.project_id = e.project_id AND (e.build_id IS NULL OR b.id = e.build_id)) FOR SHARE OF a;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'an incident is laid to rest by a steward who did not build the machine'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER incident_rests_by_steward BEFORE INSERT ON incident_rests FOR EACH ROW EXECUTE FUNCTION refuse_rest();
ALTER TABLE incident_rests ENABLE ALWAYS TRIGGER incident_rests_by_steward;
