package main

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"stillroom/app/take"
	"stillroom/dsp/response"
)

// reading is how analyze and take read a recording.
type reading struct {
	gate      string
	smoothing int
	orders    int
	at        string
	plot      string
	re        string
	metre     bool
}

// add declares the flags of a reading, with the usual gate.
func (r *reading) add(cmd *cobra.Command, gate string) {
	flags := cmd.Flags()
	flags.StringVar(&r.gate, "gate", gate, `close the gate so long after the arrival ("5ms"), before the first reflection ("auto"), or not at all ("none")`)
	flags.IntVar(&r.smoothing, "smoothing", 24, "average over 1/n octave; 0: not at all")
	flags.IntVar(&r.orders, "orders", 9, "highest harmonic order, 2 to 9; 0: none")
	flags.StringVar(&r.at, "at", "", `read at these frequencies in Hz, "31.5,63,1000", unsmoothed unless --smoothing is named`)
	flags.StringVar(&r.re, "re", "", "what levels are re, where the rig is calibrated: spl, 2.83V, 1W, dB/V or dB/mW; the stimulus where not named")
	flags.BoolVar(&r.metre, "one-metre", false, "bring sound pressure to 1 m")
	flags.StringVar(&r.plot, "plot", "", "draw the charts to this file (.png, .svg or .pdf)")
}

// settings turns the flags into settings, and the frequencies to read at.
func (r *reading) settings(cmd *cobra.Command, rateHz float64) (take.Settings, []float64, error) {
	set := take.Settings{Smoothing: r.smoothing, Orders: r.orders, Level: take.Level(r.re), OneMetre: r.metre}
	if !slices.Contains(take.Levels(), set.Level) {
		return set, nil, usageError("--re %q: levels can be re the stimulus (leave it out), or spl, 2.83V, 1W, dB/V, dB/mW", r.re)
	}
	var err error
	if set.Gate, err = parseGate(r.gate); err != nil {
		return set, nil, err
	}
	frequencies := response.Grid(rateHz)
	if r.at != "" {
		if frequencies, err = parseFrequencies(r.at, rateHz); err != nil {
			return set, nil, err
		}
		if !cmd.Flags().Changed("smoothing") {
			set.Smoothing = 0
		}
	}
	if err := set.Check(); err != nil {
		return set, nil, usageError("%w", err)
	}
	if r.plot != "" && drawer(r.plot) == nil {
		return set, nil, usageError("--plot %q: name a file that ends in .png, .svg or .pdf", r.plot)
	}
	return set, frequencies, nil
}

func parseGate(text string) (take.Gate, error) {
	switch text {
	case "", "none":
		return take.Ungated(), nil
	case "auto":
		return take.Gate{Auto: true}, nil
	}
	length, err := time.ParseDuration(text)
	if err != nil || length <= 0 {
		return take.Gate{}, usageError(`--gate %q: give a time with its unit, such as 5ms, or "auto" or "none"`, text)
	}
	return take.Closing(length.Seconds()), nil
}

func parseFrequencies(text string, rateHz float64) ([]float64, error) {
	var out []float64
	for _, part := range strings.Split(text, ",") {
		f, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil || !(f > 0) || math.IsInf(f, 0) {
			return nil, usageError("--at: %q is not a frequency: give numbers in Hz with commas between them", strings.TrimSpace(part))
		}
		if f >= rateHz/2 {
			return nil, usageError("--at: %g Hz is not below half the sample rate of %g Hz", f, rateHz)
		}
		out = append(out, f)
	}
	return out, nil
}

// seconds is a flag that takes a time with its unit, or a plain number of seconds.
type seconds float64

func (s *seconds) String() string { return strconv.FormatFloat(float64(*s), 'g', -1, 64) + "s" }
func (s *seconds) Type() string   { return "time" }

func (s *seconds) Set(text string) error {
	if v, err := strconv.ParseFloat(text, 64); err == nil {
		*s = seconds(v)
		return nil
	}
	d, err := time.ParseDuration(text)
	if err != nil {
		return fmt.Errorf("give a time with its unit, such as 2.7s or 500ms")
	}
	*s = seconds(d.Seconds())
	return nil
}
