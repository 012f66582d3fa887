-- +goose Up
SET LOCAL lock_timeout = '5s';

-- Whoever may sign in. An account is closed, never deleted: its name stays under
-- what it wrote, its address and password go.
CREATE TABLE accounts (
    id            bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT accounts_id_key PRIMARY KEY,
    name          text NOT NULL CONSTRAINT accounts_name_check CHECK (char_length(name) BETWEEN 1 AND 80),
    address       text CONSTRAINT accounts_address_check CHECK (char_length(address) BETWEEN 3 AND 254),
    password_hash text CONSTRAINT accounts_password_hash_check CHECK (password_hash LIKE '$argon2id$%' AND char_length(password_hash) <= 200),
    checker       boolean NOT NULL,
    steward       boolean NOT NULL,
    keeper        boolean NOT NULL,
    demo          boolean NOT NULL,
    created_at    timestamptz NOT NULL,
    closed_at     timestamptz,
    CONSTRAINT accounts_closed_at_check CHECK (
        closed_at IS NULL AND address IS NOT NULL AND password_hash IS NOT NULL
        OR closed_at IS NOT NULL AND address IS NULL AND password_hash IS NULL)
);
CREATE UNIQUE INDEX accounts_address_key ON accounts (lower(address));

-- One row a signed-in device. Both hashes are SHA-256: of the part of the
-- refresh token that stays for the life of the session, and of the part that
-- each use replaces.
CREATE TABLE sessions (
    id            bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT sessions_id_key PRIMARY KEY,
    account_id    bigint NOT NULL CONSTRAINT sessions_account_id_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    family_hash   bytea NOT NULL CONSTRAINT sessions_family_hash_check CHECK (octet_length(family_hash) = 32)
                  CONSTRAINT sessions_family_hash_key UNIQUE,
    refresh_hash  bytea NOT NULL CONSTRAINT sessions_refresh_hash_check CHECK (octet_length(refresh_hash) = 32),
    created_at    timestamptz NOT NULL,
    used_at       timestamptz NOT NULL,
    ends_at       timestamptz NOT NULL,
    CONSTRAINT sessions_created_at_ends_at_check CHECK (created_at < ends_at)
);
CREATE INDEX sessions_account_id ON sessions (account_id);

-- The one-time code that makes the first keeper: at most one, as SHA-256.
CREATE TABLE setup_codes (
    purpose    text CONSTRAINT setup_codes_purpose_key PRIMARY KEY
               CONSTRAINT setup_codes_purpose_check CHECK (purpose = 'first_keeper'),
    code_hash  bytea NOT NULL CONSTRAINT setup_codes_code_hash_check CHECK (octet_length(code_hash) = 32),
    ends_at    timestamptz NOT NULL
);
