-- +goose Up
SET LOCAL lock_timeout = '5s';

-- What the crew gave to be checked: one sheet, and with it the letter is frozen.
-- digest is over its inputs and answers, pressure_hash over what a pressure test
-- of it is good for; checkers is how many must say clear.
CREATE TABLE revision_issues (
    revision_id   bigint CONSTRAINT revision_issues_revision_id_key PRIMARY KEY,
    sheet_number  integer NOT NULL,
    digest        bytea NOT NULL CONSTRAINT revision_issues_digest_check CHECK (octet_length(digest) = 32),
    pressure_hash bytea NOT NULL CONSTRAINT revision_issues_pressure_hash_check CHECK (octet_length(pressure_hash) = 32),
    class         text NOT NULL CONSTRAINT revision_issues_class_check CHECK (class IN ('plain', 'raised')),
    checkers      integer NOT NULL CONSTRAINT revision_issues_checkers_check CHECK (checkers BETWEEN 1 AND 9),
    note          text NOT NULL CONSTRAINT revision_issues_note_check CHECK (char_length(note) <= 2000),
    issued_by     bigint NOT NULL CONSTRAINT revision_issues_issued_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    issued_at     timestamptz NOT NULL,
    link          bigint NOT NULL CONSTRAINT revision_issues_link_key UNIQUE
                  CONSTRAINT revision_issues_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT revision_issues_class_checkers_check CHECK (class = 'plain' OR checkers >= 2),
    CONSTRAINT revision_issues_revision_id_sheet_number_fk
        FOREIGN KEY (revision_id, sheet_number) REFERENCES sheets (revision_id, number) ON DELETE RESTRICT
);
CREATE INDEX revision_issues_issued_by ON revision_issues (issued_by);

-- Whom the crew asks to check it; where nobody stands here, every checker is
-- asked who may.
CREATE TABLE check_asks (
    revision_id  bigint NOT NULL CONSTRAINT check_asks_revision_id_fk REFERENCES revision_issues (revision_id) ON DELETE RESTRICT,
    account_id   bigint NOT NULL CONSTRAINT check_asks_account_id_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    CONSTRAINT check_asks_revision_id_account_id_key PRIMARY KEY (revision_id, account_id)
);
CREATE INDEX check_asks_account_id ON check_asks (account_id);

CREATE TABLE check_outcomes (
    id           bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT check_outcomes_id_key PRIMARY KEY,
    revision_id  bigint NOT NULL CONSTRAINT check_outcomes_revision_id_fk REFERENCES revision_issues (revision_id) ON DELETE RESTRICT,
    outcome      text NOT NULL CONSTRAINT check_outcomes_outcome_check CHECK (outcome IN ('clear', 'return')),
    note         text NOT NULL CONSTRAINT check_outcomes_note_check CHECK (char_length(note) <= 2000),
    who          bigint NOT NULL CONSTRAINT check_outcomes_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at           timestamptz NOT NULL,
    link         bigint NOT NULL CONSTRAINT check_outcomes_link_key UNIQUE
                 CONSTRAINT check_outcomes_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT check_outcomes_outcome_note_check CHECK (outcome = 'clear' OR note <> ''),
    CONSTRAINT check_outcomes_revision_id_who_key UNIQUE (revision_id, who)
);
CREATE INDEX check_outcomes_who ON check_outcomes (who);

-- How a letter ended otherwise than by an outcome or a later letter.
CREATE TABLE revision_ends (
    revision_id  bigint CONSTRAINT revision_ends_revision_id_key PRIMARY KEY
                 CONSTRAINT revision_ends_revision_id_fk REFERENCES revision_issues (revision_id) ON DELETE RESTRICT,
    kind         text NOT NULL CONSTRAINT revision_ends_kind_check CHECK (kind IN ('taken_back', 'withdrawn')),
    reason       text NOT NULL CONSTRAINT revision_ends_reason_check CHECK (char_length(reason) <= 2000),
    who          bigint NOT NULL CONSTRAINT revision_ends_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at           timestamptz NOT NULL,
    link         bigint NOT NULL CONSTRAINT revision_ends_link_key UNIQUE
                 CONSTRAINT revision_ends_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT revision_ends_kind_reason_check CHECK (kind = 'taken_back' OR reason <> '')
);
CREATE INDEX revision_ends_who ON revision_ends (who);

