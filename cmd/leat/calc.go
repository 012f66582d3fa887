package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"leat/calc"
	"leat/calc/reckon"
)

const calcUsage = `usage: leat calc                     list every calculation
       leat calc NAME < input.json    run one
       leat calc -batch < lines.ndjson  run many, {"calc": NAME, "input": {...}} a line
       leat calc -describe NAME       inputs, outputs, equation, validity, sources`

// calculate runs named calculations. It ends with 0 when the answer is ok, 1
// when it is not, 2 for wrong usage or text that is not JSON.
func calculate(_ context.Context, args []string, io streams) error {
	var names []string
	var batch, describe bool
	for _, arg := range args {
		switch {
		case arg == "-batch" || arg == "--batch":
			batch = true
		case arg == "-describe" || arg == "--describe":
			describe = true
		case strings.HasPrefix(arg, "-"):
			return misused(io, "there is no option "+arg)
		default:
			names = append(names, arg)
		}
	}
	switch {
	case batch && !describe && len(names) == 0:
		return calcBatch(io)
	case describe && !batch && len(names) == 1:
		return calcDescribe(names[0], io)
	case !batch && !describe && len(names) == 1:
		return calcOne(names[0], io)
	case len(args) == 0:
		return calcList(io)
	}
	return misused(io, "these arguments do not go together")
}

func misused(io streams, why string) error {
	fmt.Fprintf(io.err, "leat calc: %s\n%s\n", why, calcUsage)
	return wrongUsage
}

func calcList(io streams) error {
	for _, d := range reckon.List() {
		if _, err := fmt.Fprintf(io.out, "%-28s %s\n", d.Name, d.Answers); err != nil {
			return err
		}
	}
	return nil
}

func calcDescribe(name string, io streams) error {
	d, ok := reckon.Describe(name)
	if !ok {
		return misused(io, fmt.Sprintf("there is no calculation %q; leat calc lists them", name))
	}
	out := json.NewEncoder(io.out)
	out.SetIndent("", "  ")
	out.SetEscapeHTML(false)
	return out.Encode(d)
}

func calcOne(name string, io streams) error {
	raw, err := readAll(io.in)
	if err != nil {
		return err
	}
	if !json.Valid(raw) {
		return misused(io, "the input is not JSON")
	}
	answer, err := reckoned(name, raw)
	if err != nil {
		return err
	}
	if err := writeAnswer(io.out, answer); err != nil {
		return err
	}
	if !answer.OK {
		return answeredNo
	}
	return nil
}

func readAll(in io.Reader) ([]byte, error) {
	var text bytes.Buffer
	_, err := text.ReadFrom(in)
	return text.Bytes(), err
}

// reckoned answers one calculation; an unknown name is an answer too.
func reckoned(name string, raw json.RawMessage) (calc.Answer, error) {
	answer, ok, err := reckon.Run(name, raw)
	if err == nil && !ok {
		answer = calc.Refuse([]calc.Fault{{Code: calc.UnknownCalc, Message: fmt.Sprintf("There is no calculation %q; leat calc lists them.", name)}})
	}
	return answer, err
}

func writeAnswer(out io.Writer, answer calc.Answer) error {
	enc := json.NewEncoder(out)
	enc.SetEscapeHTML(false)
	return enc.Encode(answer)
}

// request is one line of a batch.
type request struct {
	Calc  string          `json:"calc"`
	Input json.RawMessage `json:"input"`
}

// calcBatch answers line by line, in order. A line that is no request is
// answered with a fault, and the next one is read.
func calcBatch(io streams) (err error) {
	in := bufio.NewReader(io.in)
	out := bufio.NewWriter(io.out)
	defer func() {
		if flushErr := out.Flush(); err == nil {
			err = flushErr
		}
	}()
	for {
		line, readErr := in.ReadBytes('\n')
		if len(bytes.TrimSpace(line)) > 0 {
			answer, err := answerLine(line)
			if err != nil {
				return err
			}
			if err := writeAnswer(out, answer); err != nil {
				return err
			}
		}
		if readErr != nil {
			return endOfInput(readErr)
		}
		if in.Buffered() == 0 { // somebody may be waiting for this answer
			if err := out.Flush(); err != nil {
				return err
			}
		}
	}
}

func endOfInput(err error) error {
	if err == io.EOF { //nolint:errorlint // bufio returns it as it is
		return nil
	}
	return err
}

func answerLine(line []byte) (calc.Answer, error) {
	var r request
	dec := json.NewDecoder(bytes.NewReader(line))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&r); err != nil || r.Input == nil {
		return calc.Refuse([]calc.Fault{{Code: calc.Missing, Message: `A line must be one JSON object: {"calc": NAME, "input": {...}}.`}}), nil
	}
	return reckoned(r.Calc, r.Input)
}
