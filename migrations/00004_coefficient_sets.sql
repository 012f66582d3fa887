-- +goose Up
SET LOCAL lock_timeout = '5s';

-- The sets of coefficients that answers were calculated with. A set never
-- changes; what the group learns makes another. Set 0 is the one that leat comes
-- with, letter for letter.
CREATE TABLE coefficient_sets (
    name      text CONSTRAINT coefficient_sets_name_key PRIMARY KEY
              CONSTRAINT coefficient_sets_name_check CHECK (name ~ '^(0|[1-9][0-9]{0,8})$'),
    calc      text NOT NULL CONSTRAINT coefficient_sets_calc_check CHECK (calc = 'trompe'),
    body      text NOT NULL CONSTRAINT coefficient_sets_body_check
              CHECK (jsonb_typeof(body::jsonb) = 'object' AND body::jsonb ->> 'set' IS NOT DISTINCT FROM name AND body::jsonb ->> 'calc' IS NOT DISTINCT FROM calc)
);
CREATE TRIGGER coefficient_sets_append_only BEFORE UPDATE OR DELETE ON coefficient_sets FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER coefficient_sets_append_only_truncate BEFORE TRUNCATE ON coefficient_sets FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE coefficient_sets ENABLE ALWAYS TRIGGER coefficient_sets_append_only;
ALTER TABLE coefficient_sets ENABLE ALWAYS TRIGGER coefficient_sets_append_only_truncate;

INSERT INTO coefficient_sets (name, calc, body) VALUES ('0', 'trompe', $set${
  "set": "0",
  "calc": "trompe",
  "about": "Best values and standard uncertainties before the group measured anything. None was fitted to a machine; judgement marks a value without a source. Draws are normal, cut off at low and high.",
  "coefficients": [
    {"name": "k_in", "best": 0.2, "u": 0.1, "low": 0, "about": "contraction loss on the throat velocity head", "source": "Idelchik; Crane TP-410: rounded 0.05, sharp 0.5; from memory"},
    {"name": "k_rec", "best": 0.85, "u": 0.1, "low": 0, "high": 1, "about": "share of the momentum rise recovered in mixing", "source": "judgement from jet-pump practice"},
    {"name": "k_c0", "best": 1.0, "u": 0.08, "low": 0, "about": "factor on the distribution parameter of Goda et al. 2003", "source": "half of the paper's mean deviation: judgement"},
    {"name": "k_v", "best": 1.0, "u": 0.15, "low": 0, "about": "factor on the drift velocity", "source": "bore and purity of the water: judgement"},
    {"name": "k_f", "best": 1.1, "u": 0.15, "low": 0, "about": "factor on homogeneous wall friction", "source": "judgement"},
    {"name": "k_b", "best": 0.62, "u": 0.15, "low": 0, "about": "Sauter diameter over largest stable bubble diameter", "source": "Hesketh et al. 1987, from memory"},
    {"name": "k_abs", "best": 0.5, "u": 0.2, "low": 0, "about": "factor on penetration-theory transfer, interface partly rigid", "source": "judgement"},
    {"name": "k_air", "best": 1.5, "u": 0.3, "low": 0, "about": "loss of an air tube", "source": "entry 0.5 and velocity head 1.0, handbook values, from memory; spread: judgement"},
    {"name": "k_dif", "best": 0.5, "u": 0.2, "low": 0, "high": 1, "about": "recovery of a flared outlet", "source": "judgement; Idelchik, diffusers 0.3 to 0.7, from memory"},
    {"name": "sig_g", "best": 1.6, "u": 0.2, "low": 1.05, "about": "geometric standard deviation of bubble volume", "source": "judgement"},
    {"name": "alpha_sat", "u": 0.08, "low": 0.2, "high": 0.52, "about": "void at which the top of the full bore is saturated", "source": "0.32 + 0.18·clamp(log10(bore/0.1 m), 0, 1) where no best value stands: judgement from built small machines (Leavitt and Danehy 2013), bubbly-to-slug transition (Usui 1989) and closest packing (Taitel et al. 1980, from memory); evidence C"}
  ]
}
$set$);

-- A sheet says in its report which set it was calculated with; before sets had
-- names there was only one.
ALTER TABLE sheets ADD COLUMN coefficient_set text NOT NULL GENERATED ALWAYS AS (coalesce(report ->> 'coefficient_set', '0')) STORED
    CONSTRAINT sheets_coefficient_set_fk REFERENCES coefficient_sets (name) ON DELETE RESTRICT;
CREATE INDEX sheets_coefficient_set ON sheets (coefficient_set);