-- A remark stays under the letter that it was left on, and stands until it is
-- laid to rest, on later letters too. pin says where: a JSON pointer into inputs
-- or answers, or the name of a part; it is empty for the whole.
ALTER TABLE revisions ADD CONSTRAINT revisions_id_design_id_key UNIQUE (id, design_id);
CREATE TABLE remarks (
    id           bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT remarks_id_key PRIMARY KEY,
    design_id    bigint NOT NULL CONSTRAINT remarks_design_id_fk REFERENCES designs (id) ON DELETE RESTRICT,
    revision_id  bigint NOT NULL,
    pin_kind     text NOT NULL CONSTRAINT remarks_pin_kind_check CHECK (pin_kind IN ('input', 'result', 'part', 'whole')),
    pin          text NOT NULL CONSTRAINT remarks_pin_check CHECK (char_length(pin) <= 200),
    weight       text NOT NULL CONSTRAINT remarks_weight_check CHECK (weight IN ('note', 'query', 'stopper')),
    text         text NOT NULL CONSTRAINT remarks_text_check CHECK (char_length(text) BETWEEN 1 AND 4000),
    who          bigint NOT NULL CONSTRAINT remarks_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at           timestamptz NOT NULL,
    client_key   text NOT NULL CONSTRAINT remarks_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    laid_by      bigint CONSTRAINT remarks_laid_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    laid_at      timestamptz,
    laid_reason  text NOT NULL DEFAULT '' CONSTRAINT remarks_laid_reason_check CHECK (char_length(laid_reason) <= 2000),
    CONSTRAINT remarks_pin_kind_pin_check CHECK ((pin_kind = 'whole') = (pin = '')),
    CONSTRAINT remarks_laid_by_laid_at_check CHECK ((laid_by IS NULL) = (laid_at IS NULL) AND (laid_at IS NOT NULL OR laid_reason = '')),
    CONSTRAINT remarks_revision_id_design_id_fk FOREIGN KEY (revision_id, design_id) REFERENCES revisions (id, design_id) ON DELETE RESTRICT,
    CONSTRAINT remarks_who_client_key_key UNIQUE (who, client_key)
);
CREATE INDEX remarks_design_id ON remarks (design_id, id);
CREATE INDEX remarks_revision_id ON remarks (revision_id);
CREATE INDEX remarks_laid_by ON remarks (laid_by);
CREATE INDEX remarks_open ON remarks (design_id, id) WHERE laid_at IS NULL;

CREATE TABLE remark_answers (
    id          bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT remark_answers_id_key PRIMARY KEY,
    remark_id   bigint NOT NULL CONSTRAINT remark_answers_remark_id_fk REFERENCES remarks (id) ON DELETE RESTRICT,
    text        text NOT NULL CONSTRAINT remark_answers_text_check CHECK (char_length(text) BETWEEN 1 AND 4000),
    who         bigint NOT NULL CONSTRAINT remark_answers_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at          timestamptz NOT NULL,
    client_key  text NOT NULL CONSTRAINT remark_answers_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT remark_answers_who_client_key_key UNIQUE (who, client_key)
);
CREATE INDEX remark_answers_remark_id ON remark_answers (remark_id, id);

-- What a newer calculation answers for what was issued. The old answer stays;
-- differs lists what is another now.
CREATE TABLE recalculations (
    revision_id      bigint NOT NULL CONSTRAINT recalculations_revision_id_fk REFERENCES revision_issues (revision_id) ON DELETE RESTRICT,
    calc_version     text NOT NULL CONSTRAINT recalculations_calc_version_check CHECK (char_length(calc_version) BETWEEN 1 AND 40),
    coefficient_set  text NOT NULL CONSTRAINT recalculations_coefficient_set_fk REFERENCES coefficient_sets (name) ON DELETE RESTRICT,
    report           jsonb NOT NULL CONSTRAINT recalculations_report_check CHECK (jsonb_typeof(report) = 'object'),
    differs          jsonb NOT NULL CONSTRAINT recalculations_differs_check CHECK (jsonb_typeof(differs) = 'array'),
    at               timestamptz NOT NULL,
    CONSTRAINT recalculations_revision_id_calc_version_key PRIMARY KEY (revision_id, calc_version)
);
CREATE INDEX recalculations_coefficient_set ON recalculations (coefficient_set);
CREATE INDEX recalculations_differ ON recalculations (revision_id) WHERE differs <> '[]';

CREATE INDEX sheets_revision_id_saved_by ON sheets (revision_id, saved_by);
CREATE INDEX revisions_in_check ON revisions (id) WHERE state = 'in_check';

CREATE TRIGGER revision_issues_append_only BEFORE UPDATE OR DELETE ON revision_issues FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER revision_issues_append_only_truncate BEFORE TRUNCATE ON revision_issues FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER check_asks_append_only BEFORE UPDATE OR DELETE ON check_asks FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER check_asks_append_only_truncate BEFORE TRUNCATE ON check_asks FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER check_outcomes_append_only BEFORE UPDATE OR DELETE ON check_outcomes FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER check_outcomes_append_only_truncate BEFORE TRUNCATE ON check_outcomes FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER revision_ends_append_only BEFORE UPDATE OR DELETE ON revision_ends FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER revision_ends_append_only_truncate BEFORE TRUNCATE ON revision_ends FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER remarks_kept BEFORE UPDATE OF id, design_id, revision_id, pin_kind, pin, weight, text, who, at, client_key OR DELETE ON remarks
    FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER remarks_kept_truncate BEFORE TRUNCATE ON remarks FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER remarks_laid_once BEFORE UPDATE ON remarks FOR EACH ROW WHEN (OLD.laid_at IS NOT NULL) EXECUTE FUNCTION refuse();
