-- +goose Up
SET LOCAL lock_timeout = '5s';

-- What a group may set of the rules of safety, and how far. body holds all
-- settings; the bounds are those that no group may pass.
-- +goose StatementBegin
CREATE FUNCTION is_within(body jsonb, name text, low double precision, high double precision, whole boolean) RETURNS boolean
LANGUAGE sql IMMUTABLE AS $$
    SELECT CASE WHEN jsonb_typeof(body -> name) IS NOT DISTINCT FROM 'number'
        THEN (body ->> name)::double precision BETWEEN low AND high AND (NOT whole OR (body ->> name)::numeric % 1 = 0)
        ELSE false END
$$;
-- +goose StatementEnd

CREATE TABLE safety_settings (
    id           bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT safety_settings_id_key PRIMARY KEY,
    follows      bigint CONSTRAINT safety_settings_follows_fk REFERENCES safety_settings (id) ON DELETE RESTRICT,
    body         jsonb NOT NULL CONSTRAINT safety_settings_body_check CHECK (
        jsonb_typeof(body) = 'object'
        AND body - ARRAY['p_low_pa', 'p_brittle_max_pa', 'e_low_j', 'e_brittle_max_j', 'e_competent_j', 'pv_home_j', 'hydro_factor', 'gas_floor_m',
            'gas_floor_always', 'water_floor_m', 'collapse_factor', 'ram_factor', 'hold_plastic_minutes', 'hold_metal_minutes', 'gauge_age_days',
            'cure_floor_hours', 'certificate_months', 'certificate_gas_months', 'checkers_plain', 'checkers_raised'] = '{}'
        AND is_within(body, 'p_low_pa', 0, 10000, false) AND is_within(body, 'p_brittle_max_pa', 0, 50000, false)
        AND is_within(body, 'e_low_j', 0, 79, false) AND is_within(body, 'e_brittle_max_j', 0, 1356, false)
        AND is_within(body, 'e_competent_j', 0, 5000, false) AND is_within(body, 'pv_home_j', 0, 5000, false)
        AND is_within(body, 'hydro_factor', 1.5, 2, false) AND is_within(body, 'gas_floor_m', 10, 1000, false)
        AND jsonb_typeof(body -> 'gas_floor_always') IS NOT DISTINCT FROM 'boolean' AND is_within(body, 'water_floor_m', 3, 1000, false)
        AND is_within(body, 'collapse_factor', 2, 20, false) AND is_within(body, 'ram_factor', 0, 0.5, false)
        AND is_within(body, 'hold_plastic_minutes', 30, 1440, false) AND is_within(body, 'hold_metal_minutes', 10, 1440, false)
        AND is_within(body, 'gauge_age_days', 1, 365, true) AND is_within(body, 'cure_floor_hours', 24, 720, false)
        AND is_within(body, 'certificate_months', 1, 24, true) AND is_within(body, 'certificate_gas_months', 1, 3, true)
        AND is_within(body, 'checkers_plain', 1, 5, true) AND is_within(body, 'checkers_raised', 2, 5, true)
        AND (body ->> 'checkers_raised')::int >= (body ->> 'checkers_plain')::int),
    why          text NOT NULL CONSTRAINT safety_settings_why_check CHECK (char_length(why) BETWEEN 1 AND 1000),
    proposed_by  bigint NOT NULL CONSTRAINT safety_settings_proposed_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    proposed_at  timestamptz NOT NULL,
    client_key   text NOT NULL CONSTRAINT safety_settings_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    link         bigint NOT NULL CONSTRAINT safety_settings_link_key UNIQUE
                 CONSTRAINT safety_settings_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT safety_settings_follows_check CHECK (follows < id),
    CONSTRAINT safety_settings_proposed_by_client_key_key UNIQUE (proposed_by, client_key)
);
CREATE INDEX safety_settings_follows ON safety_settings (follows);

-- A proposal takes effect with two rows here, of two different people.
CREATE TABLE safety_setting_signatures (
    setting_id  bigint NOT NULL CONSTRAINT safety_setting_signatures_setting_id_fk REFERENCES safety_settings (id) ON DELETE RESTRICT,
    role        text NOT NULL CONSTRAINT safety_setting_signatures_role_check CHECK (role IN ('steward', 'second')),
    who         bigint NOT NULL CONSTRAINT safety_setting_signatures_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at          timestamptz NOT NULL,
    link        bigint NOT NULL CONSTRAINT safety_setting_signatures_link_key UNIQUE
                CONSTRAINT safety_setting_signatures_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT safety_setting_signatures_setting_id_role_key PRIMARY KEY (setting_id, role),
    CONSTRAINT safety_setting_signatures_setting_id_who_key UNIQUE (setting_id, who)
);
CREATE INDEX safety_setting_signatures_who ON safety_setting_signatures (who);

