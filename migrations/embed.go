// Package migrations holds the database schema of leat as numbered SQL files,
// applied in order, forward only. A file never changes once it was released.
package migrations

import "embed"

// FS holds the SQL files, in its root.
//
//go:embed *.sql
var FS embed.FS
