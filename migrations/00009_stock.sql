-- +goose Up
SET LOCAL lock_timeout = '5s';

-- The group's own list: what lies on the shelf, and how things are sold. key is
-- a line of the pipe catalogue, or a name. length_m is null for what goes by
-- number, such as elbows; saw cut and trim are null where nobody said.
CREATE TABLE stock_items (
    id           bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT stock_items_id_key PRIMARY KEY,
    key          text NOT NULL CONSTRAINT stock_items_key_check CHECK (char_length(key) BETWEEN 1 AND 200),
    for_sale     boolean NOT NULL,
    length_m     double precision CONSTRAINT stock_items_length_m_check CHECK (length_m BETWEEN 0.001 AND 1000),
    quantity     integer CONSTRAINT stock_items_quantity_check CHECK (quantity BETWEEN 1 AND 1000),
    kerf_m       double precision CONSTRAINT stock_items_kerf_m_check CHECK (kerf_m BETWEEN 0 AND 0.1),
    trim_m       double precision CONSTRAINT stock_items_trim_m_check CHECK (trim_m BETWEEN 0 AND 1),
    price        bigint CONSTRAINT stock_items_price_check CHECK (price BETWEEN 0 AND 100000000),
    note         text NOT NULL CONSTRAINT stock_items_note_check CHECK (char_length(note) <= 500),
    recorded_by  bigint NOT NULL CONSTRAINT stock_items_recorded_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    recorded_at  timestamptz NOT NULL,
    changed_by   bigint NOT NULL CONSTRAINT stock_items_changed_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    changed_at   timestamptz NOT NULL,
    client_key   text NOT NULL CONSTRAINT stock_items_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    version      bigint NOT NULL CONSTRAINT stock_items_version_check CHECK (version >= 1),
    -- On the shelf there are so many of it; of what is for sale, as many as are wanted.
    CONSTRAINT stock_items_for_sale_quantity_check CHECK (for_sale = (quantity IS NULL)),
    CONSTRAINT stock_items_for_sale_kerf_m_trim_m_check CHECK (for_sale AND length_m IS NOT NULL OR kerf_m IS NULL AND trim_m IS NULL),
    CONSTRAINT stock_items_recorded_by_client_key_key UNIQUE (recorded_by, client_key)
);
CREATE INDEX stock_items_changed_by ON stock_items (changed_by);
-- A cutting plan buys one thing in one length.
CREATE UNIQUE INDEX stock_items_key_key ON stock_items (key) WHERE for_sale;
