package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"leat/calc"
	"leat/calc/reckon"
)

const calcUsage = `usage: leat calc                     list every calculation
       leat calc NAME < input.json    run one
       leat calc -batch < lines.ndjson  run many, {"calc": NAME, "input": {...}} a line
       leat calc -describe NAME       inputs, outputs, equation, validity, sources
       leat calc trompe -uncertainty [-draws 512] [-seed HEX] [-set set.json] < input.json
                                      adds the 95 % intervals`

// calculate runs named calculations. It ends with 0 when the answer is ok, 1
// when it is not, 2 for wrong usage or text that is not JSON.
func calculate(_ context.Context, args []string, io streams) error {
	if i := slices.IndexFunc(args, func(arg string) bool { return strings.TrimLeft(arg, "-") == "uncertainty" }); i >= 0 {
		return calcUncertain(slices.Delete(slices.Clone(args), i, i+1), io)
	}
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
	return answerInput(io, func(raw json.RawMessage) calc.Answer { return reckoned(name, raw) })
}

// answerInput answers what stands on the standard input.
func answerInput(io streams, reckoned func(json.RawMessage) calc.Answer) error {
	raw, err := readAll(io.in)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(raw, new(json.RawMessage)); err != nil {
		return misused(io, fmt.Sprintf("the input is not one JSON value: %v", err))
	}
	answer := reckoned(raw)
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

// reckoned answers one calculation. An unknown name is an answer too, and so is
// a defect of leat: it must not take the rest of a batch along.
func reckoned(name string, raw json.RawMessage) calc.Answer {
	answer, ok, err := reckon.Run(name, raw)
	switch {
	case err != nil:
		return defect(err)
	case !ok:
		return refused(calc.UnknownCalc, "/calc", fmt.Sprintf("There is no calculation %q; leat calc lists them.", name))
	}
	return answer
}

func defect(err error) calc.Answer {
	return refused(calc.Bound, "", fmt.Sprintf("leat has a defect and found no answer to stand by: %v. Please report it with this input.", err))
}

func refused(code calc.FaultCode, at, message string) calc.Answer {
	return calc.Refuse([]calc.Fault{{Code: code, At: at, Message: message}})
}

func writeAnswer(out io.Writer, answer calc.Answer) error {
	enc := json.NewEncoder(out)
	enc.SetEscapeHTML(false)
	return enc.Encode(answer)
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
			if err := writeAnswer(out, answerLine(line)); err != nil {
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

const lineForm = `A line must be one JSON object, {"calc": NAME, "input": {...}}`

// answerLine answers one request of a batch.
func answerLine(line []byte) calc.Answer {
	var request map[string]json.RawMessage
	if err := json.Unmarshal(line, &request); err != nil {
		return refused(calc.UnknownValue, "", fmt.Sprintf("%s: %v.", lineForm, err))
	}
	for _, field := range slices.Sorted(maps.Keys(request)) {
		if field != "calc" && field != "input" {
			return refused(calc.UnknownField, "/"+field, lineForm+".")
		}
	}
	for _, field := range []string{"calc", "input"} {
		if request[field] == nil {
			return refused(calc.Missing, "/"+field, lineForm+".")
		}
	}
	var name string
	if err := json.Unmarshal(request["calc"], &name); err != nil {
		return refused(calc.UnknownValue, "/calc", "The name of a calculation is text, such as \"trompe\".")
	}
	return reckoned(name, request["input"])
}