CREATE TRIGGER remark_answers_append_only BEFORE UPDATE OR DELETE ON remark_answers FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER remark_answers_append_only_truncate BEFORE TRUNCATE ON remark_answers FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER recalculations_append_only BEFORE UPDATE OR DELETE ON recalculations FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER recalculations_append_only_truncate BEFORE TRUNCATE ON recalculations FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE revision_issues ENABLE ALWAYS TRIGGER revision_issues_append_only;
ALTER TABLE revision_issues ENABLE ALWAYS TRIGGER revision_issues_append_only_truncate;
ALTER TABLE check_asks ENABLE ALWAYS TRIGGER check_asks_append_only;
ALTER TABLE check_asks ENABLE ALWAYS TRIGGER check_asks_append_only_truncate;
ALTER TABLE check_outcomes ENABLE ALWAYS TRIGGER check_outcomes_append_only;
ALTER TABLE check_outcomes ENABLE ALWAYS TRIGGER check_outcomes_append_only_truncate;
ALTER TABLE revision_ends ENABLE ALWAYS TRIGGER revision_ends_append_only;
ALTER TABLE revision_ends ENABLE ALWAYS TRIGGER revision_ends_append_only_truncate;
ALTER TABLE remarks ENABLE ALWAYS TRIGGER remarks_kept;
ALTER TABLE remarks ENABLE ALWAYS TRIGGER remarks_kept_truncate;
ALTER TABLE remarks ENABLE ALWAYS TRIGGER remarks_laid_once;
ALTER TABLE remark_answers ENABLE ALWAYS TRIGGER remark_answers_append_only;
ALTER TABLE remark_answers ENABLE ALWAYS TRIGGER remark_answers_append_only_truncate;
ALTER TABLE recalculations ENABLE ALWAYS TRIGGER recalculations_append_only;
ALTER TABLE recalculations ENABLE ALWAYS TRIGGER recalculations_append_only_truncate;

-- The crew issues the last sheet of its draft. The locks keep it so.
-- +goose StatementBegin
CREATE FUNCTION refuse_unless_draft_of_crew() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM revisions r JOIN designs d ON d.id = r.design_id
            JOIN crew c ON c.project_id = d.project_id JOIN accounts a ON a.id = c.account_id
        WHERE r.id = NEW.revision_id AND r.state = 'draft' AND r.sheet_count = NEW.sheet_number
            AND c.account_id = NEW.issued_by AND c.left_at IS NULL AND a.closed_at IS NULL
        FOR NO KEY UPDATE OF r FOR SHARE OF c, a;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'an issue that is not the crew''s last sheet of a draft'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER revision_issues_by_crew BEFORE INSERT ON revision_issues FOR EACH ROW EXECUTE FUNCTION refuse_unless_draft_of_crew();
ALTER TABLE revision_issues ENABLE ALWAYS TRIGGER revision_issues_by_crew;

-- Who says clear or return is a checker, and another than those who designed:
-- never on the crew, left or not, and author of none of the design's sheets.
-- +goose StatementBegin
CREATE FUNCTION refuse_unless_other_checker() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM accounts WHERE id = NEW.who AND checker AND closed_at IS NULL FOR SHARE;
    IF NOT FOUND OR EXISTS (
        SELECT 1 FROM revisions r JOIN designs d ON d.id = r.design_id JOIN crew c ON c.project_id = d.project_id
            WHERE r.id = NEW.revision_id AND c.account_id = NEW.who
        UNION ALL
        SELECT 1 FROM revisions r JOIN revisions o ON o.design_id = r.design_id JOIN sheets s ON s.revision_id = o.id
            WHERE r.id = NEW.revision_id AND s.saved_by = NEW.who
    ) THEN
        RAISE EXCEPTION 'an outcome by somebody who may not check this design'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;

CREATE FUNCTION refuse_unless_in_check() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM revisions WHERE id = NEW.revision_id AND state = 'in_check' FOR NO KEY UPDATE;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'an outcome for a revision that is not in check'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER check_outcomes_by_others BEFORE INSERT ON check_outcomes FOR EACH ROW EXECUTE FUNCTION refuse_unless_other_checker();
CREATE TRIGGER check_outcomes_in_check BEFORE INSERT ON check_outcomes FOR EACH ROW EXECUTE FUNCTION refuse_unless_in_check();
ALTER TABLE check_outcomes ENABLE ALWAYS TRIGGER check_outcomes_by_others;
ALTER TABLE check_outcomes ENABLE ALWAYS TRIGGER check_outcomes_in_check;

