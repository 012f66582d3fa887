package domain

import (
	"fmt"
	"slices"
	"strings"
)

// Role is what a person may do beyond their own projects. Roles add up.
type Role string

// The roles.
const (
	Member  Role = "member"  // every account
	Checker Role = "checker" // checks other members' designs
	Steward Role = "steward" // competent for pressure
	Keeper  Role = "keeper"  // invites, sets roles, keeps the group's settings
)

// Action is something that not everybody may do.
type Action string

// The actions.
const (
	BeginProject Action = "start_project"
	BringIn      Action = "import_project"
	AlterProject Action = "change_project" // title, purpose, closing and reopening
	RecordSite   Action = "describe_site"
	BeginDesign  Action = "start_design"
	EditDesign   Action = "edit_design" // save sheets under the draft revision

	BeginBuild Action = "start_build"
	AlterBuild Action = "change_build" // differences, renewals, moves, state, builders

	BeginTest      Action = "start_test"
	SignTest       Action = "sign_test" // item by item, as the procedure lets each person
	CertifyBuild   Action = "issue_certificate"
	EndCertificate Action = "revoke_certificate"
	CloseFailed    Action = "close_nonconformance"

	Invite        Action = "invite"
	SetRoles      Action = "set_roles"
	GiveResetCode Action = "give_reset_code"
	CloseAccount  Action = "close_account"
	SetGroup      Action = "set_group" // name, units and time zone of the group

	AskCrew   Action = "ask_crew" // ask members to join, withdraw an ask
	ReplyCrew Action = "answer_ask"
	LeaveCrew Action = "leave_crew"
	AddToCrew Action = "add_to_crew" // one that has died out

	WriteLog     Action = "write_log"
	CorrectLog   Action = "correct_log" // strike an entry through by a new one
	CallIncident Action = "mark_incident"
	LayIncident  Action = "rest_incident" // as harmless
	AddFile      Action = "add_file"
	HideFiles    Action = "hide_file" // together with somebody else

	PutToCheck  Action = "issue_revision" // and freeze it
	FetchBack   Action = "take_back_revision"
	SayOutcome  Action = "check_design"
	Withdraw    Action = "withdraw_revision"
	LeaveRemark Action = "remark"
	ReplyRemark Action = "answer_remark"
	RestRemark  Action = "lay_remark_to_rest"

	KeepStock Action = "keep_stock" // the group's stock list

	BeginRun       Action = "open_run"
	RecordReadings Action = "record_reading" // and add points
	StrikeReadings Action = "strike_reading"
	PutForward     Action = "submit_run" // and freeze it
	SignRun        Action = "confirm_run"
	PutAside       Action = "set_aside_run"

	LetSend   Action = "make_logger"
	StopSends Action = "revoke_logger"

	KeepInstruments Action = "keep_instruments"
	SetSafety       Action = "propose_safety"
	ApproveSafety   Action = "sign_safety" // as a steward, or as a second
	SetTemplate     Action = "propose_template"
	ApproveTemplate Action = "sign_template" // as a steward, or as a second

	ProposeSet Action = "propose_set" // of coefficients
	AdoptSet   Action = "adopt_set"

	ChangeSelf Action = "change_own_account" // name, units, password, sessions
)

// rule is what an action asks for.
type rule struct {
	crew     bool // to be on the crew of the project
	open     bool // the project not to be closed
	keeper   bool // to be a keeper
	self     bool // or else to do it to oneself
	asked    bool // to be who was asked
	deserted bool // the project to have no crew left
	steward  bool // to be a steward
	built    bool // to be on the crew, or one of those who built the machine
	apart    bool // to be a steward, and none of those who built the machine
	either   bool // to be a keeper or a steward

	uninvolved bool // to be a steward who neither built the machine nor took part in the run
	orOpener   bool // or else to have opened the run, until it is confirmed

	checker   bool // to be a checker
	stranger  bool // never to have been on the crew, nor to have saved one of the design's sheets
	orSteward bool // or else to be a steward
	orRaiser  bool // or else to have raised the remark
	orMaker   bool // or else to have made it
	orKeeper  bool // or else to be a keeper
	raiser    bool // to have raised the remark; a steward instead, once that account is closed
}

