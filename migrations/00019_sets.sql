-- +goose Up
SET LOCAL lock_timeout = '5s';

-- Somebody asks, signed, what the runs that count say of the coefficients. What
-- comes of it is worked out from set 0 and all those runs, and tried against the
-- set in force; its letter stands below. Both stay, adopted or not.
CREATE TABLE coefficient_set_proposals (
    id            bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT coefficient_set_proposals_id_key PRIMARY KEY,
    why           text NOT NULL CONSTRAINT coefficient_set_proposals_why_check CHECK (char_length(why) BETWEEN 1 AND 2000),
    current_set   text NOT NULL CONSTRAINT coefficient_set_proposals_current_set_fk REFERENCES coefficient_sets (name) ON DELETE RESTRICT,
    proposed_by   bigint NOT NULL CONSTRAINT coefficient_set_proposals_proposed_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    proposed_at   timestamptz NOT NULL,
    client_key    text NOT NULL CONSTRAINT coefficient_set_proposals_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    link          bigint NOT NULL CONSTRAINT coefficient_set_proposals_link_key UNIQUE
                  CONSTRAINT coefficient_set_proposals_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT coefficient_set_proposals_proposed_by_client_key_key UNIQUE (proposed_by, client_key)
);
CREATE INDEX coefficient_set_proposals_current_set ON coefficient_set_proposals (current_set);

-- A run that it is learned from, with the digest of its verdict.
CREATE TABLE coefficient_set_runs (
    proposal_id  bigint NOT NULL CONSTRAINT coefficient_set_runs_proposal_id_fk REFERENCES coefficient_set_proposals (id) ON DELETE RESTRICT,
    run_id       bigint NOT NULL CONSTRAINT coefficient_set_runs_run_id_fk REFERENCES runs (id) ON DELETE RESTRICT,
    digest       bytea NOT NULL CONSTRAINT coefficient_set_runs_digest_check CHECK (octet_length(digest) = 32),
    CONSTRAINT coefficient_set_runs_proposal_id_run_id_key PRIMARY KEY (proposal_id, run_id)
);
CREATE INDEX coefficient_set_runs_run_id ON coefficient_set_runs (run_id);

-- What the runs say, letter for letter as it was worked out once, with what
-- speaks against adopting it.
CREATE TABLE coefficient_set_lessons (
    proposal_id  bigint CONSTRAINT coefficient_set_lessons_proposal_id_key PRIMARY KEY
                 CONSTRAINT coefficient_set_lessons_proposal_id_fk REFERENCES coefficient_set_proposals (id) ON DELETE RESTRICT,
    body         text NOT NULL CONSTRAINT coefficient_set_lessons_body_check
                 CHECK (jsonb_typeof(body::jsonb) = 'object' AND jsonb_typeof(body::jsonb -> 'adoptable') IS NOT DISTINCT FROM 'boolean'
                     AND jsonb_typeof(body::jsonb -> 'calc_version') IS NOT DISTINCT FROM 'string'),
    digest       bytea NOT NULL CONSTRAINT coefficient_set_lessons_digest_check CHECK (digest = sha256(convert_to(body, 'UTF8'))),
    at           timestamptz NOT NULL
);

-- A steward adopts it, signed: it becomes a set, under the next number.
CREATE TABLE coefficient_set_adoptions (
    proposal_id  bigint CONSTRAINT coefficient_set_adoptions_proposal_id_key PRIMARY KEY
                 CONSTRAINT coefficient_set_adoptions_proposal_id_fk REFERENCES coefficient_set_lessons (proposal_id) ON DELETE RESTRICT,
    set_name     text NOT NULL CONSTRAINT coefficient_set_adoptions_set_name_key UNIQUE
                 CONSTRAINT coefficient_set_adoptions_set_name_fk REFERENCES coefficient_sets (name) ON DELETE RESTRICT,
    who          bigint NOT NULL CONSTRAINT coefficient_set_adoptions_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at           timestamptz NOT NULL,
    link         bigint NOT NULL CONSTRAINT coefficient_set_adoptions_link_key UNIQUE
                 CONSTRAINT coefficient_set_adoptions_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED
);
CREATE INDEX coefficient_set_adoptions_who ON coefficient_set_adoptions (who);

CREATE TRIGGER coefficient_set_proposals_append_only BEFORE UPDATE OR DELETE ON coefficient_set_proposals FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER coefficient_set_proposals_append_only_truncate BEFORE TRUNCATE ON coefficient_set_proposals FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER coefficient_set_runs_append_only BEFORE UPDATE OR DELETE ON coefficient_set_runs FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER coefficient_set_runs_append_only_truncate BEFORE TRUNCATE ON coefficient_set_runs FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER coefficient_set_lessons_append_only BEFORE UPDATE OR DELETE ON coefficient_set_lessons FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER coefficient_set_lessons_append_only_truncate BEFORE TRUNCATE ON coefficient_set_lessons FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER coefficient_set_adoptions_append_only BEFORE UPDATE OR DELETE ON coefficient_set_adoptions FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER coefficient_set_adoptions_append_only_truncate BEFORE TRUNCATE ON coefficient_set_adoptions FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE coefficient_set_proposals ENABLE ALWAYS TRIGGER coefficient_set_proposals_append_only;
ALTER TABLE coefficient_set_proposals ENABLE ALWAYS TRIGGER coefficient_set_proposals_append_only_truncate;
ALTER TABLE coefficient_set_runs ENABLE ALWAYS TRIGGER coefficient_set_runs_append_only;
ALTER TABLE coefficient_set_runs ENABLE ALWAYS TRIGGER coefficient_set_runs_append_only_truncate;
ALTER TABLE coefficient_set_lessons ENABLE ALWAYS TRIGGER coefficient_set_lessons_append_only;
ALTER TABLE coefficient_set_lessons ENABLE ALWAYS TRIGGER coefficient_set_lessons_append_only_truncate;
ALTER TABLE coefficient_set_adoptions ENABLE ALWAYS TRIGGER coefficient_set_adoptions_append_only;
ALTER TABLE coefficient_set_adoptions ENABLE ALWAYS TRIGGER coefficient_set_adoptions_append_only_truncate;

