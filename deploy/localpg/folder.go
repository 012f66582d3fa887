package localpg

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// rootsFolder is where root's clusters live when the folder asked for lies
// where the server's account cannot go, such as root's home.
const rootsFolder = "/var/lib/leat"

// Folder returns where the cluster of a data folder lives: in the folder
// itself, or, for root, in a folder of its own under /var/lib/leat when the
// account that runs the server cannot enter the folder.
func Folder(wanted string) (string, error) {
	full, err := filepath.Abs(wanted)
	if err != nil {
		return "", fmt.Errorf("localpg: %w", err)
	}
	if os.Geteuid() != 0 {
		return full, nil
	}
	who, err := findAccount()
	if err != nil {
		return "", err
	}
	if who.canEnter(full) {
		return full, nil
	}
	name := filepath.Base(filepath.Dir(full)) + "-" + shortHash(full)
	return filepath.Join(rootsFolder, name), nil
}

// canEnter reports whether the account may pass through a folder and all that
// lie above it. What does not exist yet will be made for it.
func (a account) canEnter(folder string) bool {
	for dir := folder; ; dir = filepath.Dir(dir) {
		info, err := os.Stat(dir)
		if err == nil && !a.maySearch(info) {
			return false
		}
		if err != nil && !os.IsNotExist(err) {
			return false
		}
		if dir == filepath.Dir(dir) {
			return true
		}
	}
}

func (a account) maySearch(info os.FileInfo) bool {
	mode := info.Mode().Perm()
	stat, ok := info.Sys().(*syscall.Stat_t)
	switch {
	case ok && int(stat.Uid) == a.uid:
		return mode&0o100 != 0
	case ok && int(stat.Gid) == a.gid:
		return mode&0o010 != 0
	}
	return mode&0o001 != 0
}

// socketFolder is short, because a socket's path may have 107 bytes at most.
func socketFolder(folder string) string {
	return filepath.Join("/tmp", "leat-"+shortHash(folder))
}

func shortHash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:5])
}
