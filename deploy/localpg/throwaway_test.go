package localpg

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestThrowawayIsGoneAfterStop(t *testing.T) {
	t.Parallel()
	needServer(t)
	s := startSupervisor(t, "")
	require.Equal(t, "off", query(t, s.url, "SHOW fsync"))
	s.stop(t)
	require.NoDirExists(t, s.folder)
}

func TestThrowawayOfAKilledProcessIsSwept(t *testing.T) {
	t.Parallel()
	needServer(t)
	killed := startSupervisor(t, "")
	killed.kill(t)
	require.DirExists(t, killed.folder)
	next := startSupervisor(t, "")
	require.NoDirExists(t, killed.folder)
	require.DirExists(t, next.folder)
}

func TestSweepTouchesOnlyWhatItRecorded(t *testing.T) {
	t.Parallel()
	needServer(t)
	register, err := openRegister()
	require.NoError(t, err)
	bystander := filepath.Join(t.TempDir(), "bystander")
	require.NoError(t, os.Mkdir(bystander, 0o700))
	entry := filepath.Join(register, testPrefix+"forged")
	require.NoError(t, os.WriteFile(entry, []byte(bystander), 0o600))
	startSupervisor(t, "")
	require.NoFileExists(t, entry)
	require.DirExists(t, bystander)
}
