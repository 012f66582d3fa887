-- +goose Up
SET LOCAL lock_timeout = '5s';

-- One attempt at the pressure test of a build as it stood, its build_version.
-- basis is all that the build and the rules in force then gave the test; short
-- says that only the short list of the procedure is asked; builders is the
-- position of the last who had built it then: they are signed with it.
CREATE TABLE test_sheets (
    id                bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT test_sheets_id_key PRIMARY KEY,
    build_id          bigint NOT NULL CONSTRAINT test_sheets_build_id_fk REFERENCES builds (id) ON DELETE RESTRICT,
    number            integer NOT NULL CONSTRAINT test_sheets_number_check CHECK (number >= 1),
    build_version     integer NOT NULL,
    template_version  integer NOT NULL CONSTRAINT test_sheets_template_version_fk REFERENCES templates (version) ON DELETE RESTRICT,
    short             boolean NOT NULL,
    basis             jsonb NOT NULL CONSTRAINT test_sheets_basis_check
                      CHECK (jsonb_typeof(basis) = 'object' AND jsonb_typeof(basis -> 'competent') IS NOT DISTINCT FROM 'boolean'),
    pressure_hash     bytea NOT NULL CONSTRAINT test_sheets_pressure_hash_check CHECK (octet_length(pressure_hash) = 32),
    builders          integer NOT NULL CONSTRAINT test_sheets_builders_check CHECK (builders >= 1),
    started_by        bigint NOT NULL CONSTRAINT test_sheets_started_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    started_at        timestamptz NOT NULL,
    ended             text CONSTRAINT test_sheets_ended_check CHECK (ended IN ('passed', 'failed')),
    ended_at          timestamptz,
    version           bigint NOT NULL CONSTRAINT test_sheets_version_check CHECK (version >= 1),
    client_key        text NOT NULL CONSTRAINT test_sheets_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    link              bigint NOT NULL CONSTRAINT test_sheets_link_key UNIQUE
                      CONSTRAINT test_sheets_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT test_sheets_build_id_number_key UNIQUE (build_id, number),
    CONSTRAINT test_sheets_id_build_id_build_version_key UNIQUE (id, build_id, build_version),
    CONSTRAINT test_sheets_started_by_client_key_key UNIQUE (started_by, client_key),
    CONSTRAINT test_sheets_build_id_build_version_fk FOREIGN KEY (build_id, build_version) REFERENCES build_versions (build_id, number) ON DELETE RESTRICT,
    CONSTRAINT test_sheets_ended_ended_at_check CHECK ((ended IS NULL) = (ended_at IS NULL))
);
CREATE UNIQUE INDEX test_sheets_build_id_build_version_key ON test_sheets (build_id, build_version) WHERE ended IS NULL;
CREATE INDEX test_sheets_template_version ON test_sheets (template_version);

