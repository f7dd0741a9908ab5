package comparing

import (
	"fmt"
	"strings"
)

// Summary says in a line what lies on the board: "4 takes, same rig and calibration".
func (s State) Summary() string {
	takes, others := 0, 0
	for _, t := range s.Board.Traces {
		if t.Source.Take != nil {
			takes++
		} else {
			others++
		}
	}
	text := "nothing on the board"
	switch {
	case takes > 0 && others > 0:
		text = fmt.Sprintf("%s, %s", counted(takes, "take"), counted(others, "other trace"))
	case takes > 0:
		text = counted(takes, "take")
	case others > 0:
		text = counted(others, "trace")
	}
	if s.Busy {
		text += ", working it out"
	}
	return text
}

// NameOrSuggestion is the name of the board, or one that may be given to it: what is
// common to the names of its traces.
func (s State) NameOrSuggestion() string {
	if s.Board.Name != "" || len(s.Board.Traces) == 0 {
		return s.Board.Name
	}
	head, _, _ := strings.Cut(s.Board.Traces[0].Name, ", ")
	for _, t := range s.Board.Traces {
		if !strings.HasPrefix(t.Name, head) {
			return ""
		}
	}
	return head
}

// SourceText says where a trace comes from.
func (s State) SourceText(id string) string {
	t, _ := s.Board.Trace(id)
	switch from := t.Source; {
	case from.Take != nil:
		return "The kept take " + from.Take.ID + "."
	case from.Curve != nil:
		return "A curve from the file " + from.Curve.File + "; it is kept inside the board."
	case from.Impulse != nil:
		return "An impulse response from the file " + from.Impulse.File + "; it is kept inside the board."
	default:
		var names []string
		for _, need := range from.Needs() {
			if one, ok := s.Board.Trace(need); ok {
				names = append(names, one.Name)
			}
		}
		return "Made of other traces (" + from.What() + "): " + strings.Join(names, "; ") + "."
	}
}

// Shown are the IDs of the traces whose eye is open and that are not made of others.
func (s State) Shown() []string {
	var ids []string
	for _, t := range s.Board.Traces {
		if !t.Hidden && len(t.Source.Needs()) == 0 {
			ids = append(ids, t.ID)
		}
	}
	return ids
}

// ReferenceID is the ID of the reference trace; "" on an empty board.
func (s State) ReferenceID() string {
	if i := s.Board.ReferenceIndex(); i >= 0 {
		return s.Board.Traces[i].ID
	}
	return ""
}
