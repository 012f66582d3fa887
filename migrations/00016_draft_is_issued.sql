-- +goose Up
SET LOCAL lock_timeout = '5s';

-- A draft goes to its check and nowhere else. Letters that were set aside as
-- drafts before stay returned, without an issue.
-- +goose StatementBegin
CREATE OR REPLACE FUNCTION refuse_state_back() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF (OLD.state, NEW.state) NOT IN (
        ('draft', 'in_check'), ('in_check', 'cleared'), ('in_check', 'returned'),
        ('cleared', 'superseded'), ('cleared', 'withdrawn'), ('superseded', 'withdrawn')
    ) THEN
        RAISE EXCEPTION 'a revision does not go from % to %', OLD.state, NEW.state
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NULL;
END $$;

CREATE OR REPLACE FUNCTION refuse_state_unearned() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    earned  boolean;
BEGIN
    earned := CASE NEW.state
        WHEN 'in_check' THEN EXISTS (SELECT 1 FROM revision_issues WHERE revision_id = NEW.id)
        WHEN 'returned' THEN EXISTS (SELECT 1 FROM check_outcomes WHERE revision_id = NEW.id AND outcome = 'return')
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
