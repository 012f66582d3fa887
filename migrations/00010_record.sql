-- +goose Up
SET LOCAL lock_timeout = '5s';

-- What one signs with beside the password: a code of digits, kept as a password
-- is. It is erased with the account.
ALTER TABLE accounts
    ADD COLUMN signing_hash text CONSTRAINT accounts_signing_hash_check CHECK (signing_hash LIKE '$argon2id$%' AND char_length(signing_hash) <= 200),
    ADD CONSTRAINT accounts_closed_at_signing_hash_check CHECK (closed_at IS NULL OR signing_hash IS NULL);

-- The record: what was signed, in one chain. body is what was signed as RFC 8785
-- writes it, digest its SHA-256; link is the SHA-256 over all that stands here
-- but the body, the link before included.
CREATE TABLE record_links (
    number      bigint CONSTRAINT record_links_number_key PRIMARY KEY CONSTRAINT record_links_number_check CHECK (number >= 1),
    kind        text NOT NULL CONSTRAINT record_links_kind_check CHECK (kind ~ '^[a-z_]{3,40}$'),
    at          timestamptz NOT NULL,
    who         bigint NOT NULL CONSTRAINT record_links_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    project_id  bigint CONSTRAINT record_links_project_id_fk REFERENCES projects (id) ON DELETE RESTRICT,
    body        text NOT NULL,
    digest      bytea NOT NULL CONSTRAINT record_links_digest_check CHECK (digest = sha256(convert_to(body, 'UTF8'))),
    before      bytea NOT NULL CONSTRAINT record_links_before_check CHECK (octet_length(before) = 32),
    link        bytea NOT NULL CONSTRAINT record_links_link_check CHECK (octet_length(link) = 32)
                CONSTRAINT record_links_link_key UNIQUE
);
CREATE INDEX record_links_who ON record_links (who);
CREATE INDEX record_links_project_id ON record_links (project_id, number);

CREATE TRIGGER record_links_append_only BEFORE UPDATE OR DELETE ON record_links FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER record_links_append_only_truncate BEFORE TRUNCATE ON record_links FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE record_links ENABLE ALWAYS TRIGGER record_links_append_only;
ALTER TABLE record_links ENABLE ALWAYS TRIGGER record_links_append_only_truncate;

-- Where the chain ends. Its lock puts those who sign in a queue. Before the
-- first link stand 32 zeros.
CREATE TABLE record_head (
    sole    boolean CONSTRAINT record_head_sole_key PRIMARY KEY CONSTRAINT record_head_sole_check CHECK (sole),
    number  bigint NOT NULL CONSTRAINT record_head_number_check CHECK (number >= 0),
    link    bytea NOT NULL CONSTRAINT record_head_link_check CHECK (octet_length(link) = 32)
);
INSERT INTO record_head (sole, number, link) VALUES (true, 0, decode(repeat('00', 32), 'hex'));

-- A link goes on where the chain ends, and is its end from then on.
-- +goose StatementBegin
CREATE FUNCTION extend_record() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    UPDATE record_head SET number = NEW.number, link = NEW.link WHERE number = NEW.number - 1 AND link = NEW.before;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a link that is not the next of the record'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER record_links_next BEFORE INSERT ON record_links FOR EACH ROW EXECUTE FUNCTION extend_record();
ALTER TABLE record_links ENABLE ALWAYS TRIGGER record_links_next;

-- How a time is written where it is signed, whatever the connection's time zone.
-- +goose StatementBegin
CREATE FUNCTION signed_time(t timestamptz) RETURNS text LANGUAGE sql IMMUTABLE AS $$
    SELECT to_char(t AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"')
$$;
-- +goose StatementEnd

-- What was done about people and the group is part of the record from now on.
ALTER TABLE acts ADD COLUMN link bigint CONSTRAINT acts_link_key UNIQUE
    CONSTRAINT acts_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED;
