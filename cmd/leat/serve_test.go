package main

import (
	"bufio"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"fmt"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain/notebook"
	"leat/domain/store/storetest"
)

func database(t *testing.T) []string {
	return on(storetest.New(t))
}

// emptyDatabase has no schema at all.
func emptyDatabase(t *testing.T) []string { return on(emptied(t)) }

func emptied(t *testing.T) *storetest.DB {
	db := storetest.New(t)
	db.Exec(t, "DROP SCHEMA public CASCADE")
	db.Exec(t, "CREATE SCHEMA public")
	return db
}

func on(db *storetest.DB) []string { return []string{"LEAT_DATABASE_URL=" + db.URL} }

func TestFirstStartPrintsTheKeepersCode(t *testing.T) {
	t.Parallel()
	env := database(t)
	s := start(t, env, "serve")
	require.Equal(t, http.StatusOK, s.status(t, "/healthz"))
	require.Equal(t, http.StatusOK, s.status(t, "/readyz"))
	code := regexp.MustCompile(`\b[0-9A-Z]{4}-[0-9A-Z]{4}-[0-9A-Z]{4}\b`).FindString(s.greeted)
	require.NotEmpty(t, code, s.greeted)
	keeper := `{"code": %q, "name": "Mara Fenn", "address": "mara@thornwick.example", "password": "seven wet millstones"}`
	status, body := s.post(t, "/api/v1/setup/keeper", fmt.Sprintf(keeper, code))
	require.Equal(t, http.StatusCreated, status, body)
	s.stop(t)

	s = start(t, env, "serve")
	require.NotContains(t, s.greeted, "keeper")
	require.Equal(t, http.StatusCreated, s.signIn(t, "mara@thornwick.example", "seven wet millstones"))
	s.stop(t)
	refused := run(t, env, "", "user", "keeper-code")
	require.Equal(t, 1, refused.status)
	require.Empty(t, refused.out)

	none := run(t, env, "", "user", "reset-code", "nobody@thornwick.example")
	require.Equal(t, 1, none.status)
	require.Contains(t, none.err, "No keeper has this address")
	reset := run(t, env, "", "user", "reset-code", "mara@thornwick.example")
	require.Zero(t, reset.status, reset.err)
	s = start(t, env, "serve")
	status, body = s.post(t, "/api/v1/password-reset", fmt.Sprintf(`{"code": %q, "password": "eight dry millstones"}`, strings.TrimSpace(reset.out)))
	require.Equal(t, http.StatusCreated, status, body)
	require.Equal(t, http.StatusCreated, s.signIn(t, "mara@thornwick.example", "eight dry millstones"))
	s.stop(t)
}

func TestNewCodeReplacesTheOld(t *testing.T) {
	t.Parallel()
	env := database(t)
	first := run(t, env, "", "user", "keeper-code")
	second := run(t, env, "", "user", "keeper-code")
	require.Zero(t, first.status, first.err)
	require.Regexp(t, `^[0-9A-Z]{4}-[0-9A-Z]{4}-[0-9A-Z]{4}\n$`, second.out)
	require.NotEqual(t, first.out, second.out)
}

func TestStopFinishesARunningRequest(t *testing.T) {
	t.Parallel()
	s := start(t, database(t), "serve")
	conn, err := net.Dial("tcp", s.address)
	require.NoError(t, err)
	defer conn.Close()
	body := `{"address": "nobody@thornwick.example", "password": "seven wet millstones"}`
	_, err = fmt.Fprintf(conn, "POST /api/v1/session HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n%s",
		s.address, len(body), body[:20])
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, s.status(t, "/healthz"), "the server has turned to the connections it accepted before")
	require.NoError(t, s.cmd.Process.Signal(syscall.SIGTERM))
	require.Eventually(t, func() bool { return !accepts(s.address) }, 10*time.Second, 10*time.Millisecond, "no new ones")
	_, err = conn.Write([]byte(body[20:]))
	require.NoError(t, err)
	answer, err := http.ReadResponse(bufio.NewReader(conn), nil)
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.Equal(t, http.StatusUnauthorized, answer.StatusCode)
	s.ended(t)
}

func accepts(address string) bool {
	conn, err := net.Dial("tcp", address)
	if err != nil {
		return false
	}
	return conn.Close() == nil
}

