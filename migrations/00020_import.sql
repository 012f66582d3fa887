-- +goose Up
SET LOCAL lock_timeout = '5s';

-- A project that came with an archive from another group. record_number and
-- record_link are where their record ended; signed is how many links of the record
-- here follow this one, each about something that was signed there. xact and begun
-- are of the transaction that brought it in.
CREATE TABLE imports (
    id             bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT imports_id_key PRIMARY KEY,
    project_id     bigint NOT NULL CONSTRAINT imports_project_id_key UNIQUE CONSTRAINT imports_project_id_fk REFERENCES projects (id) ON DELETE RESTRICT,
    group_name     text NOT NULL CONSTRAINT imports_group_name_check CHECK (char_length(group_name) <= 80),
    written_at     timestamptz NOT NULL,
    record_number  bigint NOT NULL CONSTRAINT imports_record_number_check CHECK (record_number >= 0),
    record_link    bytea NOT NULL CONSTRAINT imports_record_link_check CHECK (octet_length(record_link) = 32),
    digest         bytea NOT NULL CONSTRAINT imports_digest_check CHECK (octet_length(digest) = 32),
    signed         integer NOT NULL CONSTRAINT imports_signed_check CHECK (signed >= 0),
    who            bigint NOT NULL CONSTRAINT imports_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at             timestamptz NOT NULL,
    client_key     text NOT NULL CONSTRAINT imports_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    link           bigint NOT NULL CONSTRAINT imports_link_key UNIQUE
                   CONSTRAINT imports_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    xact           xid8 NOT NULL DEFAULT pg_current_xact_id(),
    begun          timestamptz NOT NULL DEFAULT transaction_timestamp(),
    CONSTRAINT imports_xact_begun_key UNIQUE (xact, begun),
    CONSTRAINT imports_who_client_key_key UNIQUE (who, client_key)
);
CREATE INDEX imports_digest ON imports (digest);

-- The people of an archive, with their names there. Each has an account here that
-- was closed from the beginning: nobody signs in with it.
CREATE TABLE import_people (
    account_id  bigint CONSTRAINT import_people_account_id_key PRIMARY KEY
                CONSTRAINT import_people_account_id_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    import_id   bigint NOT NULL CONSTRAINT import_people_import_id_fk REFERENCES imports (id) ON DELETE RESTRICT,
    name        text NOT NULL CONSTRAINT import_people_name_check CHECK (char_length(name) BETWEEN 1 AND 80),
    group_name  text NOT NULL CONSTRAINT import_people_group_name_check CHECK (char_length(group_name) <= 80)
);
CREATE INDEX import_people_import_id ON import_people (import_id);

-- The sets of coefficients that came with an archive: nobody adopted them here.
CREATE TABLE import_sets (
    set_name   text CONSTRAINT import_sets_set_name_key PRIMARY KEY
               CONSTRAINT import_sets_set_name_fk REFERENCES coefficient_sets (name) ON DELETE RESTRICT,
    import_id  bigint NOT NULL CONSTRAINT import_sets_import_id_fk REFERENCES imports (id) ON DELETE RESTRICT
);
CREATE INDEX import_sets_import_id ON import_sets (import_id);

CREATE TRIGGER import_sets_append_only BEFORE UPDATE OR DELETE ON import_sets FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER import_sets_append_only_truncate BEFORE TRUNCATE ON import_sets FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE import_sets ENABLE ALWAYS TRIGGER import_sets_append_only;
ALTER TABLE import_sets ENABLE ALWAYS TRIGGER import_sets_append_only_truncate;
CREATE TRIGGER imports_append_only BEFORE UPDATE OR DELETE ON imports FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER imports_append_only_truncate BEFORE TRUNCATE ON imports FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER import_people_append_only BEFORE UPDATE OR DELETE ON import_people FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER import_people_append_only_truncate BEFORE TRUNCATE ON import_people FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE imports ENABLE ALWAYS TRIGGER imports_append_only;
ALTER TABLE imports ENABLE ALWAYS TRIGGER imports_append_only_truncate;
ALTER TABLE import_people ENABLE ALWAYS TRIGGER import_people_append_only;
ALTER TABLE import_people ENABLE ALWAYS TRIGGER import_people_append_only_truncate;

