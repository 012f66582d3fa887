package localpg

import (
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"strconv"
	"syscall"
)

// serverAccount runs the server when leat runs as root: PostgreSQL refuses to
// run as root itself. Its packages make this account.
const serverAccount = "postgres"

// account is who the server's programs run as.
type account struct {
	uid, gid int
	drop     bool // we are root and must step down to it
}

func findAccount() (account, error) {
	if os.Geteuid() != 0 {
		return ownAccount()
	}
	u, err := user.Lookup(serverAccount)
	if err != nil {
		return account{}, fmt.Errorf("localpg: PostgreSQL does not run as root, and there is no account %q to run it as: install the server package of your system, which makes it, or run leat as an ordinary user", serverAccount)
	}
	uid, err := strconv.Atoi(u.Uid)
	if err != nil {
		return account{}, fmt.Errorf("localpg: account %s: %w", serverAccount, err)
	}
	gid, err := strconv.Atoi(u.Gid)
	if err != nil {
		return account{}, fmt.Errorf("localpg: account %s: %w", serverAccount, err)
	}
	return account{uid: uid, gid: gid, drop: true}, nil
}

func ownAccount() (account, error) {
	a := account{uid: os.Geteuid(), gid: os.Getegid()}
	if _, err := user.LookupId(strconv.Itoa(a.uid)); err != nil {
		return account{}, fmt.Errorf("localpg: user id %d has no name on this machine, and PostgreSQL refuses to run without one: run leat as a user with an entry in /etc/passwd", a.uid)
	}
	return a, nil
}

// own hands a file over to the account.
func (a account) own(path string) error {
	if !a.drop {
		return nil
	}
	return os.Chown(path, a.uid, a.gid)
}

// makeFolder makes a folder that only the account can enter, or checks that an
// existing one is such a folder.
func (a account) makeFolder(path string) error {
	err := os.Mkdir(path, 0o700)
	if err == nil {
		return a.own(path)
	}
	if !os.IsExist(err) {
		return fmt.Errorf("localpg: %w", err)
	}
	return a.checkFolder(path)
}

func (a account) checkFolder(path string) error {
	info, err := os.Lstat(path)
	if err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	if !info.IsDir() {
		return fmt.Errorf("localpg: %s is in the way: a folder is needed there; move it elsewhere", path)
	}
	if stat, ok := info.Sys().(*syscall.Stat_t); ok && int(stat.Uid) != a.uid {
		return fmt.Errorf("localpg: %s belongs to user id %d, but the database would run as user id %d: start leat as the user who made it, or choose another data folder", path, stat.Uid, a.uid)
	}
	if info.Mode().Perm() != 0o700 {
		return fmt.Errorf("localpg: %s can be entered by others (mode %o): chmod 700 it, once you know why", path, info.Mode().Perm())
	}
	return nil
}

// command prepares one of PostgreSQL's programs: as the account, from a folder
// that every account can enter, and deaf to the PG variables of our caller.
func (a account) command(program string, args ...string) *exec.Cmd {
	cmd := exec.Command(program, args...)
	cmd.Dir = "/"
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "LC_ALL=" + locale, "TZ=UTC"}
	cmd.SysProcAttr = ownGroup()
	if a.drop {
		cmd.SysProcAttr.Credential = &syscall.Credential{Uid: uint32(a.uid), Gid: uint32(a.gid)}
	}
	return cmd
}
