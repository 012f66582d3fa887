package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"

	"leat/calc"
	"leat/calc/evidence"
	"leat/calc/interval"
	"leat/calc/trompe"
)

// calcUncertain runs the calculation "trompe" with its intervals. The options
// may stand before the name and after it.
func calcUncertain(args []string, std streams) error {
	var asked interval.Asked
	flags := flag.NewFlagSet("leat calc", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	flags.IntVar(&asked.Draws, "draws", interval.Draws, "")
	flags.Func("seed", "", func(text string) error {
		seed, err := evidence.ParseSeed(text)
		asked.Seed = &seed
		return err
	})
	flags.Func("set", "", func(path string) (err error) {
		asked.Set, err = readSet(path)
		return err
	})
	var names []string
	for len(args) > 0 {
		if err := flags.Parse(args); err != nil {
			return misused(std, err.Error())
		}
		if args = flags.Args(); len(args) > 0 {
			names, args = append(names, args[0]), args[1:]
		}
	}
	if len(names) != 1 || names[0] != "trompe" {
		return misused(std, "intervals are for the one calculation trompe")
	}
	if asked.Draws < interval.Least || asked.Draws > interval.Most {
		return misused(std, fmt.Sprintf("-draws must be between %d and %d", interval.Least, interval.Most))
	}
	return answerInput(std, func(raw json.RawMessage) calc.Answer {
		answer, err := interval.Calculate(raw, asked)
		if err != nil {
			return defect(err)
		}
		return answer
	})
}

func readSet(path string) (*trompe.Set, error) {
	text, err := os.ReadFile(path) //nolint:gosec // the path is the user's own
	if err != nil {
		return nil, err
	}
	set, err := trompe.ParseSet(text)
	if err != nil {
		return nil, err
	}
	return set, set.Usable()
}
