package trompe

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"leat/calc"
)

var form = calc.NewForm(inputs)

// Defaults returns the machine before anything is said about it.
func Defaults() Input {
	const smooth = 1.5e-6 // m, drawn tube, PVC and PE: handbook value, from memory
	in := Input{NParallel: 1}
	in.Site = Site{AirC: 15, WaterC: 12, Humidity: 0.7, Gravity: 9.80665, WaterSaturation: 1}
	in.Intake.TubeRoughnessM = smooth
	in.Downcomer.RoughnessM = smooth
	in.Riser = Riser{Kind: Pipe, Count: 1, RoughnessM: smooth, KMinor: 0.5}
	in.Takeoff = Takeoff{Mode: BlowOffLevel, RoughnessM: smooth, K: 1.5}
	return in
}

// Decode reads a machine from JSON text and fills in the defaults. It returns
// every fault it finds, in the order of [Inputs], and only then what of the
// machine could be read.
func Decode(raw json.RawMessage) (Input, []calc.Fault) {
	in := Defaults()
	clean, faults := form.Check(raw)
	if clean == nil {
		return in, faults
	}
	text, err := json.Marshal(clean)
	if err == nil {
		err = json.Unmarshal(text, &in)
	}
	if err != nil { // the form let something through that the struct does not take
		return in, append(faults, calc.Fault{Code: calc.Inconsistent, Message: "The input could not be read: " + err.Error()})
	}
	faulty := map[string]bool{}
	for _, f := range faults {
		faulty[f.At] = true
	}
	faults = append(faults, misfits(in, faulty)...)
	form.Sort(faults)
	return in, faults
}

// Whole is a count.
type Whole = calc.Int

// Fits tells whether the fields of a machine do not contradict each other. A
// machine that was decoded and then changed has to be asked.
func Fits(in Input) bool { return len(misfits(in, map[string]bool{})) == 0 }

// misfits finds fields that contradict each other. What hangs on a faulty or
// missing field is not judged.
func misfits(in Input, faulty map[string]bool) (faults []calc.Fault) {
	for _, rule := range fits {
		judged := true
		for _, at := range rule.of {
			judged = judged && !faulty[at] && !faulty[at[:strings.LastIndexByte(at, '/')]]
		}
		if !judged {
			continue
		}
		if text := rule.broken(in); text != "" {
			faults = append(faults, calc.Fault{Code: calc.Inconsistent, At: rule.at, Message: text})
		}
	}
	return faults
}

// fit is a rule about several fields; broken says in a builder's words what is
// wrong and what to try, or nothing.
type fit struct {
	at     string
	of     []string
	broken func(Input) string
}