-- What somebody recorded for an item. What counts is met; what ended the attempt
-- is failed; what was refused is an attempt, with the rule in why. The server's
-- clock counts; the time of the device or of the paper stands beside it.
CREATE TABLE test_entries (
    id          bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT test_entries_id_key PRIMARY KEY,
    sheet_id    bigint NOT NULL CONSTRAINT test_entries_sheet_id_fk REFERENCES test_sheets (id) ON DELETE RESTRICT,
    item        text NOT NULL CONSTRAINT test_entries_item_check CHECK (char_length(item) BETWEEN 1 AND 20),
    role        text NOT NULL CONSTRAINT test_entries_role_check CHECK (role IN ('builder', 'second', 'competent')),
    recorded    jsonb NOT NULL CONSTRAINT test_entries_recorded_check CHECK (jsonb_typeof(recorded) = 'object'),
    outcome     text NOT NULL CONSTRAINT test_entries_outcome_check CHECK (outcome IN ('met', 'attempt', 'failed')),
    why         text NOT NULL CONSTRAINT test_entries_why_check CHECK (char_length(why) <= 4000),
    who         bigint NOT NULL CONSTRAINT test_entries_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    sent_by     bigint NOT NULL CONSTRAINT test_entries_sent_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at          timestamptz NOT NULL,
    device_at   timestamptz,
    paper_at    timestamptz,
    paper_file  bigint,
    client_key  text NOT NULL CONSTRAINT test_entries_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT test_entries_outcome_why_check CHECK ((outcome = 'met') = (why = '')),
    CONSTRAINT test_entries_paper_at_paper_file_check CHECK ((paper_at IS NULL) = (paper_file IS NULL)),
    CONSTRAINT test_entries_at_paper_at_check CHECK (outcome = 'attempt' OR paper_at IS NULL OR at - paper_at BETWEEN interval '0' AND interval '24 hours'),
    CONSTRAINT test_entries_id_sheet_id_item_key UNIQUE (id, sheet_id, item)
);
CREATE UNIQUE INDEX test_entries_sheet_id_item_key ON test_entries (sheet_id, item) WHERE outcome = 'met';
CREATE UNIQUE INDEX test_entries_sheet_id_key ON test_entries (sheet_id) WHERE outcome = 'failed';
CREATE UNIQUE INDEX test_entries_sent_by_client_key_key ON test_entries (sent_by, client_key) WHERE outcome <> 'attempt';
CREATE INDEX test_entries_sheet_id ON test_entries (sheet_id, id);
CREATE INDEX test_entries_who ON test_entries (who);
CREATE INDEX test_entries_sent_by ON test_entries (sent_by);

-- Who signed an item, in which role; sent_by is whose device it was.
CREATE TABLE test_signatures (
    id          bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT test_signatures_id_key PRIMARY KEY,
    entry_id    bigint NOT NULL,
    sheet_id    bigint NOT NULL,
    item        text NOT NULL,
    role        text NOT NULL CONSTRAINT test_signatures_role_check CHECK (role IN ('builder', 'second', 'competent')),
    who         bigint NOT NULL CONSTRAINT test_signatures_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    sent_by     bigint NOT NULL CONSTRAINT test_signatures_sent_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at          timestamptz NOT NULL,
    device_at   timestamptz,
    how         text NOT NULL CONSTRAINT test_signatures_how_check CHECK (how IN ('code', 'password', 'paper')),
    client_key  text NOT NULL CONSTRAINT test_signatures_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    link        bigint NOT NULL CONSTRAINT test_signatures_link_key UNIQUE
                CONSTRAINT test_signatures_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT test_signatures_entry_id_sheet_id_item_fk FOREIGN KEY (entry_id, sheet_id, item) REFERENCES test_entries (id, sheet_id, item) ON DELETE RESTRICT,
    CONSTRAINT test_signatures_sheet_id_item_role_key UNIQUE (sheet_id, item, role),
    CONSTRAINT test_signatures_sheet_id_item_who_key UNIQUE (sheet_id, item, who),
    CONSTRAINT test_signatures_sent_by_client_key_key UNIQUE (sent_by, client_key)
);
CREATE INDEX test_signatures_entry_id ON test_signatures (entry_id);
CREATE INDEX test_signatures_who ON test_signatures (who);

-- An attempt that failed leaves one; it is closed by a steward who did not build
-- the machine.
CREATE TABLE nonconformances (
    id        bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT nonconformances_id_key PRIMARY KEY,
    entry_id  bigint NOT NULL,
    sheet_id  bigint NOT NULL CONSTRAINT nonconformances_sheet_id_key UNIQUE,
    item      text NOT NULL,
    text      text NOT NULL CONSTRAINT nonconformances_text_check CHECK (char_length(text) BETWEEN 1 AND 4000),
    who       bigint NOT NULL CONSTRAINT nonconformances_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at        timestamptz NOT NULL,
    link      bigint NOT NULL CONSTRAINT nonconformances_link_key UNIQUE
              CONSTRAINT nonconformances_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT nonconformances_entry_id_sheet_id_item_fk FOREIGN KEY (entry_id, sheet_id, item) REFERENCES test_entries (id, sheet_id, item) ON DELETE RESTRICT
);
CREATE INDEX nonconformances_entry_id ON nonconformances (entry_id);
CREATE INDEX nonconformances_who ON nonconformances (who);

