package notebook

import "leat/domain"

// DemoPerson is one of the invented people of Thornwick Wheelhouse.
type DemoPerson struct {
	Name    string
	Address string
	About   string
	Roles   []domain.Role // beyond member
	Units   domain.Units  // of their own; empty: as the group has it
}

// The addresses of the invented people.
const (
	ines   = "ines@thornwick.example"
	bram   = "bram@thornwick.example"
	petra  = "petra@thornwick.example"
	tomasz = "tomasz@thornwick.example"
	wanda  = "wanda@thornwick.example"
)

// DemoPeople lists the invented people, the keeper first.
func DemoPeople() []DemoPerson {
	return []DemoPerson{
		{"Ines Calloway", ines, "keeper: invites people and keeps the group's settings", []domain.Role{domain.Keeper}, ""},
		{"Bram Oduya", bram, "steward and checker: the group's competent person for pressure", []domain.Role{domain.Steward, domain.Checker}, domain.US},
		{"Petra Lindahl", petra, "member: wants air for the nursery pond", nil, ""},
		{"Tomasz Reyes", tomasz, "checker: builds a bench rig with his school class", []domain.Role{domain.Checker}, domain.SI},
		{"Wanda Ekholm", wanda, "member: full of ideas, the roof and the quarry among them", nil, domain.Metric},
	}
}

// demoProject is one project of the demo, with its designs.
type demoProject struct {
	address string   // of who starts it
	crew    []string // who was asked and said yes
	asked   string   // who has not answered yet; empty: nobody
	left    bool     // all have left the crew
	start   domain.StartProject
	site    domain.SiteFacts
	gauged  []demoGauging
	designs []demoDesign
}

// demoGauging is a gauging that was recorded after the first one.
type demoGauging struct {
	daysAgo int
	facts   domain.GaugingFacts
}

// demoDesign is one design with its letters, oldest first.
type demoDesign struct {
	title   string
	letters [][]demoSave
}

// demoSave is one sheet.
type demoSave struct {
	machine string // a file of the folder demo, without its ending
	gauging int    // which of the site's gaugings it names, 0 the first
	note    string
}

// demoProjects lists the projects, oldest first.
func demoProjects() []demoProject {
	return []demoProject{demoBench(), demoFair(), demoGutter(), demoQuarry(), demoStandpipe(), demoSawpit(), demoHill(), demoPond()}
}

func demoBench() demoProject {
	return demoProject{
		address: tomasz, asked: wanda,
		start: domain.StartProject{
			Title: "Bench rig in the school lab", Key: "demo-bench-rig",
			Purpose: "A trompe small enough for a table, in clear pipe, so that a class can see the bubbles go down. Fed by the garden hose through an open header.",
		},
		site: domain.SiteFacts{
			Name: "Thornwick school, lab sink", Source: given(domain.Hose), FallM: given(1.7), FlowM3S: given(2.6e-4),
			Gauged: "9 L bucket from the hose, three fills: 34 s, 35 s, 35 s.", StaticPa: given(2.8e5),
			WaterC: given(13.0), AirC: given(19.0), AltitudeM: given(365.0),
			Note: "The header overflows into the sink. The hose must end above the water, never in it: nothing may run back into the mains.",
		},
		designs: []demoDesign{
			{"Trompe on the bench", [][]demoSave{{
				{"bench", 0, "First guess, with the pipe that is in the cupboard."},
				{"bench-seven", 0, "A seventh tube, so that the bore is filled as usual. More air, and the header stands higher."},
			}}},
			{"In pipe from the shop", [][]demoSave{{
				{"bench-drain", 0, "Chamber of the drainpipe that was left over. leat says no: made for waste water, and its joints only push in."},
				{"bench-rim", 0, "Chamber of PE, welded at the waterworks, whose maker writes that it may hold compressed air."},
			}, {
				{"bench-pe", 0, "A.2 was taken back before anybody had looked: the rim of the sink is 20 mm lower than we had drawn it, so the riser ends 20 mm lower."},
			}}},
			{"Straight onto the tap", [][]demoSave{{
				{"bench-tap", 0, "The class asked whether 2.8 bar at the tap makes 2.8 bar in the chamber. It does not: the riser sets the pressure."},
			}}},
		},
	}
}