-- Versions of the procedure of the pressure test. The first is the one that leat
-- comes with, letter for letter; nobody proposed it.
CREATE TABLE templates (
    version      integer CONSTRAINT templates_version_key PRIMARY KEY CONSTRAINT templates_version_check CHECK (version >= 1),
    follows      integer CONSTRAINT templates_follows_fk REFERENCES templates (version) ON DELETE RESTRICT,
    body         text NOT NULL CONSTRAINT templates_body_check CHECK (octet_length(body) <= 262144
                 AND jsonb_typeof(body::jsonb) = 'object' AND body::jsonb -> 'version' IS NOT DISTINCT FROM to_jsonb(version)),
    why          text NOT NULL CONSTRAINT templates_why_check CHECK (char_length(why) BETWEEN 1 AND 1000),
    proposed_by  bigint CONSTRAINT templates_proposed_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    proposed_at  timestamptz,
    client_key   text CONSTRAINT templates_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    link         bigint CONSTRAINT templates_link_key UNIQUE
                 CONSTRAINT templates_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT templates_follows_check CHECK (follows < version),
    CONSTRAINT templates_version_follows_proposed_by_link_check CHECK (version = 1 AND num_nulls(follows, proposed_by, proposed_at, client_key, link) = 5
        OR version > 1 AND num_nulls(follows, proposed_by, proposed_at, client_key, link) = 0),
    CONSTRAINT templates_proposed_by_client_key_key UNIQUE (proposed_by, client_key)
);
CREATE INDEX templates_follows ON templates (follows);

CREATE TABLE template_signatures (
    version  integer NOT NULL CONSTRAINT template_signatures_version_fk REFERENCES templates (version) ON DELETE RESTRICT
             CONSTRAINT template_signatures_version_check CHECK (version > 1),
    role     text NOT NULL CONSTRAINT template_signatures_role_check CHECK (role IN ('steward', 'second')),
    who      bigint NOT NULL CONSTRAINT template_signatures_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at       timestamptz NOT NULL,
    link     bigint NOT NULL CONSTRAINT template_signatures_link_key UNIQUE
             CONSTRAINT template_signatures_link_fk REFERENCES record_links (number) ON DELETE RESTRICT DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT template_signatures_version_role_key PRIMARY KEY (version, role),
    CONSTRAINT template_signatures_version_who_key UNIQUE (version, who)
);
CREATE INDEX template_signatures_who ON template_signatures (who);

-- The group's register. What happened to an instrument, its calibrations too, is
-- in its acts; figures are in the unit.
CREATE TABLE instruments (
    id             bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT instruments_id_key PRIMARY KEY,
    name           text NOT NULL CONSTRAINT instruments_name_check CHECK (char_length(name) BETWEEN 1 AND 80),
    kind           text NOT NULL CONSTRAINT instruments_kind_check CHECK (kind IN ('pressure_gauge', 'water_manometer', 'barometer', 'thermometer',
                       'flow_meter', 'air_flow_meter', 'measuring_vessel', 'timer', 'length_measure', 'oxygen_meter', 'sound_meter', 'logger', 'other')),
    serial         text NOT NULL CONSTRAINT instruments_serial_check CHECK (char_length(serial) <= 80),
    unit           text NOT NULL CONSTRAINT instruments_unit_check CHECK (char_length(unit) BETWEEN 1 AND 16),
    range_low      double precision NOT NULL CONSTRAINT instruments_range_low_check CHECK (range_low BETWEEN -1e9 AND 1e9),
    range_high     double precision NOT NULL CONSTRAINT instruments_range_high_check CHECK (range_high BETWEEN -1e9 AND 1e9),
    resolution     double precision CONSTRAINT instruments_resolution_check CHECK (resolution > 0 AND resolution <= 1e9),
    class_pct      double precision CONSTRAINT instruments_class_pct_check CHECK (class_pct > 0 AND class_pct <= 10),
    accuracy       double precision CONSTRAINT instruments_accuracy_check CHECK (accuracy > 0 AND accuracy <= 1e9),
    interval_days  integer NOT NULL CONSTRAINT instruments_interval_days_check CHECK (interval_days BETWEEN 1 AND 3650),
    note           text NOT NULL CONSTRAINT instruments_note_check CHECK (char_length(note) <= 2000),
    added_by       bigint NOT NULL CONSTRAINT instruments_added_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    added_at       timestamptz NOT NULL,
    changed_by     bigint NOT NULL CONSTRAINT instruments_changed_by_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    changed_at     timestamptz NOT NULL,
    client_key     text NOT NULL CONSTRAINT instruments_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    version        bigint NOT NULL CONSTRAINT instruments_version_check CHECK (version >= 1),
    CONSTRAINT instruments_range_low_range_high_check CHECK (range_low < range_high),
    CONSTRAINT instruments_added_by_client_key_key UNIQUE (added_by, client_key)
);
CREATE INDEX instruments_changed_by ON instruments (changed_by);

