-- +goose Up
SET LOCAL lock_timeout = '5s';

CREATE TABLE designs (
    id          bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT designs_id_key PRIMARY KEY,
    project_id  bigint NOT NULL CONSTRAINT designs_project_id_fk REFERENCES projects (id) ON DELETE RESTRICT,
    title       text NOT NULL CONSTRAINT designs_title_check CHECK (char_length(title) BETWEEN 1 AND 120),
    started_by  bigint NOT NULL CONSTRAINT designs_started_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    started_at  timestamptz NOT NULL,
    version     bigint NOT NULL CONSTRAINT designs_version_check CHECK (version >= 1),
    client_key  text NOT NULL CONSTRAINT designs_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT designs_started_by_client_key_key UNIQUE (started_by, client_key)
);
CREATE INDEX designs_project_id ON designs (project_id);

-- position counts the letters: 1 is A, 2 is B. sheet_count is the number of the
-- newest sheet.
CREATE TABLE revisions (
    id           bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT revisions_id_key PRIMARY KEY,
    design_id    bigint NOT NULL CONSTRAINT revisions_design_id_fk REFERENCES designs (id) ON DELETE RESTRICT,
    position     integer NOT NULL CONSTRAINT revisions_position_check CHECK (position >= 1),
    letter       text NOT NULL CONSTRAINT revisions_letter_check CHECK (letter ~ '^[A-HJ-NPRT-WY]{1,3}$'),
    state        text NOT NULL CONSTRAINT revisions_state_check
                 CHECK (state IN ('draft', 'in_check', 'returned', 'cleared', 'superseded', 'withdrawn')),
    sheet_count  integer NOT NULL CONSTRAINT revisions_sheet_count_check CHECK (sheet_count >= 0),
    started_by   bigint NOT NULL CONSTRAINT revisions_started_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    started_at   timestamptz NOT NULL,
    CONSTRAINT revisions_design_id_letter_key UNIQUE (design_id, letter),
    CONSTRAINT revisions_design_id_position_key UNIQUE (design_id, position)
);
CREATE INDEX revisions_started_by ON revisions (started_by);
-- At most one revision of a design is draft or in check.
CREATE UNIQUE INDEX revisions_design_id_key ON revisions (design_id) WHERE state IN ('draft', 'in_check');

CREATE TABLE sheets (
    revision_id   bigint NOT NULL CONSTRAINT sheets_revision_id_fk REFERENCES revisions (id) ON DELETE RESTRICT,
    number        integer NOT NULL CONSTRAINT sheets_number_check CHECK (number >= 1),
    input         jsonb NOT NULL CONSTRAINT sheets_input_check CHECK (jsonb_typeof(input) = 'object'),
    report        jsonb NOT NULL CONSTRAINT sheets_report_check
                  CHECK (jsonb_typeof(report) = 'object' AND report ->> 'calc_version' IS NOT DISTINCT FROM calc_version AND NOT report ? 'faults'),
    calc_version  text NOT NULL CONSTRAINT sheets_calc_version_check CHECK (char_length(calc_version) BETWEEN 1 AND 40),
    note          text NOT NULL CONSTRAINT sheets_note_check CHECK (char_length(note) <= 500),
    saved_by      bigint NOT NULL CONSTRAINT sheets_saved_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    saved_at      timestamptz NOT NULL,
    CONSTRAINT sheets_revision_id_number_key PRIMARY KEY (revision_id, number)
);
CREATE INDEX sheets_saved_by ON sheets (saved_by);

-- What a trigger refuses is told under the trigger's own name, as a constraint
-- is, so that the server can say what it means.
-- +goose StatementBegin
CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% on % is refused: its rows never change', TG_OP, TG_TABLE_NAME
        USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
END $$;
-- +goose StatementEnd

CREATE TRIGGER sheets_append_only BEFORE UPDATE OR DELETE ON sheets FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER sheets_append_only_truncate BEFORE TRUNCATE ON sheets FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE sheets ENABLE ALWAYS TRIGGER sheets_append_only;
ALTER TABLE sheets ENABLE ALWAYS TRIGGER sheets_append_only_truncate;

-- Only a draft takes sheets. The lock keeps it a draft until this one is in.
-- +goose StatementBegin
CREATE FUNCTION refuse_unless_draft() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM revisions WHERE id = NEW.revision_id AND state = 'draft' FOR SHARE;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a sheet for a revision that is no draft'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd

CREATE TRIGGER sheets_into_draft BEFORE INSERT ON sheets FOR EACH ROW EXECUTE FUNCTION refuse_unless_draft();
ALTER TABLE sheets ENABLE ALWAYS TRIGGER sheets_into_draft;