// rules is the one permission table.
var rules = map[Action]rule{
	BeginProject: {},
	BringIn:      {keeper: true},
	AlterProject: {crew: true},
	RecordSite:   {crew: true, open: true},
	BeginDesign:  {crew: true, open: true},
	EditDesign:   {crew: true, open: true},

	BeginBuild: {crew: true, open: true},
	AlterBuild: {crew: true, open: true},

	BeginTest:      {built: true, open: true},
	SignTest:       {}, // also of a closed project: pressure must be let go
	CertifyBuild:   {apart: true, open: true},
	EndCertificate: {steward: true},
	CloseFailed:    {apart: true},

	Invite:        {keeper: true},
	SetRoles:      {keeper: true},
	GiveResetCode: {keeper: true},
	CloseAccount:  {keeper: true, self: true},
	SetGroup:      {keeper: true},

	AskCrew:   {crew: true}, // also of a closed project: its crew is who can reopen it
	ReplyCrew: {asked: true},
	LeaveCrew: {crew: true},
	AddToCrew: {keeper: true, deserted: true},

	WriteLog:     {}, // also of a closed project: what happens there still happens
	CorrectLog:   {},
	CallIncident: {},
	LayIncident:  {apart: true},
	AddFile:      {},
	HideFiles:    {either: true},

	PutToCheck:  {crew: true, open: true},
	FetchBack:   {crew: true, open: true},
	SayOutcome:  {checker: true, stranger: true, open: true},
	Withdraw:    {crew: true, orSteward: true}, // also of a closed project: what is dangerous stays so
	LeaveRemark: {open: true},
	ReplyRemark: {crew: true, orRaiser: true, open: true},
	RestRemark:  {raiser: true, open: true},

	KeepStock: {},

	BeginRun:       {open: true},
	RecordReadings: {open: true},
	StrikeReadings: {open: true},
	PutForward:     {open: true},
	SignRun:        {uninvolved: true}, // also of a closed project: what was measured there was measured
	PutAside:       {uninvolved: true, orOpener: true},

	LetSend:   {open: true},
	StopSends: {crew: true, orMaker: true, orKeeper: true}, // also of a closed project: a token that went astray is one

	KeepInstruments: {keeper: true},
	SetSafety:       {keeper: true},
	ApproveSafety:   {},
	SetTemplate:     {keeper: true},
	ApproveTemplate: {},

	ProposeSet: {},
	AdoptSet:   {steward: true}, // who did not propose it

	ChangeSelf: {},
}

// Access is what the database says, in this transaction, about one person and
// one project. Project is 0 for what belongs to no project.
type Access struct {
	Account AccountID
	Roles   []Role
	Project ProjectID
	Crew    []Person
	Former  []Person // who was on the crew once
	Closed  bool     // the project is

	Author     bool     // the person has saved a sheet of the design that it is about
	Checkers   []Person // who may check that design
	Raiser     Person   // who raised the remark that it is about
	RaiserLeft bool     // and has closed the account

	About   AccountID // whose account it is about; 0 for nobody's
	Asked   Person    // who was asked, when it is about an ask
	Keepers []Person  // of the group, for what only they may do

	Stewards []Person // of the group, likewise
	Builders []Person // with an account, of the machine that it is about

	Maker Person // of the logger that it is about

	TookPart []Person  // in the run that it is about
	Opener   AccountID // of that run, until it is confirmed; 0 afterwards
}

// onCrew tells whether the person is on the crew.
func (a Access) onCrew() bool { return a.among(a.Crew) }

// among tells whether the person is one of some.
func (a Access) among(people []Person) bool {
	return includes(people, a.Account)
}

func includes(people []Person, who AccountID) bool {
	return slices.ContainsFunc(people, func(p Person) bool { return p.ID == who })
}

// insteadOfCrew tells whether the person may do what else the crew does.
func (a Access) insteadOfCrew(asks rule) bool {
	return asks.orSteward && slices.Contains(a.Roles, Steward) || asks.orRaiser && a.Raiser.ID == a.Account ||
		asks.orMaker && a.Maker.ID == a.Account || asks.orKeeper && slices.Contains(a.Roles, Keeper)
}

// crewAndStewards names each of them once.
func (a Access) crewAndStewards() []Person {
	others := slices.DeleteFunc(slices.Clone(a.Stewards), func(p Person) bool { return slices.Contains(a.Crew, p) })
	return slices.Concat(a.Crew, others)
}

// Permit is the proof that somebody may do one thing to one project. Only
// [Authorize] makes one that is good for anything. It stays inside the
// transaction in which it was made.
type Permit struct {
	action  Action
	account AccountID
	project ProjectID
	about   AccountID
}

// Authorize decides. It returns a Forbidden error that names who has the
// right, or a Conflict when the project is closed.
func Authorize(who Actor, access Access, action Action) (Permit, error) {
	asks, known := rules[action]
	if !known || who.Account == 0 || who.Account != access.Account {
		return Permit{}, fmt.Errorf("domain: authorize %q for account %d with the access of %d", action, who.Account, access.Account)
	}
	if !slices.Contains(access.Roles, Member) {
		return Permit{}, SignedOut()
	}
	if (asks.crew || asks.asked || asks.deserted || asks.stranger || asks.raiser || action == LeaveRemark) && access.Project == 0 {
		return Permit{}, fmt.Errorf("domain: authorize %q without a project", action)
	}
	if err := asks.checking(access); err != nil {
		return Permit{}, err
	}
	if asks.crew && !access.onCrew() && !access.insteadOfCrew(asks) {
		return Permit{}, asks.notOnCrew(access)
	}
	if err := asks.judging(access); err != nil {
		return Permit{}, err
	}
	if err := asks.pressing(access); err != nil {
		return Permit{}, err
	}
	if err := asks.involving(access); err != nil {
		return Permit{}, err
	}
	if asks.asked && access.Asked.ID != access.Account {
		return Permit{}, &Error{Kind: Forbidden, Code: "not-asked", Message: "Only who was asked may answer this: " + access.Asked.Name + "."}
	}
	if asks.open && access.Closed {
		return Permit{}, ProjectClosed()
	}
	if asks.keeper && !slices.Contains(access.Roles, Keeper) && !(asks.self && access.About == access.Account) {
		return Permit{}, &Error{Kind: Forbidden, Code: "not-keeper", Message: "Only a keeper of the group may do this: " + names(access.Keepers) + ". Ask one of them."}
	}
	if asks.deserted && len(access.Crew) > 0 {
		return Permit{}, &Error{Kind: Conflict, Code: "crew-there", Message: "This project has a crew, and it asks whom it wants: " + names(access.Crew) + ". A keeper adds somebody only when nobody is left."}
	}
	return Permit{action: action, account: who.Account, project: access.Project, about: access.About}, nil
}

