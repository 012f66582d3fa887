package main

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"net/url"
	"os"
	"strings"
)

// config is every setting of leat. Each comes from an environment variable, or
// from the file that the variable's name with _FILE behind it names.
type config struct {
	databaseURL    string
	listen         string
	publicURL      *url.URL
	tlsCert        string
	tlsKey         string
	tokenKeys      string
	trustedProxies []netip.Prefix
	migrate        bool
	data           string
	postgresBin    string
}

// settings lists the variables, in the order of the README's table.
var settings = []string{
	"LEAT_DATABASE_URL", "LEAT_LISTEN", "LEAT_PUBLIC_URL", "LEAT_TLS_CERT", "LEAT_TLS_KEY", "LEAT_TOKEN_KEYS",
	"LEAT_TRUSTED_PROXIES", "LEAT_MIGRATE", "LEAT_DATA", "LEAT_POSTGRES_BIN",
}

// readConfig reads all settings and reports everything that is wrong at once.
func readConfig(env func(string) string) (config, error) {
	var faults []error
	value := func(name, preset string) string {
		v, err := setting(env, name)
		faults = append(faults, err)
		if v == "" {
			return preset
		}
		return v
	}
	c := config{
		databaseURL: value("LEAT_DATABASE_URL", ""),
		listen:      value("LEAT_LISTEN", "localhost:8080"),
		tlsCert:     value("LEAT_TLS_CERT", ""),
		tlsKey:      value("LEAT_TLS_KEY", ""),
		tokenKeys:   value("LEAT_TOKEN_KEYS", ""),
		data:        value("LEAT_DATA", "data"),
		postgresBin: value("LEAT_POSTGRES_BIN", ""),
	}
	here, err := localAddress(c.listen)
	faults = append(faults, err)
	c.publicURL, err = readPublicURL(value("LEAT_PUBLIC_URL", here))
	faults = append(faults, err)
	c.trustedProxies, err = readProxies(value("LEAT_TRUSTED_PROXIES", ""))
	faults = append(faults, err)
	c.migrate, err = readBool("LEAT_MIGRATE", value("LEAT_MIGRATE", "false"))
	faults = append(faults, err)
	if (c.tlsCert == "") != (c.tlsKey == "") {
		faults = append(faults, errors.New("LEAT_TLS_CERT and LEAT_TLS_KEY go together: set both, or neither"))
	}
	return c, errors.Join(faults...)
}

func setting(env func(string) string, name string) (string, error) {
	plain, path := env(name), env(name+"_FILE")
	if path == "" {
		return plain, nil
	}
	if plain != "" {
		return "", fmt.Errorf("%s and %s_FILE are both set: keep one", name, name)
	}
	text, err := os.ReadFile(path) //nolint:gosec // the path is the keeper's own setting
	if err != nil {
		return "", fmt.Errorf("%s_FILE: %w", name, err)
	}
	return strings.TrimSpace(string(text)), nil
}

// localAddress is how a browser on this machine reaches what listens there.
func localAddress(listen string) (string, error) {
	host, port, err := net.SplitHostPort(listen)
	if err != nil {
		return "http://localhost", fmt.Errorf("LEAT_LISTEN: %q is not an address with a port, such as localhost:8080 or :8080", listen)
	}
	if !isLocal(host) {
		host = "localhost"
	}
	return "http://" + net.JoinHostPort(host, port), nil
}

func readPublicURL(text string) (*url.URL, error) {
	u, err := url.Parse(text)
	if err != nil || (u.Scheme != "http" && u.Scheme != "https") || u.Host == "" || strings.Trim(u.Path, "/") != "" {
		return nil, fmt.Errorf("LEAT_PUBLIC_URL: %q is not an address such as https://leat.example", text)
	}
	return u, nil
}

func readProxies(text string) (list []netip.Prefix, err error) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' }) {
		prefix, parseErr := netip.ParsePrefix(word)
		if parseErr != nil {
			err = errors.Join(err, fmt.Errorf("LEAT_TRUSTED_PROXIES: %q is not a network such as 10.0.0.0/8", word))
			continue
		}
		list = append(list, prefix)
	}
	return list, err
}

func readBool(name, text string) (bool, error) {
	switch text {
	case "true":
		return true, nil
	case "false":
		return false, nil
	}
	return false, fmt.Errorf("%s: %q is neither true nor false", name, text)
}

// signInWorks returns an error where a browser would not keep the cookie of a
// sign-in.
func (c config) signInWorks() error {
	if c.publicURL.Scheme == "http" && !isLocal(c.publicURL.Hostname()) {
		return errors.New("sign-in does not work over plain http away from this machine: set up https, see the README")
	}
	return nil
}
