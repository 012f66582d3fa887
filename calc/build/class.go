package build

func (r *Report) classify(m Machine, f Facts, parts []Part) {}