func (r rule) notOnCrew(access Access) error {
	message := "Only the crew of this project may do this: " + names(access.Crew) + ". Ask one of them."
	switch {
	case r.orSteward && len(access.Crew)+len(access.Stewards) > 0:
		message = "Only the crew of this project or a steward may do this: " + names(access.crewAndStewards()) + ". Ask one of them."
	case r.orRaiser:
		message = "Only the crew of this project and who raised the remark may do this: " + names(append(slices.Clone(access.Crew), access.Raiser)) + "."
	case r.orMaker:
		message = "Only the crew of this project, who made the logger, and keepers may do this: " + names(slices.Concat(access.Crew, []Person{access.Maker}, access.Keepers)) + ". Ask one of them."
	case len(access.Crew) == 0:
		message = "Only the crew of this project may do this, and nobody is on it now. A keeper of the group can add somebody: " + names(access.Keepers) + "."
	}
	return &Error{Kind: Forbidden, Code: "not-on-crew", Message: message}
}

// Allowed lists what the person may do to the project, in the order of the
// table above. It is for showing buttons; [Authorize] decides.
func Allowed(who Actor, access Access) []Action {
	return allowed(who, access, AlterProject, RecordSite, BeginDesign, EditDesign, PutToCheck, FetchBack, SayOutcome, Withdraw, LeaveRemark,
		AskCrew, LeaveCrew, AddToCrew)
}

// AllowedOfBuilds lists what the person may do about the builds of the project.
func AllowedOfBuilds(who Actor, access Access) []Action {
	return allowed(who, access, BeginBuild, AlterBuild)
}

// AllowedToBegin lists whether the person may begin a test of the machine that the
// access is about.
func AllowedToBegin(who Actor, access Access) []Action {
	return allowed(who, access, BeginTest)
}

// AllowedToMeasure lists whether the person may open a run.
func AllowedToMeasure(who Actor, access Access) []Action {
	return allowed(who, access, BeginRun)
}

// AllowedInGroup lists what the person may do in the group, and AllowedAbout
// what to the account that the access is about.
func AllowedInGroup(who Actor, access Access) []Action {
	return allowed(who, access, Invite, SetGroup)
}

// AllowedAbout is explained at [AllowedInGroup].
func AllowedAbout(who Actor, access Access) []Action {
	return allowed(who, access, SetRoles, GiveResetCode, CloseAccount)
}

// AllowedInRegister lists what the person may do in the register of instruments,
// and AllowedWithRules what to the rules of safety and the test procedure.
func AllowedInRegister(who Actor, access Access) []Action {
	return allowed(who, access, KeepInstruments)
}

// AllowedWithRules is explained at [AllowedInRegister].
func AllowedWithRules(who Actor, access Access) []Action {
	return allowed(who, access, SetSafety, SetTemplate)
}

func allowed(who Actor, access Access, actions ...Action) []Action {
	allowed := []Action{}
	for _, action := range actions {
		if _, err := Authorize(who, access, action); err == nil {
			allowed = append(allowed, action)
		}
	}
	return allowed
}

// whoIsSteward names the stewards, to be asked.
func (a Access) whoIsSteward() string {
	if len(a.Stewards) == 0 {
		return "Nobody in the group is one: a keeper can give somebody that role."
	}
	return "Ask one of them: " + names(a.Stewards) + "."
}

// For returns an error, a defect of leat, unless the permit is for the action.
func (p Permit) For(action Action) error {
	if action == "" || p.action != action {
		return fmt.Errorf("domain: a permit for %q was shown for %q", p.action, action)
	}
	return nil
}

// Project returns the project that the permit is about.
func (p Permit) Project() ProjectID { return p.project }

// About returns whose account the permit is about.
func (p Permit) About() AccountID { return p.about }

// Account returns who holds the permit.
func (p Permit) Account() AccountID { return p.account }

func names(people []Person) string {
	all := make([]string, len(people))
	for i, p := range people {
		all[i] = p.Name
	}
	return strings.Join(all, ", ")
}
