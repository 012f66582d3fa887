-- +goose Up
SET LOCAL lock_timeout = '5s';

CREATE TABLE projects (
    id          bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT projects_id_key PRIMARY KEY,
    title       text NOT NULL CONSTRAINT projects_title_check CHECK (char_length(title) BETWEEN 1 AND 120),
    purpose     text NOT NULL CONSTRAINT projects_purpose_check CHECK (char_length(purpose) <= 2000),
    started_by  bigint NOT NULL CONSTRAINT projects_started_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    started_at  timestamptz NOT NULL,
    closed_at   timestamptz,
    version     bigint NOT NULL CONSTRAINT projects_version_check CHECK (version >= 1),
    client_key  text NOT NULL CONSTRAINT projects_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT projects_started_by_client_key_key UNIQUE (started_by, client_key)
);

CREATE TABLE crew (
    project_id  bigint NOT NULL CONSTRAINT crew_project_id_fk REFERENCES projects (id) ON DELETE RESTRICT,
    account_id  bigint NOT NULL CONSTRAINT crew_account_id_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    joined_at   timestamptz NOT NULL,
    CONSTRAINT crew_project_id_account_id_key PRIMARY KEY (project_id, account_id)
);
CREATE INDEX crew_account_id ON crew (account_id);

-- Exactly one a project, made with it. A figure that is not known is null. A
-- range refuses NaN and infinity too: Postgres sorts NaN above every number.
CREATE TABLE sites (
    project_id  bigint CONSTRAINT sites_project_id_key PRIMARY KEY
                CONSTRAINT sites_project_id_fk REFERENCES projects (id) ON DELETE RESTRICT,
    version     bigint NOT NULL CONSTRAINT sites_version_check CHECK (version >= 1),
    name        text NOT NULL CONSTRAINT sites_name_check CHECK (char_length(name) <= 120),
    source      text CONSTRAINT sites_source_check CHECK (source IN ('stream', 'hose', 'mains', 'roof', 'tank')),
    fall_m      double precision CONSTRAINT sites_fall_m_check CHECK (fall_m BETWEEN 0 AND 1000),
    flow_m3s    double precision CONSTRAINT sites_flow_m3s_check CHECK (flow_m3s BETWEEN 0 AND 100),
    gauged      text NOT NULL CONSTRAINT sites_gauged_check CHECK (char_length(gauged) <= 500),
    static_pa   double precision CONSTRAINT sites_static_pa_check CHECK (static_pa BETWEEN 0 AND 2000000),
    t_water_c   double precision CONSTRAINT sites_t_water_c_check CHECK (t_water_c BETWEEN 0 AND 40),
    t_air_c     double precision CONSTRAINT sites_t_air_c_check CHECK (t_air_c BETWEEN -40 AND 60),
    altitude_m  double precision CONSTRAINT sites_altitude_m_check CHECK (altitude_m BETWEEN -430 AND 5000),
    note        text NOT NULL CONSTRAINT sites_note_check CHECK (char_length(note) <= 2000),
    changed_by  bigint CONSTRAINT sites_changed_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    changed_at  timestamptz,
    CONSTRAINT sites_changed_by_changed_at_check CHECK ((changed_by IS NULL) = (changed_at IS NULL))
);
CREATE INDEX sites_changed_by ON sites (changed_by);
