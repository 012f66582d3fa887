-- +goose Up
SET LOCAL lock_timeout = '5s';

-- One row: the group. Its version counts changes of settings, roles and closed
-- accounts; its lock puts those in a queue.
CREATE TABLE group_settings (
    sole       boolean CONSTRAINT group_settings_sole_key PRIMARY KEY CONSTRAINT group_settings_sole_check CHECK (sole),
    name       text NOT NULL CONSTRAINT group_settings_name_check CHECK (char_length(name) <= 80),
    units      text NOT NULL CONSTRAINT group_settings_units_check CHECK (units IN ('metric', 'us', 'si')),
    time_zone  text NOT NULL CONSTRAINT group_settings_time_zone_check CHECK (char_length(time_zone) BETWEEN 1 AND 64),
    version    bigint NOT NULL CONSTRAINT group_settings_version_check CHECK (version >= 1)
);
INSERT INTO group_settings (sole, name, units, time_zone, version) VALUES (true, '', 'metric', 'UTC', 1);

-- The code of an invitation is kept as SHA-256 and good once. The name says whom
-- it is for, if the keeper said so.
CREATE TABLE invitations (
    id            bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT invitations_id_key PRIMARY KEY,
    code_hash     bytea NOT NULL CONSTRAINT invitations_code_hash_check CHECK (octet_length(code_hash) = 32)
                  CONSTRAINT invitations_code_hash_key UNIQUE,
    name          text NOT NULL CONSTRAINT invitations_name_check CHECK (char_length(name) <= 80),
    checker       boolean NOT NULL,
    steward       boolean NOT NULL,
    keeper        boolean NOT NULL,
    invited_by    bigint NOT NULL CONSTRAINT invitations_invited_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    invited_at    timestamptz NOT NULL,
    ends_at       timestamptz NOT NULL,
    used_by       bigint CONSTRAINT invitations_used_by_fk REFERENCES accounts (id) ON DELETE RESTRICT
                  CONSTRAINT invitations_used_by_key UNIQUE,
    used_at       timestamptz,
    withdrawn_at  timestamptz,
    CONSTRAINT invitations_invited_at_ends_at_check CHECK (invited_at < ends_at),
    CONSTRAINT invitations_used_by_used_at_check CHECK ((used_by IS NULL) = (used_at IS NULL)),
    CONSTRAINT invitations_used_at_ends_at_check CHECK (used_at < ends_at),
    CONSTRAINT invitations_used_at_withdrawn_at_check CHECK (used_at IS NULL OR withdrawn_at IS NULL)
);
CREATE INDEX invitations_invited_by ON invitations (invited_by);

-- At most one code a person; it goes when it is used or the account is closed.
CREATE TABLE reset_codes (
    account_id  bigint CONSTRAINT reset_codes_account_id_key PRIMARY KEY
                CONSTRAINT reset_codes_account_id_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    code_hash   bytea NOT NULL CONSTRAINT reset_codes_code_hash_check CHECK (octet_length(code_hash) = 32)
                CONSTRAINT reset_codes_code_hash_key UNIQUE,
    given_by    bigint NOT NULL CONSTRAINT reset_codes_given_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    given_at    timestamptz NOT NULL,
    ends_at     timestamptz NOT NULL,
    CONSTRAINT reset_codes_given_at_ends_at_check CHECK (given_at < ends_at)
);
CREATE INDEX reset_codes_given_by ON reset_codes (given_by);

-- What was done about people and the group, for all members to read. Nobody
-- gives a role to themselves: what they hold after is part of what they held.
CREATE TABLE acts (
    id      bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT acts_id_key PRIMARY KEY,
    kind    text NOT NULL CONSTRAINT acts_kind_check CHECK (kind IN ('invited', 'invitation_withdrawn', 'joined',
                'roles_set', 'reset_code_given', 'password_reset', 'account_closed', 'settings_set')),
    at      timestamptz NOT NULL,
    who     bigint NOT NULL CONSTRAINT acts_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    about   bigint CONSTRAINT acts_about_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    before  jsonb NOT NULL CONSTRAINT acts_before_check CHECK (jsonb_typeof(before) = 'object'),
    after   jsonb NOT NULL CONSTRAINT acts_after_check CHECK (jsonb_typeof(after) = 'object'),
    CONSTRAINT acts_kind_about_check CHECK ((kind IN ('invited', 'invitation_withdrawn', 'settings_set')) = (about IS NULL)),
    CONSTRAINT acts_own_roles_check CHECK (kind <> 'roles_set' OR who <> about
        OR (before -> 'roles') @> (after -> 'roles') IS TRUE)
);
CREATE INDEX acts_who ON acts (who);
CREATE INDEX acts_about ON acts (about);

CREATE TRIGGER acts_append_only BEFORE UPDATE OR DELETE ON acts FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER acts_append_only_truncate BEFORE TRUNCATE ON acts FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE acts ENABLE ALWAYS TRIGGER acts_append_only;
ALTER TABLE acts ENABLE ALWAYS TRIGGER acts_append_only_truncate;

-- Only a keeper does these things, but that people join, use their own code and
-- close their own account. An act is written before what it tells of, so that a
-- keeper who lays the role down still is one. The lock keeps the role until then.
-- +goose StatementBegin
CREATE FUNCTION refuse_unless_keeper() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.kind IN ('joined', 'password_reset', 'account_closed') AND NEW.who = NEW.about THEN
        RETURN NEW;
    END IF;
    PERFORM 1 FROM accounts WHERE id = NEW.who AND keeper AND closed_at IS NULL
        AND NEW.kind NOT IN ('joined', 'password_reset') FOR SHARE;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'an act of somebody who is no keeper'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd

CREATE TRIGGER acts_of_keepers BEFORE INSERT ON acts FOR EACH ROW EXECUTE FUNCTION refuse_unless_keeper();
ALTER TABLE acts ENABLE ALWAYS TRIGGER acts_of_keepers;

-- The last keeper stays one. Invented people are no keepers of a real group.
-- Without the lock two keepers could drop each other at once.
-- +goose StatementBegin
CREATE FUNCTION refuse_last_keeper() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM group_settings FOR UPDATE;
    PERFORM 1 FROM accounts WHERE keeper AND closed_at IS NULL AND id <> OLD.id AND (OLD.demo OR NOT demo);
    IF NOT FOUND THEN
        RAISE EXCEPTION 'the last keeper'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd

CREATE TRIGGER accounts_last_keeper BEFORE UPDATE ON accounts FOR EACH ROW
    WHEN (OLD.keeper AND OLD.closed_at IS NULL AND NOT (NEW.keeper AND NEW.closed_at IS NULL))
    EXECUTE FUNCTION refuse_last_keeper();
ALTER TABLE accounts ENABLE ALWAYS TRIGGER accounts_last_keeper;
