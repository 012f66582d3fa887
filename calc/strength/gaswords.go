package strength

// Decisions.
const (
	Allowed     = "allowed"
	Conditional = "conditional"
	NotAllowed  = "not_allowed"
)

// Classes of material, by how they fail under gas.
const (
	Brittle     = "brittle"     // PVC-U, CPVC, PVDF, acrylic, glass
	NonPressure = "nonpressure" // drain, waste, rainwater, foam core, unmarked
	Ductile     = "ductile"     // PE, PE-X, PB, PP, ABS
	Metal       = "metal"
	Flexible    = "flexible" // hose and small tube
)

// Locations. Guarded is inside a closed casing that would hold fragments, buried
// has 0.6 m of cover all round, submerged lies under open water.
const (
	Exposed   = "exposed"
	Guarded   = "guarded"
	Buried    = "buried"
	Submerged = "submerged"
)

// PushRing is the one joint that nothing holds together but friction.
const PushRing = "push_ring"

var joints = []string{"solvent", "fusion", "electrofusion", "threaded", "compression", PushRing, "welded", "brazed", "push_in"}

// Reasons why a part may not hold gas.
const (
	JointUnrestrained = "joint_unrestrained"
	NonpressurePart   = "nonpressure_part"
	EnergyOverLow     = "energy_over_low"
	BrittleOverLimit  = "brittle_over_limit"
	BrittleExposed    = "brittle_exposed"
	BrittleCold       = "brittle_cold"
	EnergyOverBrittle = "energy_over_brittle"
	OverRating        = "over_rating"
	NoGasStatement    = "no_gas_statement"
	UncertifiedVessel = "uncertified_vessel"
)

// Conditions on which a part may hold gas.
const (
	RestrainJoints   = "restrain_joints"
	KeepClear        = "keep_clear"
	NoPneumaticTest  = "no_pneumatic_test"
	CompetentPerson  = "competent_person"
	ReliefRequired   = "relief_required"
	ShatterGuard     = "shatter_guard"
	ImpactAndUVGuard = "impact_and_uv_guard"
	WhipRestraint    = "whip_restraint"
	InspectionAccess = "inspection_access"
)

// Flags: where a law may ask for more.
const (
	OverHalfBar    = "over_0_5_bar"
	Over15PSI      = "over_15_psi"
	Over50BarL     = "over_50_bar_l"
	Over250BarL    = "over_250_bar_l"
	BuriedReceiver = "buried_receiver"
)
