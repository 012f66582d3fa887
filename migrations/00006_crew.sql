-- +goose Up
SET LOCAL lock_timeout = '5s';

-- Null is the group's default. It is erased with the account.
ALTER TABLE accounts
    ADD COLUMN own_units text CONSTRAINT accounts_own_units_check CHECK (own_units IN ('metric', 'us', 'si')),
    ADD CONSTRAINT accounts_closed_at_own_units_check CHECK (closed_at IS NULL OR own_units IS NULL);

-- In a few words, so that people know their devices apart; empty when unknown.
ALTER TABLE sessions
    ADD COLUMN browser text NOT NULL DEFAULT '' CONSTRAINT sessions_browser_check CHECK (char_length(browser) <= 80);

-- Who leaves stays known: nobody who was ever on a crew may check its designs.
-- Whoever comes back has a row already, and left_at is null again.
ALTER TABLE crew ADD COLUMN left_at timestamptz;

CREATE TRIGGER crew_kept BEFORE UPDATE OF project_id, account_id, joined_at OR DELETE ON crew
    FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER crew_kept_truncate BEFORE TRUNCATE ON crew FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE crew ENABLE ALWAYS TRIGGER crew_kept;
ALTER TABLE crew ENABLE ALWAYS TRIGGER crew_kept_truncate;

-- A crew asks a member to join. The ask waits while its answer is null.
CREATE TABLE crew_asks (
    id           bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT crew_asks_id_key PRIMARY KEY,
    project_id   bigint NOT NULL CONSTRAINT crew_asks_project_id_fk REFERENCES projects (id) ON DELETE RESTRICT,
    account_id   bigint NOT NULL CONSTRAINT crew_asks_account_id_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    asked_by     bigint NOT NULL CONSTRAINT crew_asks_asked_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    asked_at     timestamptz NOT NULL,
    answer       text CONSTRAINT crew_asks_answer_check CHECK (answer IN ('yes', 'no', 'withdrawn')),
    answered_at  timestamptz,
    CONSTRAINT crew_asks_account_id_asked_by_check CHECK (account_id <> asked_by),
    CONSTRAINT crew_asks_answer_answered_at_check CHECK ((answer IS NULL) = (answered_at IS NULL))
);
-- Nobody has two asks of one crew waiting.
CREATE UNIQUE INDEX crew_asks_project_id_account_id_key ON crew_asks (project_id, account_id) WHERE answer IS NULL;
CREATE INDEX crew_asks_account_id ON crew_asks (account_id);
CREATE INDEX crew_asks_asked_by ON crew_asks (asked_by);

-- An ask is answered once.
CREATE TRIGGER crew_asks_answered BEFORE UPDATE ON crew_asks
    FOR EACH ROW WHEN (OLD.answer IS NOT NULL) EXECUTE FUNCTION refuse();
ALTER TABLE crew_asks ENABLE ALWAYS TRIGGER crew_asks_answered;
