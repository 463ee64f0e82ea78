package main

import (
	"errors"
	"fmt"

	"github.com/spf13/pflag"

	"steadfall/internal/quantity"
)

// number is a flag for a number between two. What is none, is not finite or lies outside is
// refused.
type number struct {
	of          *float64
	least, most float64
	hint        func(text string) string // for a text that is no number; may be nil
}

// numberFlag adds a flag for a number that is at least and at most so much; not given it is 0.
func numberFlag(f *pflag.FlagSet, of *float64, name string, least, most float64, usage string) {
	f.Var(&number{of, least, most, nil}, name, usage)
}

// statureFlag adds the flag for how tall an athlete is.
func statureFlag(f *pflag.FlagSet, of *float64, name, usage string) {
	f.Var(&number{of, 80, 250, quantity.FromFeet}, name, usage)
}

func (n *number) Set(text string) error {
	v, err := quantity.Number(text)
	switch {
	case err != nil && n.hint != nil && n.hint(text) != "":
		return errors.New(n.hint(text))
	case err != nil:
		return fmt.Errorf("must be a number between %g and %g: %w", n.least, n.most, err)
	case v < n.least || v > n.most:
		return fmt.Errorf("must be between %g and %g, not %g", n.least, n.most, v)
	}
	*n.of = v
	return nil
}

func (n *number) String() string { return "" }

func (n *number) Type() string { return "number" }

// flagWords say in a plain sentence what is wrong with a flag's value.
func flagWords(err error) error {
	var bad *pflag.InvalidValueError
	if !errors.As(err, &bad) {
		return err
	}
	name, cause := bad.GetFlag().Name, errors.Unwrap(bad)
	switch bad.GetFlag().Value.Type() {
	case "int":
		return fmt.Errorf("--%s must be a whole number, not %q", name, bad.GetValue())
	case "bool":
		return fmt.Errorf("--%s is either said or not, without a value such as %q", name, bad.GetValue())
	case "number":
		return fmt.Errorf("--%s %w", name, cause)
	}
	return fmt.Errorf("--%s: %w", name, cause)
}