func trim(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

var fits = []fit{
	{"/intake/n_tubes", []string{"/intake/n_tubes", "/intake/tube_od_m", "/downcomer/bore_m"}, func(in Input) string {
		if in.Intake.ThroatAreaM2 != nil || fill(in) < 1 {
			return ""
		}
		d, od := in.Downcomer.BoreM, in.Intake.TubeOutsideM
		return fmt.Sprintf("%d tubes of %s m outside fill more than the bore of %s m. At most %d leave room for water; 60 to 80 %% of the bore is usual: about %d.",
			in.Intake.NTubes, trim(od), trim(d), int(0.99*d*d/(od*od)), int(0.7*d*d/(od*od)))
	}},
	{"/intake/tube_od_m", []string{"/intake/tube_od_m", "/intake/tube_id_m"}, func(in Input) string {
		if in.Intake.TubeOutsideM >= in.Intake.TubeBoreM {
			return ""
		}
		return fmt.Sprintf("The tube is %s m outside but %s m inside. Swap them, or measure again.", trim(in.Intake.TubeOutsideM), trim(in.Intake.TubeBoreM))
	}},
	{"/downcomer/outlet_m", []string{"/downcomer/outlet_m", "/intake/mouth_m"}, func(in Input) string {
		if in.Downcomer.OutletM < in.Intake.MouthM {
			return ""
		}
		return fmt.Sprintf("The downcomer must end below its mouths, which are at %s m. Lower its end, or raise the mouths.", trim(in.Intake.MouthM))
	}},
	{"/downcomer/length_m", []string{"/downcomer/length_m", "/downcomer/outlet_m", "/intake/mouth_m"}, func(in Input) string {
		return tooShort(in.Downcomer.LengthM, in.Intake.MouthM-in.Downcomer.OutletM, "drop from the mouths to its end")
	}},
	{"/downcomer/outlet_bore_m", []string{"/downcomer/outlet_bore_m", "/downcomer/bore_m"}, func(in Input) string {
		if b := in.Downcomer.OutletBoreM; b == nil || *b >= in.Downcomer.BoreM {
			return ""
		}
		return fmt.Sprintf("A flared end is wider than the pipe, which has %s m. Leave it out for a plain end.", trim(in.Downcomer.BoreM))
	}},
	{"/chamber/inner_od_m", []string{"/chamber/inner_od_m", "/chamber/bore_m", "/chamber/kind"}, func(in Input) string {
		if in.Chamber.Kind != Vertical || in.Chamber.InnerODM < in.Chamber.BoreM {
			return ""
		}
		return fmt.Sprintf("The inner pipe must be thinner than the chamber, which has %s m inside.", trim(in.Chamber.BoreM))
	}},
	{"/chamber/high_m", []string{"/chamber/high_m", "/chamber/lip_m"}, func(in Input) string {
		if in.Chamber.HighM >= in.Chamber.LipM {
			return ""
		}
		return fmt.Sprintf("The highest water level lies below the lip at %s m. Raise it, or lower the lip.", trim(in.Chamber.LipM))
	}},
	{"/riser/inner_od_m", []string{"/riser/inner_od_m", "/riser/outer_bore_m", "/riser/kind"}, func(in Input) string {
		if in.Riser.Kind != Annulus || in.Riser.InnerODM < in.Riser.OuterBoreM {
			return ""
		}
		return fmt.Sprintf("The inner pipe must be thinner than the outer one, which has %s m inside.", trim(in.Riser.OuterBoreM))
	}},
	{"/riser/outlet_m", []string{"/riser/outlet_m", "/chamber/lip_m"}, func(in Input) string {
		if in.Riser.OutletM > in.Chamber.LipM {
			return ""
		}
		return fmt.Sprintf("The water must leave above the lip at %s m: the height between them makes the pressure. Raise the outlet.", trim(in.Chamber.LipM))
	}},
	{"/riser/length_m", []string{"/riser/length_m", "/riser/outlet_m", "/chamber/lip_m"}, func(in Input) string {
		return tooShort(in.Riser.LengthM, in.Riser.OutletM-in.Chamber.LipM, "rise from the lip to the outlet")
	}},
	{"/intake/mouth_m", []string{"/intake/mouth_m", "/supply/type", "/supply/level_m", "/supply/level_max_m", "/supply/static_pa", "/supply/z_m", "/supply/outlet_m", "/downcomer/outlet_m", "/downcomer/length_m", "/riser/outlet_m", "/chamber/lip_m"}, mouthAboveWater},
}

// shortBy is the relative error up to which a length counts as equal to a drop
// that was worked out from two levels.
const shortBy = 1e-12

func tooShort(length *float64, drop float64, what string) string {
	if length == nil || drop <= 0 || *length >= drop*(1-shortBy) {
		return ""
	}
	return fmt.Sprintf("The pipe is shorter than the %s, which is %s m. Make it longer, or leave it out for a plumb pipe.", what, trim(drop))
}

// mouthAboveWater judges the level of the mouths last: a slope outside the
// model and a head that is none are answers, and come before it.
func mouthAboveWater(in Input) string {
	if in.Supply.Type == HoseClosed || in.slope() < leastSlope || in.noHead() || in.supplyLevel() > in.Intake.MouthM {
		return ""
	}
	return fmt.Sprintf("The mouths of the air tubes must lie below the water, which stands at %s m. Lower them by 0.1 to 0.4 m, or raise the water.", trim(in.supplyLevel()))
}

// fill is the share of the bore that the air tubes take.
func fill(in Input) float64 {
	d, od := in.Downcomer.BoreM, in.Intake.TubeOutsideM
	return float64(in.Intake.NTubes) * od * od / (d * d)
}
