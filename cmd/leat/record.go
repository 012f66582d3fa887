package main

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"

	"leat/domain"
	"leat/domain/digest"
)

// record proves that nothing that was signed has been changed since, or names
// the first that was. Given a head from a certificate or a backup, it also tells
// whether the record still goes through it.
func record(ctx context.Context, args []string, io streams) (err error) {
	var paper *digest.Sum
	switch {
	case len(args) == 1 && args[0] == "verify":
	case len(args) == 3 && args[0] == "verify" && args[1] == "-head":
		if paper, err = sumOf(args[2]); err != nil {
			return err
		}
	default:
		fmt.Fprintln(io.err, "usage: leat record verify [-head SUM]")
		return wrongUsage
	}
	notes, end, err := openNotebook(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, end()) }()
	head, err := notes.VerifyRecord(ctx, paper)
	if broken, ok := errors.AsType[domain.BrokenRecord](err); ok {
		fmt.Fprintf(io.out, "The record is broken: %s.\n", broken)
		return answeredNo
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(io.out, "The record holds: %d signed acts, nothing that was signed has been changed since.\nIts head is %s.\n", head.Number, head.Sum)
	return err
}

func sumOf(text string) (*digest.Sum, error) {
	raw, err := hex.DecodeString(text)
	if err != nil || len(raw) != len(digest.Sum{}) {
		return nil, fmt.Errorf("the head is not 64 hexadecimal digits: copy it from the paper again")
	}
	return (*digest.Sum)(raw), nil
}
