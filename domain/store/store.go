package store

import (
	"context"
	"fmt"
	"log/slog"
	"net/url"
	"strings"
	"time"

	"gorm.io/driver/postgres"
	"gorm.io/gorm"
	"gorm.io/gorm/logger"
)

// SchemaVersion is the newest migration that this code was written for.
const SchemaVersion = 21

// DB is the database of one installation.
type DB struct{ gorm *gorm.DB }

// Tx is one transaction. It is good only inside the function that [DB.InTx]
// hands it to.
type Tx struct{ gorm *gorm.DB }

// Open connects to the database that a URL names (or a string of keyword=value
// pairs) and returns an error when it doesn't answer.
func Open(ctx context.Context, url string) (*DB, error) {
	g, err := gorm.Open(postgres.Open(withDefaults(url)), &gorm.Config{
		SkipDefaultTransaction: true,
		DisableAutomaticPing:   true,
		Logger:                 slowOnly{newLogger()},
	})
	if err != nil {
		return nil, fmt.Errorf("store: open: %w", err)
	}
	pool, err := g.DB()
	if err != nil {
		return nil, fmt.Errorf("store: open: %w", err)
	}
	pool.SetMaxOpenConns(16)
	pool.SetMaxIdleConns(4)
	pool.SetConnMaxIdleTime(5 * time.Minute)
	if err := pool.PingContext(ctx); err != nil {
		_ = pool.Close()
		return nil, fmt.Errorf("store: reach the database: %w", err)
	}
	return &DB{gorm: g}, nil
}

// Close closes all connections, once they are idle.
func (db *DB) Close() error {
	pool, err := db.gorm.DB()
	if err != nil {
		return err
	}
	return pool.Close()
}

// Ready returns an error unless the database answers and has the schema that
// this code was written for.
func (db *DB) Ready(ctx context.Context) error {
	found, err := (&Tx{db.gorm.WithContext(ctx)}).schemaVersion()
	if err != nil {
		return fmt.Errorf("store: read the version of the schema: %w", err)
	}
	if found != SchemaVersion {
		return fmt.Errorf("store: the database has schema version %d, this server needs %d: run the migrations of this release", found, SchemaVersion)
	}
	return nil
}

// defaults are settings of a connection that the URL may override.
var defaults = [][2]string{
	{"application_name", "leat"},
	{"timezone", "UTC"},
	{"connect_timeout", "5"},
	{"statement_timeout", "15000"},
	{"lock_timeout", "10000"},
	{"idle_in_transaction_session_timeout", "30000"},
	{"jit", "off"}, // compiling took two seconds for lists that are read in milliseconds
}

func withDefaults(dsn string) string {
	u, err := url.Parse(dsn)
	if err != nil || u.Scheme != "postgres" && u.Scheme != "postgresql" {
		for _, d := range defaults {
			if !strings.Contains(dsn, d[0]+"=") {
				dsn += " " + d[0] + "=" + d[1]
			}
		}
		return dsn
	}
	q := u.Query()
	for _, d := range defaults {
		if !q.Has(d[0]) {
			q.Set(d[0], d[1])
		}
	}
	u.RawQuery = q.Encode()
	return u.String()
}

// slowOnly logs slow statements. Failed ones are returned, and logged once,
// where the answer is written.
type slowOnly struct{ logger.Interface }

func newLogger() logger.Interface {
	return logger.NewSlogLogger(slog.Default(), logger.Config{
		SlowThreshold: 200 * time.Millisecond, LogLevel: logger.Warn, ParameterizedQueries: true,
	})
}

// Trace passes everything on but the error.
func (l slowOnly) Trace(ctx context.Context, begin time.Time, fc func() (string, int64), _ error) {
	l.Interface.Trace(ctx, begin, fc, nil)
}

// ParamsFilter keeps values out of the log.
func (l slowOnly) ParamsFilter(_ context.Context, sql string, _ ...any) (string, []any) {
	return sql, nil
}
