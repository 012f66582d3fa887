package trompe

// mixed returns the pressure p_1 at the top of the full bore, where the jets
// between the tubes have mixed with the air:
//
//	p_1 − p_m = k_rec·[ρ q1 v + ṁ v_t − A·M(p_1)]/A
//
// Valid where the mixing is over within a few bores.
//
// Source: momentum balance of a sudden enlargement (Borda and Carnot), of which
// the share k_rec is recovered.
func (m *machine) mixed(q1 float64, t throatAt, a drawn) (float64, Status) {
	if a.n() <= 0 {
		return t.pm + m.c.kRec*m.rho*q1*(t.v-q1/m.area)/m.area, ""
	}
	push := (m.rho*q1*t.v + a.mass*a.speed) / m.area
	excess := func(p float64) (float64, Status) {
		x, st := m.mix(p, q1, a.nO, a.nN)
		return p - t.pm - m.c.kRec*(push-x.momentum), st
	}
	stagnation := m.rho * t.v * t.v
	low, high := max(m.pv+500, t.pm-stagnation), t.pm+stagnation+10
	fLow, st := excess(low)
	for tries := 0; st != "" && tries < 60; tries++ {
		low += 0.08 * (high - low)
		fLow, st = excess(low)
	}
	if st != "" || fLow > 0 {
		return 0, Blocked
	}
	fHigh, st := excess(high)
	if st != "" {
		return 0, st
	}
	if fHigh < 0 {
		return 0, Blocked
	}
	return root(excess, low, fLow, high, fHigh, 0)
}