-- It is learned from runs that are confirmed and not set aside. The lock keeps
-- them so until the proposal is there; afterwards nothing is added to it.
-- +goose StatementBegin
CREATE FUNCTION refuse_lesson_of_other_run() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM runs r JOIN run_verdicts v ON v.run_id = r.id AND v.digest = NEW.digest
        WHERE r.id = NEW.run_id AND EXISTS (SELECT 1 FROM run_ends e WHERE e.run_id = r.id AND e.kind = 'confirmed')
            AND NOT EXISTS (SELECT 1 FROM run_ends e WHERE e.run_id = r.id AND e.kind = 'set_aside')
            AND NOT EXISTS (SELECT 1 FROM record_links l JOIN coefficient_set_proposals p ON p.link = l.number WHERE p.id = NEW.proposal_id)
        FOR SHARE OF r;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a run that nothing is learned from, or of a proposal that was signed'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER coefficient_set_runs_counted BEFORE INSERT ON coefficient_set_runs FOR EACH ROW EXECUTE FUNCTION refuse_lesson_of_other_run();
ALTER TABLE coefficient_set_runs ENABLE ALWAYS TRIGGER coefficient_set_runs_counted;

-- Whether nobody but this person took part in any run that a proposal is learned from.
-- +goose StatementBegin
CREATE FUNCTION sole_author_of_set(proposal bigint, person bigint) RETURNS boolean LANGUAGE sql STABLE AS $$
    SELECT NOT EXISTS (SELECT 1 FROM coefficient_set_runs x JOIN accounts a ON a.id <> person WHERE x.proposal_id = proposal AND took_part_in_run(x.run_id, a.id))
$$;
-- +goose StatementEnd

-- A set is adopted by a steward who did not propose it; neither of the two alone
-- made the runs that it is learned from. The lock keeps the role.
-- +goose StatementBegin
CREATE FUNCTION refuse_adoption_by_others() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM coefficient_set_proposals p, accounts a
        WHERE p.id = NEW.proposal_id AND a.id = NEW.who AND a.steward AND a.closed_at IS NULL AND a.id <> p.proposed_by
            AND NOT sole_author_of_set(p.id, a.id) AND NOT sole_author_of_set(p.id, p.proposed_by)
        FOR SHARE OF a;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a set is adopted by a steward who did not propose it, and neither alone made its runs'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;

-- It says what was learned, nothing speaks against it, no run was set aside since,
-- and no other set came into force after it was proposed.
CREATE FUNCTION refuse_adoption_of_other() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM runs r JOIN coefficient_set_runs x ON x.run_id = r.id WHERE x.proposal_id = NEW.proposal_id ORDER BY r.id FOR SHARE OF r;
    PERFORM 1 FROM coefficient_set_proposals p JOIN coefficient_set_lessons l ON l.proposal_id = p.id JOIN coefficient_sets s ON s.name = NEW.set_name
        WHERE p.id = NEW.proposal_id AND (l.body::jsonb ->> 'adoptable')::boolean AND s.body::jsonb -> 'learned' = l.body::jsonb -> 'learned'
            AND NOT EXISTS (SELECT 1 FROM coefficient_set_runs x JOIN run_ends e ON e.run_id = x.run_id AND e.kind = 'set_aside' WHERE x.proposal_id = p.id)
            AND NOT EXISTS (SELECT 1 FROM coefficient_set_adoptions o WHERE o.link > p.link);
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a set that may not be adopted'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;

-- Every set but the one that leat comes with was adopted.
CREATE FUNCTION refuse_set_of_nobody() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NOT EXISTS (SELECT 1 FROM coefficient_set_adoptions WHERE set_name = NEW.name) THEN
        RAISE EXCEPTION 'a set that nobody adopted'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NULL;
END $$;
-- +goose StatementEnd
CREATE TRIGGER coefficient_set_adoptions_by_steward BEFORE INSERT ON coefficient_set_adoptions FOR EACH ROW EXECUTE FUNCTION refuse_adoption_by_others();
CREATE TRIGGER coefficient_set_adoptions_of_lesson BEFORE INSERT ON coefficient_set_adoptions FOR EACH ROW EXECUTE FUNCTION refuse_adoption_of_other();
CREATE CONSTRAINT TRIGGER coefficient_sets_adopted_check AFTER INSERT ON coefficient_sets DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION refuse_set_of_nobody();
ALTER TABLE coefficient_set_adoptions ENABLE ALWAYS TRIGGER coefficient_set_adoptions_by_steward;
ALTER TABLE coefficient_set_adoptions ENABLE ALWAYS TRIGGER coefficient_set_adoptions_of_lesson;
ALTER TABLE coefficient_sets ENABLE ALWAYS TRIGGER coefficient_sets_adopted_check;

-- A newer set answers what was issued anew, as a newer calculation does.
ALTER TABLE recalculations DROP CONSTRAINT recalculations_revision_id_calc_version_key,
    ADD CONSTRAINT recalculations_revision_id_calc_version_coefficient_set_key PRIMARY KEY (revision_id, calc_version, coefficient_set);
