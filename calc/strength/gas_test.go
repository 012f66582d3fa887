package strength_test

import (
	"maps"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/strength"
)

// drainpipe, pvc, pe and hose are parts at one bar, changed by what is given.
func drainpipe(change given) given { return with(given{"gas_class": "nonpressure"}, change) }
func pvc(change given) given {
	return with(given{"gas_class": "brittle", "location": "buried"}, change)
}
func pe(change given) given {
	return with(given{"gas_class": "ductile", "location": "buried", "joint": "electrofusion", "gas_statement": true}, change)
}
func hose(change given) given {
	return with(given{"gas_class": "flexible", "od_m": 0.01, "joint": "push_in", "gas_statement": true}, change)
}

func with(part, change given) given {
	in := bottle(given{"p_pa": 1 * bar, "v_gas_m3": 0.0005, "od_m": 0.11, "vessel": false, "certified": false, "joint": "solvent", "gas_statement": false})
	maps.Copy(in, part)
	maps.Copy(in, change)
	return in
}

type none = []string

// Each rule of the group's decision on gas, alone and in order. The rules are
// those of the authorities that the declaration names: OSHA's bulletin on PVC of
// 1990, ASME B31.3 and B31.9, ASTM D1785, PPFA, POP002, PSSR 2000, 2014/68/EU and
// 2014/29/EU; limits of energy from memory. Energies by hand: at 0.5 bar 79 J are
// 1.9 L and 1356 J are 33 L.
func TestGasDecision(t *testing.T) {
	const no, maybe, yes = strength.NotAllowed, strength.Conditional, strength.Allowed
	low, half, over := 0.1*bar, 0.5*bar, 0.5*bar+1
	cases := []struct {
		name                string
		in                  given
		decision            string
		reasons, conditions []string
	}{
		{"no pressure", drainpipe(given{"p_pa": 0, "v_gas_m3": 9, "joint": "push_ring"}), yes, none{}, none{}},

		{"drain pipe", drainpipe(given{"joint": "push_ring"}), no, none{"joint_unrestrained", "nonpressure_part"}, none{}},
		{"drain pipe a metre under water", drainpipe(given{"p_pa": low, "allow_pa": 0}), maybe, none{}, none{"restrain_joints", "keep_clear"}},
		{"a push ring up to a metre of water", drainpipe(given{"p_pa": low, "joint": "push_ring"}), maybe, none{}, none{"restrain_joints", "keep_clear"}},
		{"much gas in a drain pipe", drainpipe(given{"p_pa": low, "v_gas_m3": 0.02}), no, none{"energy_over_low"}, none{}},
		{"the same buried", drainpipe(given{"p_pa": low, "v_gas_m3": 0.02, "location": "buried"}), maybe, none{}, none{"restrain_joints", "keep_clear"}},

		{"PVC in the open", pvc(given{"location": "exposed", "temp_c": 4.9, "allow_pa": 0, "v_gas_m3": 1}), no,
			none{"brittle_over_limit", "brittle_exposed", "brittle_cold", "energy_over_brittle", "over_rating"}, none{}},
		{"PVC at half a bar", pvc(given{"p_pa": half, "v_gas_m3": 0.0019}), maybe, none{}, none{"keep_clear", "no_pneumatic_test", "competent_person", "relief_required", "shatter_guard"}},
		{"PVC at half a bar, 2 L", pvc(given{"p_pa": half, "v_gas_m3": 0.002}), no, none{"energy_over_brittle"}, none{}},
		{"the same where the group allows it", pvc(given{"p_pa": half, "v_gas_m3": 0.002, "config": given{"e_brittle_max_j": 1356}}), maybe, none{}, none{"keep_clear", "no_pneumatic_test", "competent_person", "relief_required", "shatter_guard"}},
		{"33 L there", pvc(given{"p_pa": half, "v_gas_m3": 0.033, "config": given{"e_brittle_max_j": 1356}}), maybe, none{}, none{"keep_clear", "no_pneumatic_test", "competent_person", "relief_required", "shatter_guard"}},
		{"34 L there", pvc(given{"p_pa": half, "v_gas_m3": 0.034, "config": given{"e_brittle_max_j": 1356}}), no, none{"energy_over_brittle"}, none{}},
		{"PVC above half a bar", pvc(given{"p_pa": over}), no, none{"brittle_over_limit"}, none{}},
		{"PVC in frost", pvc(given{"p_pa": half, "temp_c": 4.9}), no, none{"brittle_cold"}, none{}},
		{"PVC at 5 °C", pvc(given{"p_pa": half, "temp_c": 5}), maybe, none{}, none{"keep_clear", "no_pneumatic_test", "competent_person", "relief_required", "shatter_guard"}},
		{"PVC a metre under water, in frost, in the open", pvc(given{"p_pa": low, "temp_c": -5, "location": "exposed"}), maybe, none{}, none{"keep_clear", "no_pneumatic_test"}},
		{"much gas there", pvc(given{"p_pa": low, "location": "exposed", "v_gas_m3": 0.02}), no, none{"energy_over_low"}, none{}},
		{"PVC without a rating", pvc(given{"p_pa": low, "allow_pa": 0}), no, none{"over_rating"}, none{}},
		{"a group that wants none", pvc(given{"p_pa": half, "config": given{"p_brittle_max_pa": 10000}}), no, none{"brittle_over_limit"}, none{}},
		{"a wide PVC pipe", pvc(given{"p_pa": over, "od_m": 0.16}), no, none{"brittle_over_limit", "uncertified_vessel"}, none{}},

		{"PE buried", pe(nil), maybe, none{}, none{"relief_required"}},
		{"PE a metre under water", pe(given{"p_pa": low, "location": "exposed", "gas_statement": false}), yes, none{}, none{}},
		{"PE without a word of its maker", pe(given{"gas_statement": false, "allow_pa": 1}), no, none{"no_gas_statement", "over_rating"}, none{}},
		{"PE in the open, 20 L", pe(given{"location": "exposed", "v_gas_m3": 0.02}), maybe, none{}, none{"relief_required", "impact_and_uv_guard", "competent_person"}},
		{"a wide PE pipe, buried", pe(given{"od_m": 0.16}), maybe, none{}, none{"relief_required", "competent_person", "inspection_access"}},
		{"a pipe of 152 mm is none", pe(given{"od_m": 0.152}), maybe, none{}, none{"relief_required"}},
		{"a wide PE pipe at half a bar", pe(given{"od_m": 0.16, "p_pa": half}), maybe, none{}, none{"relief_required"}},

		{"hose", hose(nil), maybe, none{}, none{"relief_required", "whip_restraint"}},
		{"hose at half a bar", hose(given{"p_pa": half}), maybe, none{}, none{"relief_required"}},
		{"hose with 20 L behind it", hose(given{"v_gas_m3": 0.02}), maybe, none{}, none{"relief_required", "whip_restraint", "competent_person"}},

		{"a marked bottle", bottle(given{"v_gas_m3": 0.001}), maybe, none{}, none{"relief_required"}},
		{"a marked bottle of 20 L", bottle(nil), maybe, none{}, none{"relief_required", "competent_person"}},
		{"one without a mark", bottle(given{"certified": false}), no, none{"uncertified_vessel"}, none{}},
		{"a small one without a mark, buried", bottle(given{"certified": false, "v_gas_m3": 0.001, "location": "buried"}), maybe, none{}, none{"relief_required", "competent_person", "inspection_access"}},
		{"one without a mark at half a bar", bottle(given{"certified": false, "p_pa": half, "v_gas_m3": 0.2}), maybe, none{}, none{"relief_required", "competent_person"}},
		{"one over its rating", bottle(given{"allow_pa": 2.9 * bar, "joint": "push_ring"}), no, none{"joint_unrestrained", "over_rating"}, none{}},
		{"a metre under water", bottle(given{"p_pa": low, "certified": false}), yes, none{}, none{}},
	}
	for _, c := range cases {
		out := gas(t, c.in)
		require.Equal(t, c.decision, out.Decision, "%s: %v", c.name, out)
		require.Equal(t, strength.Codes(c.reasons), out.Reasons, c.name)
		require.Equal(t, strength.Codes(c.conditions), out.Conditions, c.name)
	}
}

// A part that gives no pressure has no flags either; a wide buried pipe is a
// receiver by law.
func TestGasFlags(t *testing.T) {
	require.Equal(t, strength.Codes{}, gas(t, bottle(given{"p_pa": 0, "location": "buried"})).Flags)
	require.Equal(t, strength.Codes{"over_0_5_bar", "over_15_psi", "over_50_bar_l", "over_250_bar_l", "buried_receiver"},
		gas(t, pe(given{"od_m": 0.2, "p_pa": 3 * bar, "v_gas_m3": 0.1})).Flags)
}

// A class that nobody knows is not allowed, whoever asks.
func TestUnknownClassIsNotAllowed(t *testing.T) {
	out, _, _ := strength.Gas(strength.GasIn{GasClass: "wood", PPa: 2e4, AllowPa: 1e6, Config: strength.DefaultGasConfig})
	require.Equal(t, strength.NotAllowed, out.Decision)
}
