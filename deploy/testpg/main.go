// Command testpg runs another command beside a PostgreSQL server of its own,
// whose address that command finds in LEAT_TEST_DATABASE_URL:
//
//	go run ./deploy/testpg go test ./...
//
// The server is gone afterwards. Where LEAT_TEST_DATABASE_URL is set already,
// that server is used and none is started.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"syscall"

	"leat/deploy/localpg"
)

const variable = "LEAT_TEST_DATABASE_URL"

func main() {
	if len(os.Args) < 2 {
		fmt.Fprintln(os.Stderr, "usage: testpg COMMAND [ARGUMENT ...]")
		os.Exit(2)
	}
	status, err := run(os.Args[1:])
	if err != nil {
		fmt.Fprintln(os.Stderr, "testpg:", err)
		os.Exit(1)
	}
	os.Exit(status)
}

func run(args []string) (status int, err error) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	url := os.Getenv(variable)
	if url == "" {
		cluster, err := localpg.StartThrowaway(ctx, os.Getenv("LEAT_POSTGRES_BIN"))
		if err != nil {
			return 0, err
		}
		defer func() { err = errors.Join(err, cluster.Stop()) }()
		url = cluster.URL()
	}
	return command(ctx, args, url)
}

// command runs the command to its end and returns its exit status. Told to
// stop, it tells the command and waits for it.
func command(ctx context.Context, args []string, url string) (int, error) {
	cmd := exec.CommandContext(ctx, args[0], args[1:]...) //nolint:gosec // running what it is given is its purpose
	cmd.Cancel = func() error { return cmd.Process.Signal(syscall.SIGTERM) }
	cmd.Env = append(os.Environ(), variable+"="+url)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	err := cmd.Run()
	if exit, ok := errors.AsType[*exec.ExitError](err); ok {
		return max(exit.ExitCode(), 1), nil
	}
	return 0, err
}
