package desk

// Topic names the parts of a State that changed.
type Topic uint

// The topics. Several may be joined.
const (
	RigTopic      Topic = 1 << iota // rig, rigs, devices, what is missing
	TakeTopic                       // another take is in hand, or none, or it was kept
	AnalysisTopic                   // the same take, analysed again
	SubjectTopic                    // what is measured next, and with which sweep
	WorkTopic                       // what the desk is doing with sound
	ProgressTopic                   // how far it is
	LevelTopic                      // the input meter
	RecordsTopic                    // the list of what is kept
	NoticeTopic                     // a line for the reader
	ChoiceTopic                     // the settings of this person
	BenchTopic                      // the cards of the rig: pictures, results that wait
	SpoolTopic                      // what waits on this machine for the records
	BoardTopic                      // the board of the Compare room
)

// Observer is told what changed. The call may come from any goroutine, and comes
// while no lock is held, so that it may ask for the State.
type Observer interface {
	DeskChanged(Topic)
}

// Watch adds an observer.
func (d *Desk) Watch(o Observer) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.observers = append(d.observers[:len(d.observers):len(d.observers)], o)
}