CREATE TABLE nonconformance_closings (
    nonconformance_id  bigint CONSTRAINT nonconformance_closings_nonconformance_id_key PRIMARY KEY
                       CONSTRAINT nonconformance_closings_nonconformance_id_fk REFERENCES nonconformances (id) ON DELETE RESTRICT,
    disposition        text NOT NULL CONSTRAINT nonconformance_closings_disposition_check CHECK (char_length(disposition) BETWEEN 1 AND 100),
    text               text NOT NULL CONSTRAINT nonconformance_closings_text_check CHECK (char_length(text) BETWEEN 1 AND 2000),
    who                bigint NOT NULL CONSTRAINT nonconformance_closings_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at                 timestamptz NOT NULL,
    link               bigint NOT NULL CONSTRAINT nonconformance_closings_link_key UNIQUE
                       CONSTRAINT nonconformance_closings_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED
);
CREATE INDEX nonconformance_closings_who ON nonconformance_closings (who);

-- What a passed test is good for: this build as it stood, at this place (with the
-- count of its moves), until the end of a day. Whether it holds is worked out each
-- time it is shown, never kept.
CREATE TABLE certificates (
    id             bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT certificates_id_key PRIMARY KEY,
    build_id       bigint NOT NULL CONSTRAINT certificates_build_id_fk REFERENCES builds (id) ON DELETE RESTRICT,
    sheet_id       bigint NOT NULL CONSTRAINT certificates_sheet_id_key UNIQUE,
    build_version  integer NOT NULL,
    pressure_hash  bytea NOT NULL CONSTRAINT certificates_pressure_hash_check CHECK (octet_length(pressure_hash) = 32),
    site           text NOT NULL CONSTRAINT certificates_site_check CHECK (char_length(site) BETWEEN 1 AND 240),
    body           jsonb NOT NULL CONSTRAINT certificates_body_check CHECK (jsonb_typeof(body) = 'object'),
    builders       integer NOT NULL CONSTRAINT certificates_builders_check CHECK (builders >= 1),
    issued_by      bigint NOT NULL CONSTRAINT certificates_issued_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    issued_at      timestamptz NOT NULL,
    expires_on     date NOT NULL,
    expires_at     timestamptz NOT NULL,
    link           bigint NOT NULL CONSTRAINT certificates_link_key UNIQUE
                   CONSTRAINT certificates_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT certificates_sheet_id_build_id_build_version_fk FOREIGN KEY (sheet_id, build_id, build_version)
        REFERENCES test_sheets (id, build_id, build_version) ON DELETE RESTRICT,
    CONSTRAINT certificates_issued_at_expires_on_check CHECK (expires_on - (issued_at AT TIME ZONE 'UTC')::date BETWEEN -1 AND 733),
    CONSTRAINT certificates_expires_on_expires_at_check CHECK (expires_at > issued_at AND (expires_at AT TIME ZONE 'UTC')::date - expires_on BETWEEN 0 AND 2)
);
CREATE INDEX certificates_build_id ON certificates (build_id, id);
CREATE INDEX certificates_issued_by ON certificates (issued_by);
CREATE INDEX certificates_expires_at ON certificates (expires_at);

CREATE TABLE certificate_ends (
    certificate_id  bigint CONSTRAINT certificate_ends_certificate_id_key PRIMARY KEY
                    CONSTRAINT certificate_ends_certificate_id_fk REFERENCES certificates (id) ON DELETE RESTRICT,
    kind            text NOT NULL CONSTRAINT certificate_ends_kind_check CHECK (kind IN ('revoked', 'part_recalled')),
    reason          text NOT NULL CONSTRAINT certificate_ends_reason_check CHECK (char_length(reason) BETWEEN 1 AND 2000),
    who             bigint NOT NULL CONSTRAINT certificate_ends_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at              timestamptz NOT NULL,
    link            bigint NOT NULL CONSTRAINT certificate_ends_link_key UNIQUE
                    CONSTRAINT certificate_ends_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED
);
CREATE INDEX certificate_ends_who ON certificate_ends (who);

