package api

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"runtime/debug"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

const (
	requestKey = "request" // our name of the request, in the context of echo
	actorKey   = "actor"   // the account id of who is signed in
)

// contentPolicy lets pages load only what this server itself serves.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; " +
	"manifest-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'; require-trusted-types-for 'script'"

// recoverPanic turns a panic into an error with its stack, for the log.
func (s *server) recoverPanic(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) (err error) {
		defer func() {
			p := recover()
			if p == nil {
				return
			}
			if cause, ok := p.(error); ok && errors.Is(cause, http.ErrAbortHandler) {
				panic(p) // net/http's own word for: drop the connection
			}
			err = fmt.Errorf("api: panic: %v\n%s", p, debug.Stack())
		}()
		return next(c)
	}
}

// nameRequest gives the request a name of ours, whatever the client calls it.
func nameRequest(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		name := strings.ToLower(rand.Text())
		c.Set(requestKey, name)
		c.Response().Header().Set("X-Request-Id", name)
		return next(c)
	}
}

func requestName(c echo.Context) string {
	name, _ := c.Get(requestKey).(string)
	return name
}

// logRequest writes one line a request: never a body, a token or an address.
func (s *server) logRequest(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		start := time.Now()
		status := http.StatusInternalServerError // a panic is on its way, if nothing else is said
		defer func() {
			attrs := []slog.Attr{
				slog.String("request", requestName(c)), slog.String("method", c.Request().Method),
				slog.String("route", c.Path()), slog.Int("status", status),
				slog.Float64("ms", float64(time.Since(start).Microseconds())/1e3), slog.Int64("bytes", c.Response().Size),
			}
			if id, ok := c.Get(actorKey).(domain.AccountID); ok {
				attrs = append(attrs, slog.Int64("account", int64(id)))
			}
			s.log.LogAttrs(c.Request().Context(), slog.LevelInfo, "request", attrs...)
		}()
		if err := next(c); err != nil {
			c.Error(err) // answers here, so that the line has the status
		}
		status = c.Response().Status
		return nil
	}
}

func (s *server) secureHeaders(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		h := c.Response().Header()
		h.Set("Content-Security-Policy", contentPolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		if strings.HasPrefix(s.origin, "https:") {
			h.Set("Strict-Transport-Security", "max-age=31536000")
		}
		h.Set("Cache-Control", "no-store") // until a handler says otherwise
		return next(c)
	}
}

func limitBody(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := c.Request()
		most, _ := room(c)
		if r.ContentLength > most {
			return tooLarge(most)
		}
		r.Body = http.MaxBytesReader(c.Response(), r.Body, most)
		return next(c)
	}
}

func (s *server) limitTime(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		most := s.patience
		if _, long := room(c); long {
			most += uploadPatience
		}
		if moves(c) {
			most += exportPatience
		}
		ctx, cancel := context.WithTimeout(c.Request().Context(), most)
		defer cancel()
		c.SetRequest(c.Request().WithContext(ctx))
		return next(c)
	}
}

// addressOf believes X-Forwarded-For from the named proxies alone.
func addressOf(proxies []netip.Prefix) echo.IPExtractor {
	if len(proxies) == 0 {
		return echo.ExtractIPDirect()
	}
	trust := []echo.TrustOption{echo.TrustLoopback(false), echo.TrustLinkLocal(false), echo.TrustPrivateNet(false)}
	for _, p := range proxies {
		p = p.Masked()
		trust = append(trust, echo.TrustIPRange(&net.IPNet{
			IP: p.Addr().AsSlice(), Mask: net.CIDRMask(p.Bits(), p.Addr().BitLen()),
		}))
	}
	return echo.ExtractIPFromXFFHeader(trust...)
}

// networkOf returns what one caller has of the network: an address, or the /64
// of an IPv6 address, in which one caller has them all.
func networkOf(c echo.Context) string {
	addr, err := netip.ParseAddr(c.RealIP())
	if err != nil {
		return "unknown"
	}
	addr = addr.Unmap().WithZone("")
	if addr.Is4() {
		return addr.String()
	}
	return netip.PrefixFrom(addr, 64).Masked().String()
}