func demoFair() demoProject {
	return demoProject{
		address: petra,
		start: domain.StartProject{
			Title: "Rigs for the summer fairs", Key: "demo-fair",
			Purpose: "Four small trompes for the fairs of the four villages, all from one drawing, so that children everywhere can hold a hand before the air. A narrower pipe than the school's, for the same hose.",
		},
		site: domain.SiteFacts{
			Name: "Wheelhouse yard, standpipe", Source: given(domain.Hose), FallM: given(1.7), FlowM3S: given(2.7e-4),
			Gauged: "9 L bucket from the hose, four fills: 33 s, 33 s, 34 s, 33 s.", StaticPa: given(2.8e5),
			WaterC: given(12.0), AirC: given(17.0), AltitudeM: given(352.0),
			Note: "The hose ends above the header. What overflows goes down the yard drain.",
		},
	}
}

func demoGutter() demoProject {
	return demoProject{
		address: wanda, left: true,
		start: domain.StartProject{
			Title: "Workshop air from the roof", Key: "demo-gutter",
			Purpose: "Run the impact wrench from the rain on the workshop roof. It rains here two days in three.",
		},
		site: domain.SiteFacts{
			Name: "Wheelhouse, south gutter", Source: given(domain.Roof), FallM: given(2.9), FlowM3S: given(8e-6),
			Gauged: "Downpipe into a 1 L jug in drizzle: 2 min 5 s. The roof is 58 m².",
			WaterC: given(9.0), AirC: given(9.0), AltitudeM: given(350.0),
			Note: "The gutter was reached from a tower that stood on the ground. Nobody goes on the wet roof.",
		},
		designs: []demoDesign{{"Down from the gutter", [][]demoSave{{
			{"gutter", 0, "As drawn on the envelope. Kept with its answer, so that nobody has to find out on the roof."},
		}}}},
	}
}

func demoQuarry() demoProject {
	return demoProject{
		address: wanda,
		start: domain.StartProject{
			Title: "Quarry face, two pipes", Key: "demo-quarry",
			Purpose: "Two pipes down the old tramway of the slate quarry, one chamber in the drain at its foot, air for the stone saw's table.",
		},
		site: domain.SiteFacts{
			Name: "Blackdrain level, slate quarry", Source: given(domain.Stream), FallM: given(3.2), FlowM3S: given(0.03),
			Gauged: "Plank weir with a notch of 300 mm, 153 mm of water over the sill in October.",
			WaterC: given(7.0), AirC: given(11.0), AltitudeM: given(430.0),
			Note: "The drain is closed below. Bad air gathers there: nobody goes in alone, and the owner asks to be told first.",
		},
		designs: []demoDesign{{"Two leaning pipes", [][]demoSave{{
			{"quarry", 0, "Both pipes lie on the tramway's slope and widen at their foot."},
		}}}},
	}
}

func demoStandpipe() demoProject {
	return demoProject{
		address: ines, crew: []string{petra, tomasz},
		start: domain.StartProject{
			Title: "One pipe in another", Key: "demo-standpipe",
			Purpose: "A compact trompe for narrow places: downcomer, riser and chamber one inside the other, in a single drilled hole beside the fish pass.",
		},
		site: domain.SiteFacts{
			Name: "Fish pass at Lower Thornwick", Source: given(domain.Stream), FallM: given(1.5), FlowM3S: given(2.5e-3),
			Gauged: "10 L bucket at the end of the pipe, four fills: 3.9 s, 4.1 s, 4.0 s, 4.0 s.",
			WaterC: given(10.0), AirC: given(16.0), AltitudeM: given(355.0),
			Note: "Water may be taken only while the pass runs full.",
		},
		designs: []demoDesign{{"Ring riser", [][]demoSave{{
			{"standpipe", 0, "The water climbs between the downcomer and the pipe around it; the casing is the chamber."},
		}}}},
	}
}