CREATE TRIGGER test_sheets_kept BEFORE UPDATE OF id, build_id, number, build_version, template_version, short, basis, pressure_hash, builders, started_by, started_at, client_key, link
    OR DELETE ON test_sheets FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER test_sheets_kept_truncate BEFORE TRUNCATE ON test_sheets FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER test_sheets_ended_once BEFORE UPDATE ON test_sheets FOR EACH ROW
    WHEN (OLD.ended IS NOT NULL AND (NEW.ended IS DISTINCT FROM OLD.ended OR NEW.ended_at IS DISTINCT FROM OLD.ended_at)) EXECUTE FUNCTION refuse();
CREATE TRIGGER test_entries_append_only BEFORE UPDATE OR DELETE ON test_entries FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER test_entries_append_only_truncate BEFORE TRUNCATE ON test_entries FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER test_signatures_append_only BEFORE UPDATE OR DELETE ON test_signatures FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER test_signatures_append_only_truncate BEFORE TRUNCATE ON test_signatures FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER nonconformances_append_only BEFORE UPDATE OR DELETE ON nonconformances FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER nonconformances_append_only_truncate BEFORE TRUNCATE ON nonconformances FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER nonconformance_closings_append_only BEFORE UPDATE OR DELETE ON nonconformance_closings FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER nonconformance_closings_append_only_truncate BEFORE TRUNCATE ON nonconformance_closings FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER certificates_append_only BEFORE UPDATE OR DELETE ON certificates FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER certificates_append_only_truncate BEFORE TRUNCATE ON certificates FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER certificate_ends_append_only BEFORE UPDATE OR DELETE ON certificate_ends FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER certificate_ends_append_only_truncate BEFORE TRUNCATE ON certificate_ends FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE test_sheets ENABLE ALWAYS TRIGGER test_sheets_kept;
ALTER TABLE test_sheets ENABLE ALWAYS TRIGGER test_sheets_kept_truncate;
ALTER TABLE test_sheets ENABLE ALWAYS TRIGGER test_sheets_ended_once;
ALTER TABLE test_entries ENABLE ALWAYS TRIGGER test_entries_append_only;
ALTER TABLE test_entries ENABLE ALWAYS TRIGGER test_entries_append_only_truncate;
ALTER TABLE test_signatures ENABLE ALWAYS TRIGGER test_signatures_append_only;
ALTER TABLE test_signatures ENABLE ALWAYS TRIGGER test_signatures_append_only_truncate;
ALTER TABLE nonconformances ENABLE ALWAYS TRIGGER nonconformances_append_only;
ALTER TABLE nonconformances ENABLE ALWAYS TRIGGER nonconformances_append_only_truncate;
ALTER TABLE nonconformance_closings ENABLE ALWAYS TRIGGER nonconformance_closings_append_only;
ALTER TABLE nonconformance_closings ENABLE ALWAYS TRIGGER nonconformance_closings_append_only_truncate;
ALTER TABLE certificates ENABLE ALWAYS TRIGGER certificates_append_only;
ALTER TABLE certificates ENABLE ALWAYS TRIGGER certificates_append_only_truncate;
ALTER TABLE certificate_ends ENABLE ALWAYS TRIGGER certificate_ends_append_only;
ALTER TABLE certificate_ends ENABLE ALWAYS TRIGGER certificate_ends_append_only_truncate;

-- +goose StatementBegin
CREATE FUNCTION has_built(build bigint, person bigint) RETURNS boolean LANGUAGE sql STABLE AS $$
    SELECT EXISTS (SELECT 1 FROM build_people WHERE build_id = build AND account_id = person)
