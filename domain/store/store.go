package store

import "context"

// DB is the database.
type DB struct{}

// Open connects.
func Open(ctx context.Context, url string) (*DB, error) { return &DB{}, nil }

// Close closes.
func (db *DB) Close() error { return nil }
