// Package frontend holds the built pages, so that one binary is the whole
// server.
//
// The folder dist is filled by `npm run build`; a clean clone has only a
// placeholder in it, so that Go builds and tests without Node.
package frontend

import "embed"

// Dist is the built front end: index.html, and hashed files under assets. It
// holds no index.html when the pages have not been built.
//
//go:embed all:dist
var Dist embed.FS
