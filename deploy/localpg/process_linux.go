package localpg

import (
	"os"
	"strconv"
	"syscall"
)

const locale = "C.UTF-8"

// ownGroup keeps the terminal's interrupt away from the server, which we stop
// ourselves, and has the system shut the server down when we are killed.
func ownGroup() *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGINT}
}

// worksElsewhere reports whether process pid is certainly not the server of
// the data folder: a server works in its folder.
func worksElsewhere(pid int, data string) bool {
	folder, err := os.Readlink("/proc/" + strconv.Itoa(pid) + "/cwd")
	return err == nil && folder != data
}
