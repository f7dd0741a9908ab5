package take

import (
	"fmt"
	"math"
	"strings"
)

// plainSNRDB is the signal to noise below which a level that stands at a limit is
// worth a word.
const plainSNRDB = 40

// judgeCalibrations tells calibrations that are to be made again.
func (s *Study) judgeCalibrations(*Analysis) []Finding {
	var words []string
	oldest := 0.0
	for _, l := range s.rig.OldLines(s.at) {
		words = append(words, l.Text)
		oldest = math.Max(oldest, l.AgeDays)
	}
	if len(words) == 0 {
		return nil
	}
	return one("calibration-old", Remark, oldest, "days",
		fmt.Sprintf("%s. Levels may have moved since: calibrate again in the Rig room.", strings.Join(words, "; ")))
}

// judgeLimit tells a level that stands at the rig's limit and is low all the same.
func (s *Study) judgeLimit(a *Analysis) []Finding {
	if !s.exact {
		return nil
	}
	limit, _ := s.rig.HighestDBFS()
	if s.levelDBFS < limit-0.1 || !(a.Noise.SNRDB < plainSNRDB) {
		return nil
	}
	return one("level-limited", Note, s.levelDBFS, "dBFS",
		fmt.Sprintf("The sweep stands at this rig's limit of %.1f dBFS, and the signal is %.0f dB above the noise at worst. A longer sweep or more of them bring it further without more level.", limit, a.Noise.SNRDB))
}