func TestServeWantsTheSchema(t *testing.T) {
	t.Parallel()
	env := emptyDatabase(t)
	refused := run(t, env, "", "serve")
	require.Equal(t, 1, refused.status)
	require.Contains(t, refused.err, "leat migrate")
	done := run(t, env, "", "migrate")
	require.Zero(t, done.status, done.err)
	again := run(t, env, "", "migrate")
	require.Zero(t, again.status, again.err)
	start(t, env, "serve").stop(t)
}

func TestServeMigratesWhenAsked(t *testing.T) {
	t.Parallel()
	start(t, append(emptyDatabase(t), "LEAT_MIGRATE=true"), "serve").stop(t)
}

// Loading the invented group takes seconds, so its database serves for both.
func TestDemoPeopleEnterOnlyATryAndAreBackedUp(t *testing.T) {
	t.Parallel()
	db := emptied(t)
	env := on(db)
	someone := notebook.DemoPeople()[0].Address
	s := start(t, env, "try")
	require.Contains(t, s.greeted, someone)
	require.Contains(t, s.greeted, notebook.DemoPassword)
	require.Equal(t, http.StatusCreated, s.signIn(t, someone, notebook.DemoPassword))
	s.stop(t)

	s = start(t, env, "try")
	require.NotContains(t, s.greeted, "Loaded", "the demo group is loaded once")
	require.Equal(t, http.StatusCreated, s.signIn(t, someone, notebook.DemoPassword))
	s.stop(t)

	s = start(t, env, "serve")
	require.Equal(t, http.StatusUnauthorized, s.signIn(t, someone, notebook.DemoPassword))
	s.stop(t)

	t.Run("backup", func(t *testing.T) { isBackedUp(t, db) })
}

func TestTryStaysOnThisMachine(t *testing.T) {
	t.Parallel()
	for _, listen := range []string{":8080", "0.0.0.0:8080", "192.0.2.1:8080", "nonsense"} {
		refused := run(t, []string{"LEAT_LISTEN=" + listen, "LEAT_DATA=" + t.TempDir()}, "", "try")
		require.Equal(t, 1, refused.status, listen)
		require.Contains(t, refused.err, "LEAT_LISTEN", listen)
	}
}

func TestServeOverTLS(t *testing.T) {
	t.Parallel()
	cert, key, pool := certificate(t)
	s := start(t, database(t), "serve", "-cert", cert, "-key", key)
	client := http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool, ServerName: "localhost"}}}
	answer, err := client.Get("https://" + s.address + "/readyz")
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.Equal(t, http.StatusOK, answer.StatusCode)
	client.CloseIdleConnections()
	s.stop(t)
}

// certificate makes one for localhost that signs itself.
func certificate(t *testing.T) (cert, key string, pool *x509.CertPool) {
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	template := &x509.Certificate{
		SerialNumber: big.NewInt(1), DNSNames: []string{"localhost"},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, private.Public(), private)
	require.NoError(t, err)
	privateDER, err := x509.MarshalPKCS8PrivateKey(private)
	require.NoError(t, err)
	cert, key = filepath.Join(t.TempDir(), "cert.pem"), filepath.Join(t.TempDir(), "key.pem")
	certPEM := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})
	require.NoError(t, os.WriteFile(cert, certPEM, 0o600))
	require.NoError(t, os.WriteFile(key, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: privateDER}), 0o600))
	pool = x509.NewCertPool()
	require.True(t, pool.AppendCertsFromPEM(certPEM))
	return cert, key, pool
}

func TestNothingRunsWithoutADatabase(t *testing.T) {
	t.Parallel()
	for _, args := range [][]string{{"serve"}, {"migrate"}, {"user", "keeper-code"}, {"backup", "-"}} {
		refused := run(t, nil, "", args...)
		require.Equal(t, 1, refused.status)
		require.Contains(t, refused.err, "LEAT_DATABASE_URL")
	}
}

func TestWrongUsage(t *testing.T) {
	t.Parallel()
	for _, args := range [][]string{{}, {"plough"}, {"migrate", "down"}, {"user"}, {"try", "now"}, {"serve", "-port", "1"}, {"backup"}, {"restore"}, {"inspect", "all"}} {
		refused := run(t, nil, "", args...)
		require.Equal(t, 2, refused.status, args)
		require.NotEmpty(t, refused.err, args)
	}
}
