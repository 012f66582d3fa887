// Package store keeps the notebook in Postgres. Start with [Open] and
// [DB.InTx]: every query runs in a transaction, through a method of [Tx].
// Methods that change something below a project take a permit and change the
// whole of one thing, so that a half change can't be asked for. SQL and gorm
// live here and nowhere else; what people may do is not decided here.
package store
