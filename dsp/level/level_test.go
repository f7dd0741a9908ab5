package level

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// near compares with a published or independently computed value, to its digits.
func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-10*math.Max(1, math.Abs(want))) {
		t.Errorf("%s: %.13g, want %.13g", what, got, want)
	}
}

// levels.json holds the values of ISO 1683 (20 µPa), of dBu and of dB/mW against
// dB/V by U²/R, worked out apart from this program.
func TestAgainstWorkedValues(t *testing.T) {
	raw, err := os.ReadFile("testdata/levels.json")
	if err != nil {
		t.Fatal(err)
	}
	var want struct {
		OnePa        float64            `json:"1Pa_dB"`
		TenPa        float64            `json:"10Pa_dB"`
		Pa94         float64            `json:"94dB_Pa"`
		Pa114        float64            `json:"114dB_Pa"`
		Pa124        float64            `json:"124dB_Pa"`
		Sensitivity  map[string]float64 `json:"sensitivity_dB_re_1V_per_Pa"`
		Headphone    []map[string]float64
		Characterise struct {
			PerVolt float64 `json:"sensitivity_dB_per_V_at_500Hz"`
			Volts   float64 `json:"V_for_94dB"`
		} `json:"characteristic_voltage_example"`
		DBu struct {
			Zero float64 `json:"0 dBu V"`
			DBV  float64 `json:"0 dBV in dBu"`
		} `json:"dBu"`
		Doubling float64 `json:"level_distance_doubling_dB"`
	}
	if err := json.Unmarshal(raw, &want); err != nil {
		t.Fatal(err)
	}
	near(t, "1 Pa", SPL(1), want.OnePa)
	near(t, "10 Pa", SPL(10), want.TenPa)
	near(t, "94 dB", PressurePa(94), want.Pa94)
	near(t, "114 dB", PressurePa(114), want.Pa114)
	near(t, "124 dB", PressurePa(124), want.Pa124)
	for text, db := range want.Sensitivity {
		mV, err := strconv.ParseFloat(strings.TrimSuffix(text, " mV/Pa"), 64)
		if err != nil {
			t.Fatal(err)
		}
		near(t, text, SensitivityDB(mV), db)
		near(t, text+" back", SensitivityMilliVolts(db), mV)
	}
	near(t, "94 dB at a sensitivity", CharacteristicVolts(want.Characterise.PerVolt), want.Characterise.Volts)
	near(t, "0 dBu", VoltsOfDBu(0), want.DBu.Zero)
	near(t, "1 V in dBu", DBu(1), want.DBu.DBV)
	near(t, "twice the distance", AtOneMetre(80, 1)-AtOneMetre(80, 2), want.Doubling)
	headphones(t, want.Headphone)
}

func headphones(t *testing.T, rows []map[string]float64) {
	if len(rows) < 8 {
		t.Fatalf("only %d headphones", len(rows))
	}
	for _, row := range rows {
		ohm := row["Z"]
		name := fmt.Sprintf("%g Ω", ohm)
		near(t, name, VoltsPerMilliwatt(ohm), row["V_for_1mW"])
		near(t, name+" difference", PerVolt(0, ohm), row["dB/V minus dB/mW"])
		near(t, name+" 100 dB/mW", PerVolt(100, ohm), row["100 dB/mW -> dB/V"])
		near(t, name+" back", PerMilliwatt(PerVolt(97.3, ohm), ohm), 97.3)
		near(t, name+" 1 V", 1000*Watts(1, ohm), row["mW_at_1V"])
	}
}

func TestDrive(t *testing.T) {
	near(t, "1 W into 8 Ω", VoltsForWatts(1, 8), math.Sqrt(8))
	near(t, "2.83 V re 1 W into 8 Ω", DB(DriveVolts/VoltsForWatts(1, 8)), 0.004828840566369) // 20 lg(2.83/√8)
	near(t, "2.83 V into 4 Ω", Watts(DriveVolts, 4), 2.002225)
	near(t, "−20 dBFS of 4 V", Volts(-20, 4), 0.4)
	near(t, "0.4 V of 4 V", DBFS(0.4, 4), -20)
	near(t, "another voltage", AtVolts(87, 1, 2), 87+6.020599913279624)
	near(t, "10 mV/Pa, +20 dB, 2 V", PascalAtFS(10, 20, 2), 20)
	if !math.IsNaN(SPL(math.NaN())) || !math.IsInf(DB(0), -1) {
		t.Error("what is not known is a number, or nothing is not −Inf")
	}
}

// The design goals of IEC 61672-1:2013, Annex E, at exact frequencies to 10 digits,
// and its Table 3 to a tenth of a dB.
func TestWeightings(t *testing.T) {
	file, err := os.Open("testdata/weighting_iec61672.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.FieldsPerRecord = -1
	rows, err := reader.ReadAll()
	if err != nil || len(rows) != 36 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	column := map[string]int{}
	for i, name := range rows[1] {
		column[name] = i
	}
	for n, row := range rows[2:] {
		value := func(name string) float64 {
			v, err := strconv.ParseFloat(row[column[name]], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		exact := 1000 * math.Pow(10, float64(n-20)/10)
		for _, w := range []struct {
			name string
			at   func(float64) float64
		}{{"A", AWeightingDB}, {"C", CWeightingDB}} {
			got := w.at(exact)
			if math.Abs(got-value(w.name+"_calc")) > 2e-9 {
				t.Errorf("%s at %.2f Hz: %.10f dB, Annex E says %.10f", w.name, exact, got, value(w.name+"_calc"))
			}
			if math.Abs(got-value(w.name+"_table")) > 0.0501 {
				t.Errorf("%s at %.2f Hz: %.3f dB, Table 3 says %.1f", w.name, exact, got, value(w.name+"_table"))
			}
		}
	}
	if !math.IsInf(AWeightingDB(0), -1) {
		t.Error("A weighting passes DC")
	}
}

// A sine comes out with its own level plus the weighting at its frequency, whatever
// the mean it stands on.
func TestWeightedRMSOfASine(t *testing.T) {
	for _, rate := range []float64{44100, 48000, 96000, 192000} {
		for _, hz := range []float64{50, 100.3, 1000, 9999} {
			x := make([]float64, int(2*rate))
			for n := range x {
				x[n] = 0.25 + 0.1*math.Sqrt2*math.Sin(2*math.Pi*hz*float64(n)/rate)
			}
			if got := DB(WeightedRMS(x, rate, nil) / 0.1); math.Abs(got) > 0.001 {
				t.Errorf("%g Hz at %g Hz: %.4f dB off", hz, rate, got)
			}
			if got := DB(WeightedRMS(x, rate, AWeightingDB)/0.1) - AWeightingDB(hz); math.Abs(got) > 0.005 {
				t.Errorf("%g Hz at %g Hz, weighted: %.4f dB off", hz, rate, got)
			}
		}
	}
}

func ExampleSPL() {
	fmt.Printf("%.3f dB\n", SPL(1))
	// Output: 93.979 dB
}