$$;
-- +goose StatementEnd

-- A test begins on a machine that is finished, as it stands, of a revision that
-- was not withdrawn, by the crew or somebody who built it. The lock keeps the
-- machine as it is.
-- +goose StatementBegin
CREATE FUNCTION refuse_test_of_other() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM builds b JOIN build_versions v ON v.build_id = b.id AND v.number = b.newest JOIN revisions r ON r.id = b.revision_id
            JOIN accounts a ON a.id = NEW.started_by
        WHERE b.id = NEW.build_id AND b.state IN ('built', 'in_service', 'laid_up') AND r.state <> 'withdrawn'
            AND v.number = NEW.build_version AND v.pressure_hash = NEW.pressure_hash AND NEW.ended IS NULL AND a.closed_at IS NULL
            AND (has_built(b.id, a.id) OR EXISTS (SELECT 1 FROM crew c WHERE c.project_id = b.project_id AND c.account_id = a.id AND c.left_at IS NULL))
        FOR SHARE OF b, r, a;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a test that may not begin'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER test_sheets_of_newest BEFORE INSERT ON test_sheets FOR EACH ROW EXECUTE FUNCTION refuse_test_of_other();
ALTER TABLE test_sheets ENABLE ALWAYS TRIGGER test_sheets_of_newest;

-- A sheet has failed with the entry that says so, and passed only without one,
-- signed by a builder, by a second and, where three are needed, as competent.
-- +goose StatementBegin
CREATE FUNCTION refuse_end_unearned() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    failed boolean := EXISTS (SELECT 1 FROM test_entries WHERE sheet_id = NEW.id AND outcome = 'failed');
    roles text[] := ARRAY (SELECT DISTINCT role FROM test_signatures WHERE sheet_id = NEW.id);
BEGIN
    IF (NEW.ended = 'failed') <> failed OR NEW.ended = 'passed' AND NOT
        (roles @> '{builder,second}' AND ('competent' = ANY (roles) OR NOT (NEW.basis -> 'competent')::boolean)) THEN
        RAISE EXCEPTION 'a test that has not %', NEW.ended
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NULL;
END $$;
-- +goose StatementEnd
CREATE TRIGGER test_sheets_end_earned AFTER UPDATE OF ended ON test_sheets FOR EACH ROW WHEN (NEW.ended IS NOT NULL) EXECUTE FUNCTION refuse_end_unearned();
ALTER TABLE test_sheets ENABLE ALWAYS TRIGGER test_sheets_end_earned;

-- The photograph of a paper is a picture of the project.
-- +goose StatementBegin
CREATE FUNCTION refuse_unpictured() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM test_sheets s JOIN builds b ON b.id = s.build_id JOIN files f ON f.project_id = b.project_id
        WHERE s.id = NEW.sheet_id AND f.id = NEW.paper_file AND f.kind = 'picture';
    IF NOT FOUND THEN
        RAISE EXCEPTION 'an entry from a paper without its photograph'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER test_entries_pictured BEFORE INSERT ON test_entries FOR EACH ROW WHEN (NEW.paper_file IS NOT NULL AND NEW.outcome <> 'attempt') EXECUTE FUNCTION refuse_unpictured();
ALTER TABLE test_entries ENABLE ALWAYS TRIGGER test_entries_pictured;

-- Once a sheet has ended, or its machine is no longer the one that it was begun
-- for, only letting the pressure go and recording the failure are left. The locks
-- keep it so.
-- +goose StatementBegin
CREATE FUNCTION refuse_when_over() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    running boolean;
    left_over boolean;
