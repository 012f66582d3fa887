package localpg

import (
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// pidFile is what a running server writes into postmaster.pid of its data
// folder, one thing a line: the process, the folder, when it started, the port,
// the socket's folder, the address, the shared memory, the status.
type pidFile struct {
	pid    int
	port   string
	socket string // folder of the socket
	status string
}

// readPidFile returns the zero pidFile when no server runs or one was stopped
// cleanly.
func readPidFile(data string) (pidFile, error) {
	text, err := os.ReadFile(filepath.Join(data, "postmaster.pid"))
	if errors.Is(err, fs.ErrNotExist) {
		return pidFile{}, nil
	}
	if err != nil {
		return pidFile{}, fmt.Errorf("localpg: %w", err)
	}
	return parsePidFile(string(text)), nil
}

// parsePidFile takes what is there: the server writes the lines one by one
// while it starts.
func parsePidFile(text string) pidFile {
	lines := strings.Split(text, "\n")
	line := func(n int) string {
		if n > len(lines) {
			return ""
		}
		return strings.TrimSpace(lines[n-1])
	}
	pid, err := strconv.Atoi(line(1))
	if err != nil {
		return pidFile{}
	}
	return pidFile{pid: pid, port: line(4), socket: line(5), status: line(8)}
}

// ready reports whether the server says that it takes connections.
func (p pidFile) ready() bool { return p.pid > 0 && p.status == "ready" }

// answers reports whether the server says so and takes one: the file of a
// killed server goes on saying ready.
func (p pidFile) answers() bool {
	if !p.ready() || p.socket == "" {
		return false
	}
	conn, err := net.DialTimeout("unix", filepath.Join(p.socket, ".s.PGSQL."+p.port), 2*time.Second)
	if err != nil {
		return false
	}
	return conn.Close() == nil
}
