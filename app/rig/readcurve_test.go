package rig

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// readFile reads one of the invented files.
func readFile(t *testing.T, name string) (Curve, error) {
	t.Helper()
	file, err := os.Open(filepath.Join("testdata", "curves", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	return ReadCurve(file)
}

// The same curve comes out of every shape of file.
func TestReadsEveryShape(t *testing.T) {
	plain := Curve{FrequencyHz: []float64{20, 100, 1000, 20000}, MagnitudeDB: []float64{-0.5, 0, 0.1, -1.25}}
	phased := plain
	phased.PhaseDeg = []float64{12.5, 3, -1, -40}
	with := func(c Curve, s *StatedSensitivity, remarks ...string) Curve {
		c.Sensitivity, c.Remarks = s, remarks
		return c
	}
	radians := plain
	for _, rad := range []float64{0.25, 0.5, 0, -0.5} {
		radians.PhaseDeg = append(radians.PhaseDeg, rad*(180/math.Pi))
	}
	for name, want := range map[string]Curve{
		"01-tabs.txt":                     plain,
		"02-spaces-phase.txt":             with(phased, nil, "Invented microphone, number 4711"),
		"03-commas.csv":                   plain,
		"04-semicolons-decimal-comma.csv": with(plain, nil, "Frequenz;Pegel"),
		"05-utf16.txt":                    plain,
		"06-bom-descending.txt":           with(plain, &StatedSensitivity{-0.9, DBFactor}),
		"07-kilohertz.txt":                plain,
		"08-duplicates.txt":               with(plain, nil, "taken at two places"),
		"09-cr-only.txt":                  with(plain, &StatedSensitivity{12.4, MilliVoltsPerPa}),
		"10-latin1.txt":                   with(phased, nil, "0° Messung für Mikrofon"),
		"11-quoted.csv":                   phased,
		"12-exponents-units.txt":          with(plain, &StatedSensitivity{-38.5, DBFullScale}),
		"13-two-headings-comma-blank.csv": radians,
	} {
		got, err := readFile(t, name)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
		again(t, name, got)
	}
}

// again writes a curve and reads it back, to the same bits.
func again(t *testing.T, name string, c Curve) {
	t.Helper()
	var text bytes.Buffer
	if err := c.Write(&text); err != nil {
		t.Fatal(err)
	}
	back, err := ReadCurve(bytes.NewReader(text.Bytes()))
	if err != nil {
		t.Errorf("%s: what was written is refused: %v\n%s", name, err, text.String())
		return
	}
	if diff := cmp.Diff(c, back); diff != "" {
		t.Errorf("%s: written and read back: %s", name, diff)
	}
}

// What can be read in two ways, or is no curve, is one clear line.
func TestRefusesWhatIsUnclear(t *testing.T) {
	for name, says := range map[string]string{
		"bad-01-contradiction.txt":         "lines 2 and 3 say different things of 100 Hz",
		"bad-02-not-a-number.txt":          `line 2: "NaN" is not a number`,
		"bad-03-thousands-and-points.txt":  "line 3: numbers have points and commas",
		"bad-04-thousands-points.txt":      "take thousands separators out",
		"bad-05-commas-for-both.csv":       "put semicolons between the columns",
		"bad-06-kilohertz-unsaid.txt":      "write kHz into its heading",
		"bad-07-four-columns.txt":          "line 1 has 4 columns",
		"bad-08-one-column.txt":            "line 1 has 1 columns",
		"bad-09-phase-in-some.txt":         "line 2 has 2 columns",
		"bad-10-no-rows.txt":               "no row of numbers",
		"bad-11-binary.txt":                "no text",
		"bad-12-unnamed-third.txt":         "names no phase",
		"bad-13-zero-hertz.txt":            "line 1: 0 Hz is no frequency",
		"bad-14-missing.txt":               `line 2: "-" is not a number`,
		"bad-15-commas-thousands-only.txt": "take thousands separators out",
		"bad-16-no-level.txt":              "line 2: 9e+09 is no level",
	} {
		got, err := readFile(t, name)
		switch {
		case err == nil:
			t.Errorf("%s is read as %+v", name, got)
		case !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "\n"):
			t.Errorf("%s: %q, want one line with %q", name, err, says)
		}
	}
}

func TestStatedSensitivities(t *testing.T) {
	for line, want := range map[string]StatedSensitivity{
		"Sens Factor =-0.9dB":                   {-0.9, DBFactor},
		"Sens Factor =-0.9dB, AGain =18dB":      {-0.9, DBFactor},
		"Sensitivity -38.5 dBFS":                {-38.5, DBFullScale},
		"Sensitivity: -37,9 dB re 1 V/Pa":       {-37.9, DBVoltPerPa},
		"Sensitivity -38.06 dBV/Pa":             {-38.06, DBVoltPerPa},
		"12.4 mV/Pa":                            {12.4, MilliVoltsPerPa},
		"Microphone 4711, 12,4 mV / Pa @ 1 kHz": {12.4, MilliVoltsPerPa},
		"Sensitivity [mV/Pa]: 12.4":             {12.4, MilliVoltsPerPa},
		"sens. = 6.02 mV/Pa (1000 Hz)":          {6.02, MilliVoltsPerPa},
	} {
		if got, ok := statedIn(line); !ok || got != want {
			t.Errorf("%q: %+v %v, want %+v", line, got, ok, want)
		}
	}
	for _, line := range []string{
		"Sensitivity -38.5", "Sensitivity see sheet", "between 11 mV/Pa and 13 mV/Pa", "Level 94 dB", "Gain 18 dB", "12.4 mV", "senseless 3 mV/P",
	} {
		if got, ok := statedIn(line); ok {
			t.Errorf("%q states %+v", line, got)
		}
	}
	text := "* 12.4 mV/Pa\n* 13 mV/Pa\n20 0\n1000 0\n"
	c, err := ReadCurve(strings.NewReader(text))
	if err != nil || c.Sensitivity != nil || !cmp.Equal(c.Remarks, []string{"12.4 mV/Pa", "13 mV/Pa"}) {
		t.Errorf("two sensitivities: %+v %v", c, err)
	}
}

// A decimal reading of grouped figures stands where the frequencies are in order.
func TestThreeDecimalsAreNoThousands(t *testing.T) {
	c, err := ReadCurve(strings.NewReader("19.953 0.1\n25.119 0.2\n100 0\n316.228 0\n1000 0\n"))
	if err != nil || c.FrequencyHz[3] != 316.228 {
		t.Errorf("%+v %v", c, err)
	}
}

func FuzzReadCurve(f *testing.F) {
	files, err := filepath.Glob("testdata/curves/*.*")
	if err != nil || len(files) < 25 {
		f.Fatal(len(files), err)
	}
	for _, name := range files {
		raw, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		c, err := ReadCurve(bytes.NewReader(raw))
		if err != nil {
			if strings.TrimSpace(err.Error()) == "" || strings.ContainsAny(err.Error(), "\n\r") {
				t.Errorf("not one clear line: %q", err)
			}
			return
		}
		for i, hz := range c.FrequencyHz {
			if !(hz > 0) || i > 0 && hz <= c.FrequencyHz[i-1] || !finite(c.MagnitudeDB[i]) {
				t.Fatalf("point %d: %g Hz, %g dB", i, hz, c.MagnitudeDB[i])
			}
		}
		again(t, "fuzz", c)
	})
}