BEGIN
    SELECT s.ended IS NULL AND b.newest = s.build_version AND r.state <> 'withdrawn' AND b.state <> 'scrapped',
            i ->> 'stage' = 'release' OR coalesce(i ->> 'when' = 'any_item_failed', false)
        INTO running, left_over
        FROM test_sheets s JOIN builds b ON b.id = s.build_id JOIN revisions r ON r.id = b.revision_id
            JOIN templates t ON t.version = s.template_version, jsonb_array_elements(t.body::jsonb -> 'items') i
        WHERE s.id = NEW.sheet_id AND i ->> 'id' = NEW.item
        FOR NO KEY UPDATE OF s FOR SHARE OF b, r;
    IF NOT coalesce(running OR left_over, false) THEN
        RAISE EXCEPTION 'nothing more is signed here'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER test_entries_in_time BEFORE INSERT ON test_entries FOR EACH ROW WHEN (NEW.outcome <> 'attempt') EXECUTE FUNCTION refuse_when_over();
CREATE TRIGGER test_signatures_in_time BEFORE INSERT ON test_signatures FOR EACH ROW EXECUTE FUNCTION refuse_when_over();
ALTER TABLE test_entries ENABLE ALWAYS TRIGGER test_entries_in_time;
ALTER TABLE test_signatures ENABLE ALWAYS TRIGGER test_signatures_in_time;