-- A keeper brings a project in, and it is the one thing that a transaction brings
-- in. The lock keeps the role until it is done.
-- +goose StatementBegin
CREATE FUNCTION refuse_import_by_others() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    NEW.xact := pg_current_xact_id();
    NEW.begun := transaction_timestamp();
    PERFORM 1 FROM accounts WHERE id = NEW.who AND keeper AND closed_at IS NULL FOR SHARE;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a project is brought in by a keeper'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;

-- People are named with the import that they came with, and can never sign in.
CREATE FUNCTION refuse_import_of_member() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM accounts WHERE id = NEW.account_id AND closed_at IS NOT NULL AND NOT (checker OR steward OR keeper);
    IF NOT (FOUND AND leat_importing()) THEN
        RAISE EXCEPTION 'somebody who did not come with an archive'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;

-- Whether this transaction brings a project in. The number of a transaction alone
-- would not tell: a database that was read back from a backup counts anew.
CREATE FUNCTION leat_importing() RETURNS boolean LANGUAGE sql STABLE AS $$
    SELECT EXISTS (SELECT 1 FROM imports WHERE xact = pg_current_xact_id_if_assigned() AND begun = transaction_timestamp())
$$;

-- Whether what a link is about was signed in another group.
CREATE FUNCTION signed_elsewhere(number bigint) RETURNS boolean LANGUAGE sql STABLE AS $$
    SELECT EXISTS (SELECT 1 FROM imports i WHERE number > i.link AND number <= i.link + i.signed)
$$;
-- +goose StatementEnd
CREATE TRIGGER imports_by_keeper BEFORE INSERT ON imports FOR EACH ROW EXECUTE FUNCTION refuse_import_by_others();
CREATE TRIGGER import_people_closed BEFORE INSERT ON import_people FOR EACH ROW EXECUTE FUNCTION refuse_import_of_member();
ALTER TABLE imports ENABLE ALWAYS TRIGGER imports_by_keeper;
ALTER TABLE import_people ENABLE ALWAYS TRIGGER import_people_closed;

-- What was cleared elsewhere is not built, tested or certified here: the next
-- letter is, once it was checked here. A machine that came with the archive goes on
-- as it is.
-- +goose StatementBegin
CREATE FUNCTION refuse_signed_elsewhere() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    revision bigint;
BEGIN
    IF TG_TABLE_NAME = 'build_versions' THEN
        revision := NEW.revision_id;
        IF EXISTS (SELECT 1 FROM build_versions WHERE build_id = NEW.build_id AND number = NEW.number - 1 AND revision_id = revision) THEN
            RETURN NEW;
        END IF;
    ELSE
        SELECT v.revision_id INTO revision FROM build_versions v WHERE v.build_id = NEW.build_id AND v.number = NEW.build_version;
    END IF;
    IF EXISTS (SELECT 1 FROM revision_issues WHERE revision_id = revision AND signed_elsewhere(link))
        OR TG_TABLE_NAME = 'certificates' AND EXISTS (SELECT 1 FROM test_sheets s, to_jsonb(NEW) n WHERE s.id = (n ->> 'sheet_id')::bigint AND signed_elsewhere(s.link)) THEN
        RAISE EXCEPTION 'it stands on what was signed in another group'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER build_versions_cleared_here BEFORE INSERT ON build_versions FOR EACH ROW WHEN (NOT leat_importing()) EXECUTE FUNCTION refuse_signed_elsewhere();
