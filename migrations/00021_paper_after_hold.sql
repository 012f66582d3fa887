-- +goose Up
SET LOCAL lock_timeout = '5s';

-- The watch that a paper was signed by may be ten minutes ahead.
ALTER TABLE test_entries DROP CONSTRAINT test_entries_at_paper_at_check,
    ADD CONSTRAINT test_entries_at_paper_at_check CHECK (outcome = 'attempt' OR paper_at IS NULL OR at - paper_at BETWEEN interval '-10 minutes' AND interval '24 hours');

-- Nothing after a hold point is done before it is signed, on paper either. A signature
-- from paper counts from the time that stands there; watches may differ by ten minutes.
-- +goose StatementBegin
CREATE FUNCTION refuse_paper_before_hold() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (SELECT 1 FROM test_sheets s JOIN templates t ON t.version = s.template_version,
            jsonb_array_elements(t.body::jsonb -> 'items') WITH ORDINALITY i (item, place),
            jsonb_array_elements(t.body::jsonb -> 'items') WITH ORDINALITY h (item, place),
            test_signatures g JOIN test_entries e ON e.id = g.entry_id
        WHERE s.id = NEW.sheet_id AND i.item ->> 'id' = NEW.item AND i.item ->> 'point' <> 'review'
            AND h.place < i.place AND h.item ->> 'point' = 'hold'
            AND g.sheet_id = s.id AND g.item = h.item ->> 'id' AND NEW.paper_at < coalesce(e.paper_at, g.at) - interval '10 minutes') THEN
        RAISE EXCEPTION 'a paper that was signed before a hold point was'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER test_entries_after_hold BEFORE INSERT ON test_entries FOR EACH ROW
    WHEN (NEW.paper_at IS NOT NULL AND NEW.outcome <> 'attempt' AND NOT leat_importing()) EXECUTE FUNCTION refuse_paper_before_hold();
ALTER TABLE test_entries ENABLE ALWAYS TRIGGER test_entries_after_hold;
