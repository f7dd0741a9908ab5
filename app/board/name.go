package board

import (
	"strconv"
	"strings"

	"stillroom/app/take"
)

// NameOf names a take in a list of traces: its unit, its angle and its side, or its ID
// where nothing else is known.
func NameOf(t *take.Take) string {
	var parts []string
	for _, text := range []string{t.Subject.Model, t.Subject.Serial} {
		if text != "" {
			parts = append(parts, text)
		}
	}
	if len(parts) == 0 {
		parts = append(parts, t.ID)
	}
	if t.Subject.AngleDeg != 0 {
		parts = append(parts, strconv.FormatFloat(t.Subject.AngleDeg, 'f', -1, 64)+"°")
	}
	if t.Subject.Side != "" {
		parts = append(parts, string(t.Subject.Side))
	}
	return strings.Join(parts, ", ")
}
