package store

import (
	"errors"

	"github.com/jackc/pgx/v5/pgconn"

	"leat/domain"
)

// defect stands for a constraint that the rules in domain keep anyway: if it
// speaks up, leat has a fault, and people are told no more than that.
var defect = domain.Error{}

// constraints says what it means when a constraint, a unique index or a
// refusing trigger speaks up. A test compares it with the database.
var constraints = map[string]domain.Error{
	"accounts_address_key": {Kind: domain.Conflict, Code: "address-taken", Message: "Somebody already has an account with this address. Use another one, or sign in.",
		Fields: []domain.Field{{Pointer: "/address", Code: "taken", Message: "Somebody already has an account with this address."}}},
	"accounts_address_check":                defect,
	"accounts_closed_at_check":              defect,
	"accounts_closed_at_own_units_check":    defect,
	"accounts_own_units_check":              defect,
	"accounts_id_key":                       defect,
	"accounts_last_keeper":                  *domain.LastKeeper(),
	"accounts_name_check":                   defect,
	"accounts_password_hash_check":          defect,
	"accounts_signing_hash_check":           defect,
	"accounts_closed_at_signing_hash_check": defect,

	"sessions_account_id_fk":            defect,
	"sessions_browser_check":            defect,
	"sessions_created_at_ends_at_check": defect,
	"sessions_family_hash_check":        defect,
	"sessions_family_hash_key":          defect,
	"sessions_id_key":                   defect,
	"sessions_refresh_hash_check":       defect,

	"setup_codes_code_hash_check": defect,
	"setup_codes_purpose_check":   defect,
	"setup_codes_purpose_key":     defect,

	"group_settings_name_check":      defect,
	"group_settings_sole_check":      defect,
	"group_settings_sole_key":        defect,
	"group_settings_time_zone_check": defect,
	"group_settings_units_check":     defect,
	"group_settings_version_check":   defect,

	"invitations_code_hash_check":            defect,
	"invitations_code_hash_key":              defect,
	"invitations_id_key":                     defect,
	"invitations_invited_at_ends_at_check":   defect,
	"invitations_invited_by_fk":              defect,
	"invitations_name_check":                 defect,
	"invitations_used_at_ends_at_check":      defect,
	"invitations_used_at_withdrawn_at_check": defect,
	"invitations_used_by_fk":                 defect,
	"invitations_used_by_key":                defect,
	"invitations_used_by_used_at_check":      defect,

	"reset_codes_account_id_fk":          defect,
	"reset_codes_account_id_key":         defect,
	"reset_codes_code_hash_check":        defect,
	"reset_codes_code_hash_key":          defect,
	"reset_codes_given_at_ends_at_check": defect,
	"reset_codes_given_by_fk":            defect,

	"acts_about_fk":             defect,
	"acts_after_check":          defect,
	"acts_append_only":          defect,
	"acts_append_only_truncate": defect,
	"acts_before_check":         defect,
	"acts_id_key":               defect,
	"acts_kind_about_check":     defect,
	"acts_kind_check":           defect,
	"acts_link_fk":              defect,
	"acts_link_key":             defect,
	"acts_of_keepers":           defect,
	"acts_own_roles_check":      defect,
	"acts_who_fk":               defect,

	"record_links_append_only":          {Kind: domain.Conflict, Code: "record-kept", Message: "What was signed never changes."},
	"record_links_append_only_truncate": {Kind: domain.Conflict, Code: "record-kept", Message: "What was signed is never removed."},
	"record_links_before_check":         defect,
	"record_links_digest_check":         defect,
	"record_links_kind_check":           defect,
	"record_links_link_check":           defect,
	"record_links_link_key":             defect,
	"record_links_next":                 defect,
	"record_links_number_check":         defect,
	"record_links_number_key":           defect,
	"record_links_project_id_fk":        defect,
	"record_links_who_fk":               defect,

	"record_head_link_check":   defect,
	"record_head_number_check": defect,
	"record_head_sole_check":   defect,
	"record_head_sole_key":     defect,

	"projects_client_key_check":          defect,
	"projects_id_key":                    defect,
	"projects_purpose_check":             defect,
	"projects_started_by_client_key_key": defect,
	"projects_started_by_fk":             defect,
	"projects_title_check":               defect,
	"projects_version_check":             defect,

	"crew_account_id_fk":             defect,
	"crew_project_id_account_id_key": defect,
	"crew_project_id_fk":             defect,
	"crew_kept":                      defect,
	"crew_kept_truncate":             defect,

	"crew_asks_account_id_asked_by_check": defect,
	"crew_asks_account_id_fk":             defect,
	"crew_asks_answer_answered_at_check":  defect,
	"crew_asks_answer_check":              defect,
	"crew_asks_answered":                  {Kind: domain.Conflict, Code: "ask-answered", Message: "This ask waits no longer. Nothing was changed; the crew can ask again."},
	"crew_asks_asked_by_fk":               defect,
	"crew_asks_id_key":                    defect,
	"crew_asks_project_id_account_id_key": defect,
	"crew_asks_project_id_fk":             defect,

	"sites_altitude_m_check":            defect,
	"sites_changed_by_changed_at_check": defect,
	"sites_changed_by_fk":               defect,
	"sites_fall_m_check":                defect,
	"sites_name_check":                  defect,
	"sites_note_check":                  defect,
	"sites_project_id_fk":               defect,
	"sites_project_id_key":              defect,
	"sites_source_check":                defect,
	"sites_static_pa_check":             defect,
	"sites_t_air_c_check":               defect,
	"sites_t_water_c_check":             defect,
	"sites_version_check":               defect,

	"gaugings_append_only":                {Kind: domain.Conflict, Code: "gauging-kept", Message: "A gauging that was kept never changes. Record the right figure as a new one: the last one counts."},
	"gaugings_append_only_truncate":       {Kind: domain.Conflict, Code: "gauging-kept", Message: "Gaugings that were kept are never removed."},
	"gaugings_client_key_check":           defect,
	"gaugings_flow_m3s_check":             defect,
	"gaugings_gauged_on_check":            defect,
	"gaugings_half_width_m3s_check":       defect,
	"gaugings_how_check":                  defect,
	"gaugings_id_key":                     defect,
	"gaugings_note_check":                 defect,
	"gaugings_project_id_fk":              defect,
	"gaugings_recorded_by_client_key_key": defect,
	"gaugings_recorded_by_fk":             defect,

	"designs_client_key_check":          defect,
	"designs_id_key":                    defect,
	"designs_project_id_fk":             defect,
	"designs_started_by_client_key_key": defect,
	"designs_started_by_fk":             defect,
	"designs_title_check":               defect,
	"designs_version_check":             defect,

	"revisions_design_id_fk":           defect,
	"revisions_design_id_key":          {Kind: domain.Conflict, Code: "revision-open", Message: "This design already has a revision in draft or in check. Work on that one, or wait for its check."},
	"revisions_design_id_letter_key":   defect,
	"revisions_design_id_position_key": defect,
	"revisions_id_key":                 defect,
	"revisions_letter_check":           defect,
	"revisions_position_check":         defect,
	"revisions_sheet_count_check":      defect,
	"revisions_started_by_fk":          defect,
	"revisions_state_check":            defect,
	"revisions_state_forward":          defect,

	"coefficient_sets_append_only":          {Kind: domain.Conflict, Code: "set-kept", Message: "A set of coefficients never changes. Adopt a new one instead."},
	"coefficient_sets_append_only_truncate": {Kind: domain.Conflict, Code: "set-kept", Message: "Sets of coefficients are never removed."},
	"coefficient_sets_body_check":           defect,
	"coefficient_sets_calc_check":           defect,
	"coefficient_sets_name_check":           defect,
	"coefficient_sets_name_key":             defect,

	"sheets_append_only":          {Kind: domain.Conflict, Code: "sheet-kept", Message: "A saved sheet never changes. Save a new one instead."},
	"sheets_append_only_truncate": {Kind: domain.Conflict, Code: "sheet-kept", Message: "Saved sheets are never removed."},
	"sheets_calc_version_check":   defect,
	"sheets_gauging_id_fk":        defect,
	"sheets_gauging_of_site": {Kind: domain.Invalid, Code: "invalid", Message: "The sheet names a gauging that isn't of this site. Nothing was saved: reload the page, what you typed stays.",
		Fields: []domain.Field{{Pointer: "/gauging", Code: "unknown_value", Message: "There is no such gauging of this site. Reload the page and choose again."}}},
	"sheets_coefficient_set_fk":     defect,
	"sheets_input_check":            defect,
	"sheets_into_draft":             {Kind: domain.Conflict, Code: "revision-frozen", Message: frozen},
	"sheets_note_check":             defect,
	"sheets_number_check":           defect,
	"sheets_report_check":           defect,
	"sheets_revision_id_fk":         defect,
	"sheets_revision_id_number_key": defect,
	"sheets_saved_by_fk":            defect,

	"stock_items_changed_by_fk":                defect,
	"stock_items_client_key_check":             defect,
	"stock_items_for_sale_kerf_m_trim_m_check": defect,
	"stock_items_for_sale_quantity_check":      defect,
	"stock_items_id_key":                       defect,
	"stock_items_kerf_m_check":                 defect,
	"stock_items_key_check":                    defect,
	"stock_items_key_key": {Kind: domain.Conflict, Code: "offer-there", Message: "The stock list says already how this is sold. Nothing was saved: correct that line instead.",
		Fields: []domain.Field{{Pointer: "/key", Code: "taken", Message: "The list says already how this is sold. Correct that line instead."}}},
	"stock_items_length_m_check":             defect,
	"stock_items_note_check":                 defect,
	"stock_items_price_check":                defect,
	"stock_items_quantity_check":             defect,
	"stock_items_recorded_by_client_key_key": defect,
	"stock_items_recorded_by_fk":             defect,
	"stock_items_trim_m_check":               defect,
	"stock_items_version_check":              defect,

	"builds_client_key_check":          defect,
	"builds_forward":                   {Kind: domain.Conflict, Code: "build-state", Message: "From its present state a build does not come to this one. Load it again and look."},
	"builds_id_key":                    defect,
	"builds_id_newest_revision_id_fk":  defect,
	"builds_kept":                      defect,
	"builds_kept_truncate":             defect,
	"builds_newest_check":              defect,
	"builds_project_id_fk":             defect,
	"builds_revision_id_fk":            defect,
	"builds_started_by_client_key_key": defect,
	"builds_started_by_fk":             defect,
	"builds_state_check":               defect,
	"builds_tag_check":                 defect,
	"builds_tag_key":                   defect,
	"builds_title_check":               defect,
	"builds_version_check":             defect,

	"build_people_account_id_fk":           defect,
	"build_people_account_id_name_check":   defect,
	"build_people_added_by_fk":             defect,
	"build_people_append_only":             defect,
	"build_people_append_only_truncate":    defect,
	"build_people_build_id_account_id_key": defect,
	"build_people_build_id_fk":             defect,
	"build_people_build_id_name_key":       defect,
	"build_people_build_id_position_key":   defect,
	"build_people_name_check":              defect,
	"build_people_position_check":          defect,

	"build_versions_append_only":                     defect,
	"build_versions_append_only_truncate":            defect,
	"build_versions_build_id_fk":                     defect,
	"build_versions_build_id_made_by_fk":             defect,
	"build_versions_build_id_number_key":             defect,
	"build_versions_build_id_number_revision_id_key": defect,
	"build_versions_calc_version_check":              defect,
	"build_versions_differences_check":               defect,
	"build_versions_from_cleared":                    {Kind: domain.Conflict, Code: "revision-not-cleared", Message: "Only a cleared revision is built. Nothing was saved: load the page again and look how it stands."},
	"build_versions_in_turn":                         defect,
	"build_versions_moves_check":                     defect,
	"build_versions_note_check":                      defect,
	"build_versions_number_check":                    defect,
	"build_versions_place_check":                     defect,
	"build_versions_pressure_hash_check":             defect,
	"build_versions_renewed_check":                   defect,
	"build_versions_report_check":                    defect,
	"build_versions_revision_id_fk":                  defect,

	"build_states_append_only":          defect,
	"build_states_append_only_truncate": defect,
	"build_states_build_id_fk":          defect,
	"build_states_id_key":               defect,
	"build_states_reason_check":         defect,
	"build_states_state_check":          defect,
	"build_states_who_fk":               defect,
}

const frozen = "This revision is frozen: sheets are saved under a draft only. Start the next revision to go on."

// translate turns what Postgres says into what people can be told. Errors of
// the domain pass as they are, and so does what isn't known: it is internal.
func translate(err error) error {
	if _, ok := errors.AsType[*domain.Error](err); ok || err == nil {
		return err
	}
	pg, ok := errors.AsType[*pgconn.PgError](err)
	if !ok {
		return err
	}
	if pg.Code == "55P03" { // lock_timeout
		return &domain.Error{Kind: domain.TooMany, Code: "busy", Message: "Somebody else is saving here. Nothing of yours was saved: try again in a moment.", After: waitWhenBusy, Err: err}
	}
	if known := constraints[pg.ConstraintName]; known.Kind != domain.Internal {
		known.Err = err
		return &known
	}
	return err
}
