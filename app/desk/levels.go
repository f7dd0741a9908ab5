package desk

import "stillroom/app/take"

// LevelChoices are what levels can be re.
func LevelChoices() []Choice {
	words := map[take.Level]string{
		take.ReStimulus: "dB re the stimulus", take.SPL: "dB SPL, as it sounded", take.SPLAt2V83: "dB SPL for 2.83 V",
		take.SPLAt1W: "dB SPL for 1 W", take.PerVolt: "dB SPL for 1 V (dB/V)", take.PerMilliwatt: "dB SPL for 1 mW (dB/mW)",
	}
	var list []Choice
	for _, l := range take.Levels() {
		word, ok := words[l]
		if !ok {
			word = string(l)
		}
		list = append(list, Choice{levelID(l), word})
	}
	return list
}

// levelID names a level in a list, where nothing has an empty name.
func levelID(l take.Level) string { return "level " + string(l) }

// LevelOf is the level of a choice.
func LevelOf(id string) take.Level {
	for _, l := range take.Levels() {
		if levelID(l) == id {
			return l
		}
	}
	return take.ReStimulus
}

// PlaceChoices are where levels can be told for.
func PlaceChoices() []Choice {
	return []Choice{{"here", "at the microphone"}, {"metre", "brought to 1 m"}}
}

// OneMetreOf tells whether a choice brings levels to 1 m.
func OneMetreOf(id string) bool { return id == "metre" }

// LevelID and PlaceID are the choices in use: those of the take in hand, else of the
// next one.
func (s State) LevelID() string { return levelID(s.settings().Level) }

// PlaceID is the choice in use; see LevelID.
func (s State) PlaceID() string {
	if s.settings().OneMetre {
		return "metre"
	}
	return "here"
}

func (s State) settings() take.Settings {
	if s.Analysis != nil {
		return s.Analysis.Settings
	}
	return s.firstSettings()
}

// TrustText names what a press on the key for the band of uncertainty does.
func (s State) TrustText() string {
	if s.Trust {
		return "Hide how far to trust it"
	}
	return "Show how far to trust it"
}

// MicrophoneFindings are findings that only some of several microphones have.
func (s State) MicrophoneFindings() []FindingRow {
	if s.Analysis == nil || len(s.Analysis.Microphones) < 2 {
		return nil
	}
	var rows []FindingRow
	for _, m := range s.Analysis.Microphones[1:] {
		for _, f := range m.Findings {
			if f.Severity != take.Note {
				row := found(f)
				row.Lead = m.Name + ": " + row.Lead
				rows = append(rows, row)
			}
		}
	}
	return rows
}
