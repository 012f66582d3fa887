//go:build !linux

package localpg

import "syscall"

const locale = "en_US.UTF-8"

// ownGroup keeps the terminal's interrupt away from the server, which we stop
// ourselves. When we are killed the server lives on; the next start joins it.
func ownGroup() *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Setpgid: true}
}

func worksElsewhere(int, string) bool { return false }
