package strength

// ReadDeratings is tested with rows that cannot be read.
var ReadDeratings = readDeratings
