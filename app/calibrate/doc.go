// Package calibrate holds the procedures that tell a rig what its digits mean, and
// how loud it may be: output in volts, input in pascals, the interface over a wire,
// the noise of a quiet room, the level for a first sweep.
//
// All of them hang on a Bench, which is a value: the sound interface, the rig, the
// person, and somebody who watches. A procedure runs to its end or until its context
// ends, and the output is silent when it returns. It tells what it hears as it goes,
// through Progress: a Trace collects that as a picture of level over time.
//
//	b := calibrate.Bench{Interface: iface, Rig: r, Person: "Mara", Progress: &trace}
//	result, err := b.Acoustic(ctx, calibrate.Source{Channel: r.InputChannel, LevelDB: 94})
//	if err == nil {
//		r = result.Rig // keep it
//	}
//
// A result holds the rig with the new calibration in it; nothing is stored here. A
// measurement that cannot be believed returns an error that wraps ErrRefused, with
// one line that says what was heard and what to do; the result then holds what was
// heard, so that it can be drawn, and no rig.
//
// The output is calibrated in two steps, since a person reads a voltmeter in
// between: Output, Play until the context ends, Finish.
//
// Cautions that belong beside the buttons are in the constants that end in Caution.
package calibrate