CREATE TRIGGER test_sheets_cleared_here BEFORE INSERT ON test_sheets FOR EACH ROW WHEN (NOT leat_importing()) EXECUTE FUNCTION refuse_signed_elsewhere();
CREATE TRIGGER certificates_tested_here BEFORE INSERT ON certificates FOR EACH ROW WHEN (NOT leat_importing()) EXECUTE FUNCTION refuse_signed_elsewhere();
ALTER TABLE build_versions ENABLE ALWAYS TRIGGER build_versions_cleared_here;
ALTER TABLE test_sheets ENABLE ALWAYS TRIGGER test_sheets_cleared_here;
ALTER TABLE certificates ENABLE ALWAYS TRIGGER certificates_tested_here;

-- Nothing is learned from a run that was confirmed in another group.
-- +goose StatementBegin
CREATE FUNCTION refuse_lesson_of_elsewhere() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (SELECT 1 FROM run_ends WHERE run_id = NEW.run_id AND kind = 'confirmed' AND signed_elsewhere(link)) THEN
        RAISE EXCEPTION 'a run that was confirmed in another group'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER coefficient_set_runs_confirmed_here BEFORE INSERT ON coefficient_set_runs FOR EACH ROW EXECUTE FUNCTION refuse_lesson_of_elsewhere();
ALTER TABLE coefficient_set_runs ENABLE ALWAYS TRIGGER coefficient_set_runs_confirmed_here;

-- These judge who does something, and whether it is time for it. What comes with an
-- archive was judged where it was done; what they judge of the rows themselves is
-- held by the keys, and by the triggers that stay as they are.
-- +goose StatementBegin
DO $$
DECLARE
    names  text[] := ARRAY ['sheets_into_draft', 'revision_issues_by_crew', 'check_outcomes_by_others', 'check_outcomes_in_check', 'revision_ends_allowed',
        'builds_forward', 'build_versions_from_cleared', 'build_versions_in_turn', 'test_sheets_of_newest', 'test_sheets_with_builders', 'test_entries_in_time',
        'test_signatures_in_time', 'test_signatures_by_right_people', 'nonconformance_closings_by_steward', 'certificates_by_steward', 'certificates_of_tested',
        'certificates_with_builders', 'certificate_ends_by_steward', 'file_hides_by_two', 'incident_rests_by_steward', 'templates_of_keepers',
        'runs_of_newest', 'run_points_in_time', 'run_readings_in_time', 'run_strikes_in_time', 'run_submissions_of_open', 'run_verdicts_of_submitted',
        'run_ends_by_uninvolved', 'run_ends_in_turn', 'series_files_of_open_run', 'series_windows_of_open_run', 'logger_batches_of_open_run', 'logger_batches_of_logger',
        'series_parts_of_file', 'series_decisions_of_open_run', 'coefficient_sets_adopted_check'];
    t      record;
    done   text[] := '{}';
    made   text;
BEGIN
    FOR t IN SELECT oid, tgname, tgrelid::regclass AS there, pg_get_triggerdef(oid) AS made FROM pg_trigger WHERE tgname = ANY (names) LOOP
        made := CASE WHEN t.made ~ ' WHEN \('
            THEN regexp_replace(t.made, ' WHEN (\(.*\)) EXECUTE ', ' WHEN (NOT leat_importing() AND \1) EXECUTE ')
            ELSE replace(t.made, ' EXECUTE ', ' WHEN (NOT leat_importing()) EXECUTE ') END;
        EXECUTE format('DROP TRIGGER %I ON %s', t.tgname, t.there);
        EXECUTE made;
        EXECUTE format('ALTER TABLE %s ENABLE ALWAYS TRIGGER %I', t.there, t.tgname);
        done := done || t.tgname::text;
    END LOOP;
    IF cardinality(done) <> cardinality(names) THEN
        RAISE EXCEPTION 'no such trigger: %', (SELECT string_agg(n, ', ') FROM unnest(names) n WHERE n <> ALL (done));
    END IF;
END $$;
-- +goose StatementEnd
