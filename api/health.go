package api

import (
	_ "embed"
	"fmt"
	"net/http"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

var errNotReady = &httpError{http.StatusServiceUnavailable, "not-ready",
	"The server runs, but its database doesn't answer or has another schema. Whoever keeps it finds the reason in the log."}

//go:embed openapi.yaml
var contractText []byte

type stateAnswer struct {
	State string `json:"state"`
}

func (s *server) healthz(c echo.Context, _ domain.Actor) error {
	return ok(c, stateAnswer{"running"})
}

func (s *server) readyz(c echo.Context, _ domain.Actor) error {
	if err := s.notebook.Ready(c.Request().Context()); err != nil {
		return fmt.Errorf("%w: %w", errNotReady, err)
	}
	return ok(c, stateAnswer{"ready"})
}

func (s *server) contract(c echo.Context, _ domain.Actor) error {
	return c.Blob(http.StatusOK, "application/yaml", contractText)
}