-- The crew takes back what nobody has given an outcome for; the crew or a
-- steward withdraws what was cleared.
-- +goose StatementBegin
CREATE FUNCTION refuse_unless_to_end() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    crew_now  boolean;
    steward   boolean;
    stands    text;
BEGIN
    SELECT r.state, EXISTS (SELECT 1 FROM crew c JOIN designs d ON d.project_id = c.project_id
            WHERE d.id = r.design_id AND c.account_id = NEW.who AND c.left_at IS NULL)
        INTO stands, crew_now FROM revisions r WHERE r.id = NEW.revision_id FOR NO KEY UPDATE;
    SELECT a.steward INTO steward FROM accounts a WHERE a.id = NEW.who AND a.closed_at IS NULL FOR SHARE;
    IF steward IS NULL
        OR NEW.kind = 'taken_back' AND NOT (stands = 'in_check' AND crew_now
            AND NOT EXISTS (SELECT 1 FROM check_outcomes WHERE revision_id = NEW.revision_id))
        OR NEW.kind = 'withdrawn' AND NOT (stands IN ('cleared', 'superseded') AND (crew_now OR steward))
    THEN
        RAISE EXCEPTION 'a revision that this person may not end so'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER revision_ends_allowed BEFORE INSERT ON revision_ends FOR EACH ROW EXECUTE FUNCTION refuse_unless_to_end();
ALTER TABLE revision_ends ENABLE ALWAYS TRIGGER revision_ends_allowed;

-- Whoever raised a remark lays it to rest; a steward, with a reason, once that
-- account is closed.
-- +goose StatementBegin
CREATE FUNCTION refuse_unless_own_remark() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.laid_by IS NOT DISTINCT FROM OLD.who THEN
        RETURN NEW;
    END IF;
    PERFORM 1 FROM accounts s JOIN accounts w ON w.id = OLD.who
        WHERE s.id = NEW.laid_by AND s.steward AND s.closed_at IS NULL AND w.closed_at IS NOT NULL AND NEW.laid_reason <> '' FOR SHARE OF s;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a remark laid to rest by somebody else'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER remarks_laid_by_raiser BEFORE UPDATE ON remarks FOR EACH ROW EXECUTE FUNCTION refuse_unless_own_remark();
ALTER TABLE remarks ENABLE ALWAYS TRIGGER remarks_laid_by_raiser;

-- A revision comes into no state that it has not earned. Cleared takes as many
-- as its issue says, each of whom is still none of the crew, nobody who returned
-- it, and no query or stopper that stands open.
-- +goose StatementBegin
CREATE FUNCTION refuse_state_unearned() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    earned  boolean;
BEGIN
    earned := CASE NEW.state
        WHEN 'in_check' THEN EXISTS (SELECT 1 FROM revision_issues WHERE revision_id = NEW.id)
        WHEN 'returned' THEN OLD.state = 'draft'
            OR EXISTS (SELECT 1 FROM check_outcomes WHERE revision_id = NEW.id AND outcome = 'return')
            OR EXISTS (SELECT 1 FROM revision_ends WHERE revision_id = NEW.id AND kind = 'taken_back')
        WHEN 'cleared' THEN NOT EXISTS (SELECT 1 FROM check_outcomes WHERE revision_id = NEW.id AND outcome = 'return')
            AND NOT EXISTS (SELECT 1 FROM remarks WHERE design_id = NEW.design_id AND laid_at IS NULL AND weight <> 'note')
            AND (SELECT count(*) FROM check_outcomes o WHERE o.revision_id = NEW.id AND NOT EXISTS (
                    SELECT 1 FROM crew c JOIN designs d ON d.project_id = c.project_id WHERE d.id = NEW.design_id AND c.account_id = o.who))
                >= (SELECT checkers FROM revision_issues WHERE revision_id = NEW.id)
        WHEN 'superseded' THEN EXISTS (SELECT 1 FROM revisions
            WHERE design_id = NEW.design_id AND position > NEW.position AND state = 'cleared')
        WHEN 'withdrawn' THEN EXISTS (SELECT 1 FROM revision_ends WHERE revision_id = NEW.id AND kind = 'withdrawn')
    END;
    IF earned IS NOT TRUE THEN
        RAISE EXCEPTION 'a revision that is not %', NEW.state
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NULL;
END $$;
-- +goose StatementEnd
CREATE TRIGGER revisions_state_reached AFTER UPDATE ON revisions FOR EACH ROW WHEN (OLD.state IS DISTINCT FROM NEW.state) EXECUTE FUNCTION refuse_state_unearned();
ALTER TABLE revisions ENABLE ALWAYS TRIGGER revisions_state_reached;