-- day is the day of a calibration, since when the instrument is wrong, or on
-- which it was retired.
CREATE TABLE instrument_acts (
    id             bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT instrument_acts_id_key PRIMARY KEY,
    instrument_id  bigint NOT NULL CONSTRAINT instrument_acts_instrument_id_fk REFERENCES instruments (id) ON DELETE RESTRICT,
    kind           text NOT NULL CONSTRAINT instrument_acts_kind_check CHECK (kind IN ('calibrated', 'found_wrong', 'retired')),
    day            date NOT NULL CONSTRAINT instrument_acts_day_check CHECK (day >= '1900-01-01'),
    text           text NOT NULL CONSTRAINT instrument_acts_text_check CHECK (char_length(text) BETWEEN 1 AND 500),
    who            bigint NOT NULL CONSTRAINT instrument_acts_who_fk REFERENCES accounts (id) ON DELETE RESTRICT,
    at             timestamptz NOT NULL,
    client_key     text NOT NULL CONSTRAINT instrument_acts_client_key_check CHECK (char_length(client_key) BETWEEN 8 AND 80),
    CONSTRAINT instrument_acts_who_client_key_key UNIQUE (who, client_key)
);
CREATE INDEX instrument_acts_instrument_id ON instrument_acts (instrument_id, id);
CREATE UNIQUE INDEX instrument_acts_instrument_id_key ON instrument_acts (instrument_id) WHERE kind = 'retired';

CREATE TRIGGER safety_settings_append_only BEFORE UPDATE OR DELETE ON safety_settings FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER safety_settings_append_only_truncate BEFORE TRUNCATE ON safety_settings FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE safety_settings ENABLE ALWAYS TRIGGER safety_settings_append_only;
ALTER TABLE safety_settings ENABLE ALWAYS TRIGGER safety_settings_append_only_truncate;
CREATE TRIGGER safety_setting_signatures_append_only BEFORE UPDATE OR DELETE ON safety_setting_signatures FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER safety_setting_signatures_append_only_truncate BEFORE TRUNCATE ON safety_setting_signatures FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE safety_setting_signatures ENABLE ALWAYS TRIGGER safety_setting_signatures_append_only;
ALTER TABLE safety_setting_signatures ENABLE ALWAYS TRIGGER safety_setting_signatures_append_only_truncate;
CREATE TRIGGER templates_append_only BEFORE UPDATE OR DELETE ON templates FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER templates_append_only_truncate BEFORE TRUNCATE ON templates FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE templates ENABLE ALWAYS TRIGGER templates_append_only;
ALTER TABLE templates ENABLE ALWAYS TRIGGER templates_append_only_truncate;
CREATE TRIGGER template_signatures_append_only BEFORE UPDATE OR DELETE ON template_signatures FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER template_signatures_append_only_truncate BEFORE TRUNCATE ON template_signatures FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE template_signatures ENABLE ALWAYS TRIGGER template_signatures_append_only;
ALTER TABLE template_signatures ENABLE ALWAYS TRIGGER template_signatures_append_only_truncate;
CREATE TRIGGER instrument_acts_append_only BEFORE UPDATE OR DELETE ON instrument_acts FOR EACH ROW EXECUTE FUNCTION refuse();
CREATE TRIGGER instrument_acts_append_only_truncate BEFORE TRUNCATE ON instrument_acts FOR EACH STATEMENT EXECUTE FUNCTION refuse();
ALTER TABLE instrument_acts ENABLE ALWAYS TRIGGER instrument_acts_append_only;
ALTER TABLE instrument_acts ENABLE ALWAYS TRIGGER instrument_acts_append_only_truncate;

-- Keepers propose; a steward signs as steward and any member as second. The lock
-- keeps the role until it is done.
-- +goose StatementBegin
CREATE FUNCTION refuse_unless_keeper_proposes() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM accounts WHERE id = NEW.proposed_by AND keeper AND closed_at IS NULL FOR SHARE;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a proposal of somebody who is no keeper'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE FUNCTION refuse_unless_may_approve() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM accounts WHERE id = NEW.who AND closed_at IS NULL AND (steward OR NEW.role <> 'steward') FOR SHARE;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'a signature of somebody who may not give it'
            USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME, TABLE = TG_TABLE_NAME;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd

CREATE TRIGGER safety_settings_of_keepers BEFORE INSERT ON safety_settings FOR EACH ROW EXECUTE FUNCTION refuse_unless_keeper_proposes();
CREATE TRIGGER templates_of_keepers BEFORE INSERT ON templates FOR EACH ROW WHEN (NEW.version > 1) EXECUTE FUNCTION refuse_unless_keeper_proposes();
CREATE TRIGGER safety_setting_signatures_by_role BEFORE INSERT ON safety_setting_signatures FOR EACH ROW EXECUTE FUNCTION refuse_unless_may_approve();
CREATE TRIGGER template_signatures_by_role BEFORE INSERT ON template_signatures FOR EACH ROW EXECUTE FUNCTION refuse_unless_may_approve();
ALTER TABLE safety_settings ENABLE ALWAYS TRIGGER safety_settings_of_keepers;
ALTER TABLE templates ENABLE ALWAYS TRIGGER templates_of_keepers;
ALTER TABLE safety_setting_signatures ENABLE ALWAYS TRIGGER safety_setting_signatures_by_role;
ALTER TABLE template_signatures ENABLE ALWAYS TRIGGER template_signatures_by_role;

