package domain

import "time"

// ActKind says what somebody did about people or the group.
type ActKind string

// The kinds of act.
const (
	ActInvited             ActKind = "invited"
	ActInvitationWithdrawn ActKind = "invitation_withdrawn"
	ActJoined              ActKind = "joined"
	ActRolesSet            ActKind = "roles_set"
	ActResetCodeGiven      ActKind = "reset_code_given"
	ActPasswordReset       ActKind = "password_reset"
	ActAccountClosed       ActKind = "account_closed"
	ActSettingsSet         ActKind = "settings_set"
)

// Act is one entry of the list that all members can read: it is only ever added to.
type Act struct {
	ID     int64
	Kind   ActKind
	At     time.Time
	By     Person
	About  *Person
	Before ActFacts
	After  ActFacts
}

// ActFacts is what an act changed or made; what is empty was not touched. It is
// kept and shown as this JSON.
type ActFacts struct {
	Invitation InvitationID `json:"invitation,omitempty"`
	Name       string       `json:"name,omitempty"`
	Roles      []Role       `json:"roles,omitempty"`
	Units      Units        `json:"units,omitempty"`
	TimeZone   string       `json:"time_zone,omitempty"`
}