func demoSawpit() demoProject {
	return demoProject{
		address: bram, asked: petra,
		start: domain.StartProject{
			Title: "Air for the sawpit", Key: "demo-sawpit",
			Purpose: "Blow the dust off the saw bench. There is more fall at the old tannery than one pipe down to the rock can use.",
		},
		site: domain.SiteFacts{
			Name: "Tannery leat", Source: given(domain.Stream), FallM: given(2.5), FlowM3S: given(0.012),
			Gauged: "Float over 5 m of the stone channel, 0.40 m wide and 0.12 m deep: 15.5 s to 16.5 s, less a fifth for the slower water at the bed.",
			WaterC: given(8.0), AirC: given(12.0), AltitudeM: given(410.0),
			Note: "Rock at 1.2 m below the yard. The disused well beside the wall is 7 m deep; it has to be covered and never entered alone.",
		},
		gauged: []demoGauging{{20, domain.GaugingFacts{
			FlowM3S: 0.0112, HalfWidthM3S: given(6e-4), How: "Notch of 90° in a board across the leat, 146 mm of water over its point.",
			Note: "The board leaked a little on one side. The float had read too much.",
		}}},
		designs: []demoDesign{
			{"Down to the rock", [][]demoSave{{{"sawpit", 0, "As deep as we can dig by hand. Most of the fall is wasted."}}}},
			{"Chamber in the old well", [][]demoSave{{{"sawpit-well", 1, "The same intake with five metres more: the fall becomes pressure."}}}},
		},
	}
}

func demoHill() demoProject {
	return demoProject{
		address: tomasz, crew: []string{ines},
		start: domain.StartProject{
			Title: "Water up the hill", Key: "demo-hill",
			Purpose: "The orchard lies above the brook and the smithy beside it. A ram could lift water to the trees, or press air where the fall alone is too small.",
		},
		site: domain.SiteFacts{
			Name: "Hazel Brook, below the footbridge", Source: given(domain.Stream), FallM: given(3.4), FlowM3S: given(4.5e-3),
			Gauged: "Notch of 90° in a board, 102 mm of water over its point in May.",
			WaterC: given(8.0), AirC: given(12.0), AltitudeM: given(360.0),
			Note: "A ram can be heard all night: the neighbour asks for a shed around it.",
		},
		designs: []demoDesign{
			{"Ram to the orchard", [][]demoSave{{{"hill-ram", 0, "Drive pipe of steel: the school's plastic pipe is not made for a million strokes."}}}},
			{"Ram and a taller trompe", [][]demoSave{{{"hill-lift", 0, "The lift costs most of the power. What it buys is pressure."}}}},
			{"Trompe with a booster", [][]demoSave{{{"hill-pulse", 0, "Nobody has built one. Drawn to see what would have to be measured first."}}}},
		},
	}
}

func demoPond() demoProject {
	return demoProject{
		address: petra, crew: []string{bram},
		start: domain.StartProject{
			Title: "Nursery pond air", Key: "demo-nursery-pond",
			Purpose: "Air for the fry in the nursery pond all through the summer nights, without a cable through the meadow. The water of the Cobbler's Weir is there anyway.",
		},
		site: domain.SiteFacts{
			Name: "Cobbler's Weir", Source: given(domain.Stream), FallM: given(2.6), FlowM3S: given(3.4e-3),
			Gauged: "Bucket of 20 L under the plank at the weir, five fills on a dry day in August: 5.7 s to 6.0 s.",
			WaterC: given(9.0), AirC: given(14.0), AltitudeM: given(340.0),
			Note: "The shaft goes down beside the old wheel pit. It has to be shored and covered before anyone works near it.",
		},
		gauged: []demoGauging{{9, domain.GaugingFacts{
			FlowM3S: 4.1e-3, HalfWidthM3S: given(2e-4), How: "The same bucket under the same plank, five fills: 4.7 s to 5.0 s.",
			Note: "After a week of rain. The summer's flow is the one to build for.",
		}}},
		designs: []demoDesign{{"Garden trompe", [][]demoSave{{
			{"pond", 0, "Thirty tubes, chamber in the pit."},
			{"pond-diffuser", 0, "The stones lie 2.3 m under the pond and ask for 0.26 bar; a valve takes up the rest."},
		}}}},
	}
}

func given[v any](value v) *v { return &value }