-- A signature stands under what was recorded and met, in a role that the item is
-- signed in; from paper as its entry is, and within a day.
-- +goose StatementBegin
CREATE FUNCTION refuse_signature_under_other() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM test_entries e JOIN test_sheets s ON s.id = e.sheet_id JOIN templates t ON t.version = s.template_version,
            jsonb_array_elements(t.body::jsonb -> 'items') i
        WHERE e.id = NEW.entry_id AND e.outcome = 'met' AND i ->> 'id' = NEW.item
            AND (NEW.how = 'paper') = (e.paper_at IS NOT NULL) AND (e.paper_at IS NULL OR NEW.at - e.paper_at <= interval '24 hours')
            AND (coalesce(CASE WHEN s.short THEN t.body::jsonb #> ARRAY['short', 'sign', NEW.item] END, i -> 'sign') ? NEW.role
                OR coalesce(i #>> '{also_sign,by}' = NEW.role, false));
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a signature under nothing that it could stand under'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER test_signatures_of_entry BEFORE INSERT ON test_signatures FOR EACH ROW EXECUTE FUNCTION refuse_signature_under_other();
ALTER TABLE test_signatures ENABLE ALWAYS TRIGGER test_signatures_of_entry;

-- It looks at the person, never at a name or a role alone: who signs as builder
-- built it, who signs as second or competent did not, of whatever revision; who
-- signs as competent is a steward now. Where three are needed, second and
-- competent are two.
-- +goose StatementBegin
CREATE FUNCTION refuse_wrong_person() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM accounts a, test_sheets s
        WHERE a.id = NEW.who AND s.id = NEW.sheet_id AND a.closed_at IS NULL AND (a.steward OR NEW.role <> 'competent')
            AND (NEW.role = 'builder') = has_built(s.build_id, a.id)
            AND NOT ((s.basis -> 'competent')::boolean AND NEW.role <> 'builder' AND EXISTS (SELECT 1 FROM test_signatures o
                WHERE o.sheet_id = s.id AND o.who = a.id AND o.role <> NEW.role))
        FOR SHARE OF a;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a signature of somebody who may not give it'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER test_signatures_by_right_people BEFORE INSERT ON test_signatures FOR EACH ROW EXECUTE FUNCTION refuse_wrong_person();
ALTER TABLE test_signatures ENABLE ALWAYS TRIGGER test_signatures_by_right_people;

-- +goose StatementBegin
CREATE FUNCTION refuse_unfailed() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM test_entries WHERE id = NEW.entry_id AND outcome = 'failed' AND who = NEW.who;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a nonconformance without what failed'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER nonconformances_of_failed BEFORE INSERT ON nonconformances FOR EACH ROW EXECUTE FUNCTION refuse_unfailed();
ALTER TABLE nonconformances ENABLE ALWAYS TRIGGER nonconformances_of_failed;

-- +goose StatementBegin
CREATE FUNCTION refuse_closing_by_others() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM nonconformances n JOIN test_sheets s ON s.id = n.sheet_id, accounts a
        WHERE n.id = NEW.nonconformance_id AND a.id = NEW.who AND a.steward AND a.closed_at IS NULL AND NOT has_built(s.build_id, a.id)
        FOR SHARE OF a;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a nonconformance is closed by a steward who did not build the machine'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER nonconformance_closings_by_steward BEFORE INSERT ON nonconformance_closings FOR EACH ROW EXECUTE FUNCTION refuse_closing_by_others();
ALTER TABLE nonconformance_closings ENABLE ALWAYS TRIGGER nonconformance_closings_by_steward;

-- A certificate is issued by a steward who neither built the machine nor signed
-- its test as second: it takes three people.
-- +goose StatementBegin
CREATE FUNCTION refuse_issue_by_others() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM accounts a
        WHERE a.id = NEW.issued_by AND a.steward AND a.closed_at IS NULL AND NOT has_built(NEW.build_id, a.id)
            AND NOT EXISTS (SELECT 1 FROM test_signatures WHERE sheet_id = NEW.sheet_id AND who = a.id AND role = 'second')
        FOR SHARE;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a certificate is issued by a steward who neither built the machine nor was the second'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;

-- It is issued for what was tested, while the machine is still that.
CREATE FUNCTION refuse_issue_of_other() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM test_sheets s JOIN builds b ON b.id = s.build_id JOIN build_versions v ON v.build_id = b.id AND v.number = b.newest
            JOIN revisions r ON r.id = b.revision_id
        WHERE s.id = NEW.sheet_id AND s.ended = 'passed' AND s.build_version = b.newest AND s.pressure_hash = NEW.pressure_hash
            AND r.state <> 'withdrawn' AND b.state <> 'scrapped' AND NEW.site = v.place || ' (' || v.moves || ')' AND NEW.issued_at >= s.ended_at
            AND NOT EXISTS (SELECT 1 FROM nonconformances n JOIN test_sheets o ON o.id = n.sheet_id
                WHERE o.build_id = b.id AND NOT EXISTS (SELECT 1 FROM nonconformance_closings c WHERE c.nonconformance_id = n.id))
        FOR SHARE OF s, b, r;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a certificate of something else than what was tested'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER certificates_by_steward BEFORE INSERT ON certificates FOR EACH ROW EXECUTE FUNCTION refuse_issue_by_others();
CREATE TRIGGER certificates_of_tested BEFORE INSERT ON certificates FOR EACH ROW EXECUTE FUNCTION refuse_issue_of_other();
ALTER TABLE certificates ENABLE ALWAYS TRIGGER certificates_by_steward;
ALTER TABLE certificates ENABLE ALWAYS TRIGGER certificates_of_tested;

-- Any steward may revoke one: that only takes away.
-- +goose StatementBegin
CREATE FUNCTION refuse_end_by_others() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM accounts WHERE id = NEW.who AND steward AND closed_at IS NULL FOR SHARE;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a certificate is revoked by a steward'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER certificate_ends_by_steward BEFORE INSERT ON certificate_ends FOR EACH ROW EXECUTE FUNCTION refuse_end_by_others();
ALTER TABLE certificate_ends ENABLE ALWAYS TRIGGER certificate_ends_by_steward;

-- Who has built the machine until now is counted once the machine is held: after
-- the triggers before this one, by name.
-- +goose StatementBegin
CREATE FUNCTION count_builders() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    NEW.builders := (SELECT max(position) FROM build_people WHERE build_id = NEW.build_id);
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER test_sheets_with_builders BEFORE INSERT ON test_sheets FOR EACH ROW EXECUTE FUNCTION count_builders();
CREATE TRIGGER certificates_with_builders BEFORE INSERT ON certificates FOR EACH ROW EXECUTE FUNCTION count_builders();
ALTER TABLE test_sheets ENABLE ALWAYS TRIGGER test_sheets_with_builders;
ALTER TABLE certificates ENABLE ALWAYS TRIGGER certificates_with_builders;
