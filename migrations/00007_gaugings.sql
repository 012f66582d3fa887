-- +goose Up
SET LOCAL lock_timeout = '5s';

-- Every measurement of a site's flow that was ever kept. The one recorded last
-- counts. gauged_on is null where only the words in how tell the day.
CREATE TABLE gaugings (
    id              bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT gaugings_id_key PRIMARY KEY,
    project_id      bigint NOT NULL CONSTRAINT gaugings_project_id_fk REFERENCES projects (id) ON DELETE RESTRICT,
    flow_m3s        double precision NOT NULL CONSTRAINT gaugings_flow_m3s_check CHECK (flow_m3s BETWEEN 0 AND 100),
    half_width_m3s  double precision CONSTRAINT gaugings_half_width_m3s_check CHECK (half_width_m3s BETWEEN 0 AND 100),
    gauged_on       date CONSTRAINT gaugings_gauged_on_check CHECK (gauged_on >= '1900-01-01'),
    how             text NOT NULL CONSTRAINT gaugings_how_check CHECK (char_length(how) <= 500),
    note            text NOT NULL CONSTRAINT gaugings_note_check CHECK (char_length(note) <= 2000),
    recorded_by     bigint NOT NULL CONSTRAINT gaugings_recorded_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    recorded_at     timestamptz NOT NULL,
    client_key      text NOT NULL CONSTRAINT gaugings_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT gaugings_recorded_by_client_key_key UNIQUE (recorded_by, client_key)
);
CREATE INDEX gaugings_project_id ON gaugings (project_id, id);

CREATE TRIGGER gaugings_append_only BEFORE UPDATE OR DELETE ON gaugings FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER gaugings_append_only_truncate BEFORE TRUNCATE ON gaugings FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE gaugings ENABLE ALWAYS TRIGGER gaugings_append_only;
ALTER TABLE gaugings ENABLE ALWAYS TRIGGER gaugings_append_only_truncate;

-- A flow that stood in a site is its first gauging; words without a flow move
-- to the note, which is given room for them.
INSERT INTO gaugings (project_id, flow_m3s, how, note, recorded_by, recorded_at, client_key)
SELECT s.project_id, s.flow_m3s, s.gauged, '', coalesce(s.changed_by, p.started_by), coalesce(s.changed_at, p.started_at),
       'first-gauging-' || s.project_id
FROM sites s JOIN projects p ON p.id = s.project_id WHERE s.flow_m3s IS NOT NULL ORDER BY s.project_id;
ALTER TABLE sites DROP CONSTRAINT sites_note_check;
ALTER TABLE sites ADD CONSTRAINT sites_note_check CHECK (char_length(note) <= 2600);
UPDATE sites SET note = concat_ws(E'\n', nullif(note, ''), gauged) WHERE flow_m3s IS NULL AND gauged <> '';
ALTER TABLE sites DROP COLUMN flow_m3s, DROP COLUMN gauged;

-- The gauging that a sheet took its flow from; null where none is named.
ALTER TABLE sheets ADD COLUMN gauging_id bigint CONSTRAINT sheets_gauging_id_fk REFERENCES gaugings (id) ON DELETE RESTRICT;
CREATE INDEX sheets_gauging_id ON sheets (gauging_id);

-- A sheet names a gauging of its own project.
-- +goose StatementBegin
CREATE FUNCTION refuse_foreign_gauging() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM gaugings g JOIN designs d ON d.project_id = g.project_id JOIN revisions r ON r.design_id = d.id
        WHERE r.id = NEW.revision_id AND g.id = NEW.gauging_id;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a sheet with a gauging of another site'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER sheets_gauging_of_site BEFORE INSERT ON sheets FOR EACH ROW WHEN (NEW.gauging_id IS NOT NULL) EXECUTE FUNCTION refuse_foreign_gauging();
ALTER TABLE sheets ENABLE ALWAYS TRIGGER sheets_gauging_of_site;

-- The state of a revision goes on as the rules of the notebook have it, and
-- never back.
-- +goose StatementBegin
CREATE FUNCTION refuse_state_back() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF (OLD.state, NEW.state) NOT IN (
        ('draft', 'in_check'), ('draft', 'returned'), ('in_check', 'cleared'), ('in_check', 'returned'),
        ('cleared', 'superseded'), ('cleared', 'withdrawn'), ('superseded', 'withdrawn')
    ) THEN
        RAISE EXCEPTION 'a revision does not go from % to %', OLD.state, NEW.state
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NULL;
END $$;
-- +goose StatementEnd
CREATE TRIGGER revisions_state_forward AFTER UPDATE ON revisions FOR EACH ROW WHEN (OLD.state IS DISTINCT FROM NEW.state) EXECUTE FUNCTION refuse_state_back();
ALTER TABLE revisions ENABLE ALWAYS TRIGGER revisions_state_forward;