INSERT INTO templates (version, body, why) VALUES (1, $template${
 "version": 1,
 "id": "itp-pressure",
 "title": "Pressure test and first air run",
 "stages": [
  "before",
  "prepare",
  "pressurise",
  "hold",
  "release",
  "air",
  "close"
 ],
 "roles": {
  "builder": "made or changed the pressure parts of this build",
  "second": "a member who did not make or change any pressure part of this build",
  "competent": "named by the group for pressure work, did not build it"
 },
 "items": [
  {
   "id": "B01",
   "stage": "before",
   "point": "hold",
   "title": "Design review closed",
   "do": "Open the review of this exact revision and see that every comment is answered and no safety finding is open.",
   "record": [
    {
     "kind": "confirm",
     "name": "review_closed"
    },
    {
     "kind": "text",
     "name": "revision_hash",
     "equals": "revision_hash"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "Testing proves the build, not the idea behind it."
  },
  {
   "id": "B02",
   "stage": "before",
   "point": "hold",
   "title": "Gas-in-plastic decision",
   "do": "Read the computed decision for each gas-filled part and keep every condition it lists.",
   "record": [
    {
     "kind": "choice",
     "name": "gas_decision",
     "values": [
      "allowed",
      "conditional"
     ],
     "equals": "gas_decision"
    },
    {
     "kind": "confirm",
     "name": "conditions_met"
    }
   ],
   "sign": [
    "second"
   ],
   "also_sign": {
    "when": "gas_decision == \"conditional\"",
    "by": "competent"
   },
   "why": "Brittle plastic full of air breaks into flying pieces; water-filled it mostly just leaks."
  },
  {
   "id": "B03",
   "stage": "before",
   "point": "review",
   "title": "Local law and insurance looked at",
   "do": "Note the legal flags the tool raised, who was asked, and the answer; stop if a licensed person is required.",
   "record": [
    {
     "kind": "text",
     "name": "legal_note",
     "when": "len(legal_flags) > 0"
    },
    {
     "kind": "confirm",
     "name": "law_checked"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "Vessel, water, excavation and electrical rules differ by place and come before this plan."
  },
  {
   "id": "B04",
   "stage": "before",
   "point": "hold",
   "title": "Land, stream and water permission",
   "when": "site.stream or site.public or site.third_party_land",
   "do": "Have the owner's and the water authority's permission on file for taking, holding back or discharging water.",
   "record": [
    {
     "kind": "confirm",
     "name": "permission"
    },
    {
     "kind": "photo",
     "name": "permission_copy"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "Diverting a stream without leave can flood neighbours and kill fish."
  },
  {
   "id": "B05",
   "stage": "before",
   "point": "hold",
   "title": "Buried services located",
   "when": "site.digging",
   "do": "Get the utility plans, scan, and mark cables and pipes before the first spade.",
   "record": [
    {
     "kind": "confirm",
     "name": "services_marked"
    },
    {
     "kind": "photo",
     "name": "markings"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "A struck cable or gas pipe is worse than any pipe burst."
  },
  {
   "id": "B06",
   "stage": "before",
   "point": "hold",
   "title": "Excavation safe to enter",
   "when": "site.depth_m > 0.5",
   "do": "Slope, step or shore the sides as a competent person directs; keep spoil and vehicles back; a ladder within reach; look again after rain and each morning.",
   "record": [
    {
     "kind": "reading",
     "name": "depth",
     "unit": "m",
     "limits": "value <= site.depth_m + 0.1"
    },
    {
     "kind": "confirm",
     "name": "support_in_place",
     "when": "reading.depth >= 1.2 or ground_poor"
    },
    {
     "kind": "photo",
     "name": "trench"
    }
   ],
   "sign": [
    "builder"
   ],
   "also_sign": {
    "when": "site.depth_m >= 1.2",
    "by": "competent"
   },
   "why": "A cubic metre of soil weighs well over a tonne and falls without warning."
  },
  {
   "id": "B07",
   "stage": "before",
   "point": "hold",
   "title": "Shaft or pit entry",
   "when": "site.shaft or site.depth_m >= 1.2",
   "do": "Plan the work so nobody goes in. If someone must, test the air, ventilate, keep a watcher outside and a way to lift a person out without entering.",
   "record": [
    {
     "kind": "choice",
     "name": "entry",
     "values": [
      "none",
      "planned"
     ]
    },
    {
     "kind": "reading",
     "name": "oxygen",
     "unit": "%",
     "limits": "19.5 <= value <= 23.5",
     "when": "choice.entry == 'planned'"
    },
    {
     "kind": "people",
     "name": "watcher",
     "when": "choice.entry == 'planned'"
    }
   ],
   "sign": [
    "second"
   ],
   "also_sign": {
    "when": "choice.entry == 'planned'",
    "by": "competent"
   },
   "why": "Trompe air can be short of oxygen, and would-be rescuers die in pits."
  },
  {
   "id": "B08",
   "stage": "before",
   "point": "hold",
   "title": "Work at height planned",
   "when": "site.roof or site.gutter or site.head_m > 2",
   "do": "Do it from the ground if possible; otherwise scaffold or secured ladder with a second person; no fragile roof walked on; not in wind, ice or rain.",
   "record": [
    {
     "kind": "confirm",
     "name": "height_plan"
    },
    {
     "kind": "people",
     "name": "ladder_foot"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "Falls from low roofs and ladders are among the commonest deaths in small works."
  },
  {
   "id": "B09",
   "stage": "before",
   "point": "hold",
   "title": "Water rescue ready",
   "when": "site.stream or site.pond or site.tank_depth_m > 0.3",
   "do": "Nobody alone near moving or deep water; throw line and float at hand; intake screened and nobody near it while it draws; stop if the level rises.",
   "record": [
    {
     "kind": "confirm",
     "name": "rescue_ready"
    },
    {
     "kind": "people",
     "name": "bank_watch"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "Suction at an intake and cold water both drown quickly."
  },
  {
   "id": "B10",
   "stage": "before",
   "point": "hold",
   "title": "No path back to the mains",
   "when": "water_source == \"mains\"",
   "do": "Fill through an air gap or a backflow preventer of the kind the water supplier asks for; never a plain hose left in the build.",
   "record": [
    {
     "kind": "choice",
     "name": "backflow",
     "values": [
      "air_gap",
      "preventer"
     ]
    },
    {
     "kind": "photo",
     "name": "connection"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "A pressure dip would suck stream water into the drinking supply."
  },
  {
   "id": "B11",
   "stage": "before",
   "point": "hold",
   "title": "Electricity kept away from water",
   "when": "site.electric",
   "do": "Mains tools only through a residual-current device, joints off the ground; fixed wiring only by a licensed electrician; prefer battery tools.",
   "record": [
    {
     "kind": "confirm",
     "name": "rcd_tested"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "Wet hands and a damaged lead kill at ordinary voltage."
  },
  {
   "id": "P01",
   "stage": "prepare",
   "point": "hold",
   "title": "Parts match the revision",
   "do": "Walk the build with the parts list; tick each pressure part by line, size and batch; a part not on the list stops the test.",
   "record": [
    {
     "kind": "confirm",
     "name": "all_lines_ticked",
     "equals_count": "pressure_lines"
    },
    {
     "kind": "photo",
     "name": "overall"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "The record is worth nothing for a build that differs from it."
  },
  {
   "id": "P02",
   "stage": "prepare",
   "point": "hold",
   "title": "Printed marking read on every pipe and fitting",
   "do": "Photograph the print line of each pipe length and fitting; enter standard, size and rating as printed. Unprinted, drain or foam-core pipe counts as no rating.",
   "record": [
    {
     "kind": "photo",
     "name": "marking",
     "per": "pressure_line"
    },
    {
     "kind": "reading",
     "name": "rating",
     "unit": "bar",
     "per": "pressure_line",
     "limits": "value >= line.rating_bar"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "Drain pipe looks the same and is not made for pressure."
  },
  {
   "id": "P03",
   "stage": "prepare",
   "point": "hold",
   "title": "Thread systems not mixed",
   "do": "Read the thread standard of both halves of every threaded joint; ISO 228, ISO 7 and NPT are never joined across; no plastic female thread over a metal taper.",
   "record": [
    {
     "kind": "confirm",
     "name": "threads_match"
    }
   ],
   "sign": [
    "builder"
   ],
   "why": "Half-inch BSP starts into NPT, then leaks or splits the socket."
  },
  {
   "id": "P04",
   "stage": "prepare",
   "point": "hold",
   "title": "Joints cured",
   "do": "Enter when the last cemented joint was made and the coldest temperature since; wait out the hours the tool gives or the cement maker's, whichever is longer.",
   "record": [
    {
     "kind": "reading",
     "name": "cure_hours",
     "unit": "h",
     "limits": "value >= cure_hours_min"
    },
    {
     "kind": "reading",
     "name": "coldest",
     "unit": "degC",
     "limits": "value >= 5"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "A joint that feels dry can still slide out under pressure."
  },
  {
   "id": "P05",
   "stage": "prepare",
   "point": "review",
   "title": "Solvent vapour cleared",
   "when": "joints.solvent",
   "do": "Cement outdoors or in a draught, no flame or smoking, lids on; let vapour drain from pits and out of the pipe before closing it.",
   "record": [
    {
     "kind": "confirm",
     "name": "ventilated"
    }
   ],
   "sign": [
    "builder"
   ],
   "why": "The vapour burns, makes people drowsy and lies in low places."
  },
  {
   "id": "P06",
   "stage": "prepare",
   "point": "hold",
   "title": "Supported, anchored and restrained",
   "do": "Check clips, thrust blocks at bends and ends, and that no joint relies on friction alone; allow for the weight of the water.",
   "record": [
    {
     "kind": "confirm",
     "name": "supported"
    },
    {
     "kind": "confirm",
     "name": "ends_restrained"
    },
    {
     "kind": "photo",
     "name": "supports"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "End caps and push-fit bends are what fly off."
  },
  {
   "id": "P07",
   "stage": "prepare",
   "point": "hold",
   "title": "Relief fitted and proved",
   "do": "Confirm the device or open standpipe, its setting and size against the computed need; no valve between it and the part; outlet pointing away from people and clear of ice and leaves; lift it once by hand.",
   "record": [
    {
     "kind": "choice",
     "name": "relief_kind",
     "values": [
      "relief_valve",
      "open_standpipe",
      "blow_off"
     ]
    },
    {
     "kind": "reading",
     "name": "relief_set",
     "unit": "bar",
     "limits": "0 < value <= relief_set_max_bar"
    },
    {
     "kind": "reading",
     "name": "relief_bore",
     "unit": "mm",
     "limits": "value >= relief_bore_min_mm"
    },
    {
     "kind": "photo",
     "name": "relief"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "Pressure that cannot get out will find the weakest part.",
   "when": "relief_needed"
  },
  {
   "id": "P08",
   "stage": "prepare",
   "point": "hold",
   "title": "Gauge chosen and in date",
   "do": "Enter maker number, scale, class and calibration date; below 0.5 bar an open water manometer tall enough for the test pressure serves as well. Fit it where it can be read from outside the zone; tap and zero it. A second one is better.",
   "record": [
    {
     "kind": "choice",
     "name": "gauge_kind",
     "values": [
      "gauge",
      "manometer"
     ]
    },
    {
     "kind": "instrument",
     "name": "gauge",
     "when": "choice.gauge_kind == \"gauge\"",
     "needs": [
      "serial",
      "full_scale_bar",
      "class_pct",
      "calibrated_on"
     ],
     "limits": "gauge_ok"
    },
    {
     "kind": "reading",
     "name": "manometer_height",
     "when": "choice.gauge_kind == \"manometer\"",
     "unit": "m",
     "limits": "value >= manometer_min_m"
    },
    {
     "kind": "photo",
     "name": "gauge_at_zero"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "A wrong gauge turns every later reading into a guess."
  },
  {
   "id": "P09",
   "stage": "prepare",
   "point": "hold",
   "title": "Test parts rated",
   "do": "Check that hoses, caps, pump fittings and temporary valves are rated at or above the test pressure and whip-restrained.",
   "record": [
    {
     "kind": "reading",
     "name": "weakest_test_part",
     "unit": "bar",
     "limits": "value >= p_test_low_bar"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "People have been killed by the test fitting, not the thing under test."
  },
  {
   "id": "P10",
   "stage": "prepare",
   "point": "hold",
   "title": "Exclusion zone set out",
   "do": "Tape the computed distance all round and above and below; close paths; name the one person who may approach and when.",
   "record": [
    {
     "kind": "reading",
     "name": "zone_radius",
     "unit": "m",
     "limits": "value >= exclusion_m"
    },
    {
     "kind": "people",
     "name": "zone_keeper"
    },
    {
     "kind": "photo",
     "name": "zone"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "Distance is the only protection that cannot be fitted wrongly."
  },
  {
   "id": "P11",
   "stage": "prepare",
   "point": "witness",
   "title": "Briefing and protective equipment",
   "do": "Tell all present the steps, the stop word, the limits and where to stand; eye protection for all in sight of it, gloves and boots for handlers, ear protection near a vent; no children or visitors inside.",
   "record": [
    {
     "kind": "people",
     "name": "present"
    },
    {
     "kind": "confirm",
     "name": "ppe_worn"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "Somebody who does not know will walk up to look."
  },
  {
   "id": "P12",
   "stage": "prepare",
   "point": "hold",
   "title": "Weather, frost and temperature",
   "do": "No test below 5 degC in plastic, nor in frost, sun-heated pipe above the design temperature, storm or spate. Record pipe and water temperature.",
   "record": [
    {
     "kind": "reading",
     "name": "pipe_temp",
     "unit": "degC",
     "limits": "5 <= value <= t_design_c"
    },
    {
     "kind": "confirm",
     "name": "no_frost"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "Cold plastic is brittle, hot plastic is weak, and ice blocks vents."
  },
  {
   "id": "P13",
   "stage": "prepare",
   "point": "hold",
   "title": "Filled with water and vented",
   "do": "Fill slowly from the low point with every high point open until clear water runs without bubbles; wait; vent again; then close the vents.",
   "record": [
    {
     "kind": "confirm",
     "name": "all_vents_ran_clear",
     "equals_count": "high_points"
    },
    {
     "kind": "reading",
     "name": "air_fraction",
     "unit": "%",
     "limits": "value <= air_fraction_max_pct"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "when": "method == \"hydrostatic\"",
   "why": "A litre of trapped air stores more than all the water round it."
  },
  {
   "id": "R01",
   "stage": "pressurise",
   "point": "witness",
   "title": "First stage",
   "do": "Everyone out; raise slowly to the first stage; stop the pump; wait five minutes; look from outside the zone.",
   "record": [
    {
     "kind": "reading",
     "name": "p_stage1",
     "unit": "bar",
     "limits": "abs(value - stage_bar[0]) <= max(0.1*stage_bar[0], gauge_mpe_bar)"
    },
    {
     "kind": "confirm",
     "name": "no_leak_seen"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "Gross faults show when there is still little energy to hurt anyone."
  },
  {
   "id": "R02",
   "stage": "pressurise",
   "point": "witness",
   "title": "Further stages",
   "do": "Raise stage by stage, five minutes at each, nobody inside the zone while the pressure rises; any sound, movement or drop means lower to zero.",
   "record": [
    {
     "kind": "reading",
     "name": "p_stages",
     "unit": "bar",
     "per": "stage",
     "limits": "abs(value - stage_bar[i]) <= max(0.05*stage_bar[i], gauge_mpe_bar)"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "Plastic creeps into failure; steps give it time to show."
  },
  {
   "id": "R03",
   "stage": "pressurise",
   "point": "hold",
   "title": "Test pressure reached",
   "do": "Bring the gauge to the target, never past the ceiling; shut off and disconnect the pump; note time, reading and temperature.",
   "record": [
    {
     "kind": "reading",
     "name": "p_test",
     "unit": "bar",
     "limits": "gauge_target_bar <= value <= gauge_max_bar"
    },
    {
     "kind": "reading",
     "name": "t_start",
     "unit": "degC"
    },
    {
     "kind": "photo",
     "name": "gauge_at_test"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "Too low proves nothing; too high does damage that shows later."
  },
  {
   "id": "H01",
   "stage": "hold",
   "point": "hold",
   "title": "Hold",
   "do": "Leave it isolated for the full time; read from outside; do not pump up unless the plan says so, and write it down if you do.",
   "record": [
    {
     "kind": "reading",
     "name": "hold_minutes",
     "unit": "min",
     "limits": "value >= hold_min_minutes"
    },
    {
     "kind": "reading",
     "name": "p_end",
     "unit": "bar",
     "limits": "value >= 0"
    },
    {
     "kind": "reading",
     "name": "t_end",
     "unit": "degC"
    },
    {
     "kind": "photo",
     "name": "gauge_at_end"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "Time is what separates a leak from settling."
  },
  {
   "id": "H02",
   "stage": "hold",
   "point": "hold",
   "title": "Verdict on the drop",
   "do": "Accept the tool's verdict; inconclusive is not a pass - improve the gauge, the temperature or the time and repeat.",
   "record": [
    {
     "kind": "choice",
     "name": "drop_verdict",
     "values": [
      "pass"
     ],
     "equals": "drop_verdict"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "A number decided beforehand cannot be argued with afterwards."
  },
  {
   "id": "H03",
   "stage": "hold",
   "point": "hold",
   "title": "Leak check at working pressure",
   "do": "Lower to the working pressure first; only then may the named person go in, with eye protection, and look at and dry-wipe every joint; never tighten or strike anything under pressure.",
   "record": [
    {
     "kind": "reading",
     "name": "p_inspect",
     "unit": "bar",
     "limits": "value <= p_work_bar"
    },
    {
     "kind": "confirm",
     "name": "joints_dry",
     "equals_count": "joints"
    },
    {
     "kind": "photo",
     "name": "joints"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "Inspecting at test pressure puts a face where the test might fail."
  },
  {
   "id": "D01",
   "stage": "release",
   "point": "hold",
   "title": "Depressurise",
   "do": "Open slowly to a safe place; see zero on the gauge and flow stop at an open high vent before anyone touches a joint.",
   "record": [
    {
     "kind": "reading",
     "name": "p_zero",
     "unit": "bar",
     "limits": "value <= gauge_mpe_bar"
    },
    {
     "kind": "confirm",
     "name": "vent_open"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "A blocked gauge reads zero too."
  },
  {
   "id": "D02",
   "stage": "release",
   "point": "review",
   "title": "Drain with vents open",
   "do": "Open the top before the bottom; discharge where it harms nothing; leave no low point to freeze.",
   "record": [
    {
     "kind": "confirm",
     "name": "drained"
    }
   ],
   "sign": [
    "builder"
   ],
   "why": "Draining a closed pipe makes a vacuum and can fold it flat."
  },
  {
   "id": "A01",
   "stage": "air",
   "point": "hold",
   "title": "Permission for air",
   "when": "has_gas_parts",
   "do": "Only after the water test passed for this revision, the gas decision still stands and the zone for air is set out anew.",
   "record": [
    {
     "kind": "confirm",
     "name": "water_test_passed",
     "equals": "water_test_passed"
    },
    {
     "kind": "reading",
     "name": "air_zone",
     "unit": "m",
     "limits": "value >= exclusion_air_m"
    }
   ],
   "sign": [
    "second"
   ],
   "also_sign": {
    "when": "gas_decision == \"conditional\"",
    "by": "competent"
   },
   "why": "Air at the same pressure carries hundreds of times the energy."
  },
  {
   "id": "A02",
   "stage": "air",
   "point": "witness",
   "title": "First air run at low pressure",
   "when": "has_gas_parts",
   "do": "Bring air up to the lower of a quarter of working pressure or 0.1 bar from outside the zone; wait ten minutes; listen and watch.",
   "record": [
    {
     "kind": "reading",
     "name": "p_air_low",
     "unit": "bar",
     "limits": "value <= min(0.25*p_work_bar, 0.1)"
    },
    {
     "kind": "confirm",
     "name": "quiet"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "The first breath of air should be too weak to hurt."
  },
  {
   "id": "A03",
   "stage": "air",
   "point": "witness",
   "title": "Air to working pressure",
   "when": "has_gas_parts",
   "do": "Raise in steps to working pressure, never to a test pressure in brittle plastic; confirm the relief or blow-off opens by itself at or below its setting.",
   "record": [
    {
     "kind": "reading",
     "name": "p_air",
     "unit": "bar",
     "limits": "value <= p_work_bar"
    },
    {
     "kind": "reading",
     "name": "relief_opened_at",
     "unit": "bar",
     "limits": "value <= relief_set_max_bar*1.1"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "A relief nobody has seen open is only a decoration."
  },
  {
   "id": "A04",
   "stage": "air",
   "point": "review",
   "title": "Noise and breathing warnings",
   "when": "has_gas_parts",
   "do": "Measure noise where people stand; hang signs - not for breathing, and ear protection if loud.",
   "record": [
    {
     "kind": "reading",
     "name": "noise",
     "unit": "dBA",
     "limits": "value < 85 or ear_protection_sign"
    },
    {
     "kind": "photo",
     "name": "signs"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "Water takes up oxygen faster than nitrogen, so the delivered air is thin in it, wet and unfiltered."
  },
  {
   "id": "A05",
   "stage": "air",
   "point": "review",
   "title": "Warm still water and spray",
   "when": "water_temp_max_c >= 20",
   "do": "Drain or flush after each use, keep sun off tanks, keep people out of the mist; take advice if water stands between 20 and 45 degC.",
   "record": [
    {
     "kind": "reading",
     "name": "water_temp",
     "unit": "degC"
    },
    {
     "kind": "confirm",
     "name": "flush_plan"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "Legionella grows in warm still water and is breathed in as spray."
  },
  {
   "id": "C01",
   "stage": "close",
   "point": "hold",
   "title": "Tag the build",
   "do": "Fix a tag with build and revision, working pressure, test date and pressure, expiry, both names, and the words for the worst hazard; photograph it in place.",
   "record": [
    {
     "kind": "photo",
     "name": "tag"
    },
    {
     "kind": "text",
     "name": "tag_revision",
     "equals": "revision_hash"
    }
   ],
   "sign": [
    "second"
   ],
   "why": "The next person meets the machine, not the notebook."
  },
  {
   "id": "C02",
   "stage": "close",
   "point": "review",
   "title": "Retest date set",
   "do": "Accept or shorten the date the tool gives; note what would end the certificate sooner.",
   "record": [
    {
     "kind": "text",
     "name": "expires_on",
     "limits": "value <= expiry_max"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "Plastic ages, joints move and memories fade."
  },
  {
   "id": "C03",
   "stage": "close",
   "point": "review",
   "title": "Frost and shutdown instructions",
   "when": "site.frost",
   "do": "Write how to drain it, vents open, before frost, and who does it.",
   "record": [
    {
     "kind": "text",
     "name": "winter_note"
    },
    {
     "kind": "people",
     "name": "winter_person"
    }
   ],
   "sign": [
    "builder"
   ],
   "why": "Ice splits pipe and plugs the riser that limits the pressure."
  },
  {
   "id": "C04",
   "stage": "close",
   "point": "hold",
   "title": "Failure recorded",
   "when": "any_item_failed",
   "do": "Make safe at zero pressure; open a nonconformance with what failed, photos, cause if known, and what happens to the part (scrap, cut out and replace, redesign); no repair of a cemented joint by more cement; tag the build do not pressurise.",
   "record": [
    {
     "kind": "text",
     "name": "nonconformance_id"
    },
    {
     "kind": "choice",
     "name": "disposition",
     "values": [
      "scrap",
      "replace",
      "redesign",
      "use_as_is_unpressurised"
     ]
    },
    {
     "kind": "photo",
     "name": "failure"
    }
   ],
   "sign": [
    "builder",
    "second"
   ],
   "why": "A failed test hidden is the next one's accident."
  }
 ],
 "short": {
  "id": "itp-plain",
  "title": "Pressure test and first air run, plain machines",
  "for": "hazard class plain",
  "items": [
   "B01",
   "B02",
   "B10",
   "P01",
   "P02",
   "P04",
   "P07",
   "P08",
   "P10",
   "P13",
   "R03",
   "H01",
   "H02",
   "D01",
   "A02",
   "C01",
   "C02",
   "C04"
  ],
  "sign": {
   "B01": [
    "second"
   ],
   "P01": [
    "second"
   ],
   "P04": [
    "builder"
   ],
   "P13": [
    "second"
   ],
   "R03": [
    "second"
   ],
   "H01": [
    "second"
   ],
   "D01": [
    "builder"
   ],
   "C02": [
    "builder"
   ],
   "A02": [
    "builder",
    "second"
   ],
   "C04": [
    "builder",
    "second"
   ]
  }
 }
}$template$, 'The procedure that leat comes with.');
