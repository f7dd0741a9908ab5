package ui

import (
	"fmt"
	"testing"

	"stillroom/app/settings"
)

func TestRoomsInBothLightsAndSizes(t *testing.T) {
	for _, theme := range []string{settings.Daylight, settings.Lamplight} {
		for _, size := range [][2]float32{{1440, 900}, {1100, 700}} {
			t.Run(fmt.Sprintf("%s-%.0f", theme, size[0]), func(t *testing.T) {
				s := newTestShell(t, theme, size[0], size[1])
				if err := s.desk.FirstStart(t.Context()); err != nil {
					t.Fatal(err)
				}
				s.hop.deliver()
				for i, r := range s.rooms {
					s.enter(i)
					picture(t, s, fmt.Sprintf("%s-%s-%.0f", r.name(), theme, size[0]))
				}
			})
		}
	}
}
