// Command leat is the whole notebook in one binary: server, migrations and
// calculations. It is the only place that knows all packages; start with
// [commands].
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // the image has no time zones of its own

	"leat/calc"
)

// outcome is how a command ends where a plain error says too little.
type outcome int

const (
	answeredNo outcome = 1 // the question was answered with a fault
	wrongUsage outcome = 2
)

func (o outcome) Error() string { return fmt.Sprintf("exit status %d", int(o)) }

// streams are what a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

type command struct {
	name, does string
	run        func(ctx context.Context, args []string, io streams) error
}

var commands = []command{
	{"serve", "serve the notebook on the database of LEAT_DATABASE_URL", serve},
	{"try", "serve it with invented people, on a private database where none is set", try},
	{"migrate", "bring the database's schema up to this release", migrate},
	{"user", "keeper-code: make the one-time code of the first keeper", user},
	{"calc", "run a calculation: JSON in, JSON out; alone, list them all", calculate},
	{"record", "verify: prove that nothing that was signed has been changed since", record},
	{"backup", "FILE: write all of the database into one file, while leat runs; - is the standard output", backup},
	{"restore", "FILE: put a backup into an empty database", restore},
	{"inspect", "look whether settings, schema, its rules and the record are as they should be", inspect},
	{"version", "print the versions of program and calculation", version},
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := dispatch(ctx, os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})
	stop()
	if err == nil {
		return
	}
	if code, ok := errors.AsType[outcome](err); ok {
		os.Exit(int(code))
	}
	fmt.Fprintln(os.Stderr, "leat:", err)
	os.Exit(1)
}

func dispatch(ctx context.Context, args []string, io streams) error {
	if len(args) > 0 {
		for _, c := range commands {
			if c.name == args[0] {
				return c.run(ctx, args[1:], io)
			}
		}
		fmt.Fprintf(io.err, "leat: there is no command %q\n", args[0])
	}
	fmt.Fprintln(io.err, "usage: leat COMMAND [ARGUMENT ...]")
	for _, c := range commands {
		fmt.Fprintf(io.err, "  %-8s %s\n", c.name, c.does)
	}
	return wrongUsage
}

// release is set by the build.
var release = "development"

func version(_ context.Context, _ []string, io streams) error {
	_, err := fmt.Fprintf(io.out, "leat %s, calculation %s\n", release, calc.Version)
	return err
}
