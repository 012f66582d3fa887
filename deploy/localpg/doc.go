// Package localpg finds, starts, joins and stops a private PostgreSQL server.
//
// Start with [Start] for a cluster that keeps people's work, and with
// [StartThrowaway] for one that tests may wreck. Both listen on a unix socket
// in a folder that only the owner can enter, and never on the network.
//
// Several processes may ask for the same folder. One of them is the keeper: it
// holds a lock for as long as it lives and stops the server when it ends. The
// others join the running server and leave it alone. A process that finds a
// running server without a keeper becomes its keeper.
//
// The package knows nothing about leat's tables.
package localpg
