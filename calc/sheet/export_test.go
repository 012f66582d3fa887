package sheet

// Fed lists, by calculation, the inputs that the chain fills in.
func Fed() map[string][]string {
	fed := map[string][]string{}
	for _, n := range nodes {
		for _, f := range n.feeds {
			fed[n.calc] = append(fed[n.calc], f.name)
		}
	}
	return fed
}
