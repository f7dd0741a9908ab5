package level

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// A sine at each exact frequency of IEC 61672-1:2013, Table 3, and at the geometric
// mean of each with the next, comes out of a weighted level within the limits of
// class 1 around the design goal; between the frequencies of the table the wider
// limit of the two neighbours holds (5.5.7).
func TestWeightedRMSIsClass1(t *testing.T) {
	upper, lower := class1(t)
	for _, rate := range []float64{44100, 48000, 96000} {
		worst := 0.0
		for half := range 2*len(upper) - 1 {
			hz := 1000 * math.Pow(10, float64(half-40)/20)
			n, next := half/2, (half+1)/2
			x := make([]float64, int(rate*math.Min(1, math.Max(0.05, 20/hz))))
			for i := range x {
				x[i] = math.Sqrt2 * math.Sin(2*math.Pi*hz*float64(i)/rate)
			}
			for _, weighting := range []func(float64) float64{AWeightingDB, CWeightingDB} {
				off := DB(WeightedRMS(x, rate, weighting)) - weighting(hz)
				if off > math.Max(upper[n], upper[next]) || off < math.Min(lower[n], lower[next]) {
					t.Errorf("%.2f Hz at %g Hz: %.3f dB off", hz, rate, off)
				}
				worst = math.Max(worst, math.Abs(off))
			}
		}
		t.Logf("at %g Hz the largest deviation is %.4f dB", rate, worst)
	}
}

// class1 reads the limits; a blank lower one is minus infinity.
func class1(t *testing.T) (upper, lower []float64) {
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
	for _, row := range rows[2:] {
		high, err := strconv.ParseFloat(row[4], 64)
		if err != nil {
			t.Fatal(err)
		}
		low := math.Inf(-1)
		if row[5] != "" {
			if low, err = strconv.ParseFloat(row[5], 64); err != nil {
				t.Fatal(err)
			}
		}
		upper, lower = append(upper, high), append(lower, low)
	}
	return upper, lower
}
