// Package api is leat over HTTP: it reads requests, asks the notebook, and
// writes answers. Start with [New], then the one table of routes in routes.go.
//
// A handler has three beats: decode, call, answer. Rules are the notebook's;
// failures become problem documents (RFC 9457) in one place, problem.go, and are
// logged there, once. What is sent and answered is written down in openapi.yaml,
// which is served, and which the tests hold against every answer.
//
//   - Bodies are one JSON value, with no field that the path does not know.
//   - A change names the ETag of what it was made from in If-Match.
//   - Lists have a cursor, newest first, and no total.
//   - An access token is good for ten minutes and carries no roles; the session
//     and the account are read again for each request.
//   - The refresh token is a cookie that only the refresh path reads.
//
// It must not know SQL. The rest of leat must not know echo.
package api
