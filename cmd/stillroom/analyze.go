package main

import (
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"stillroom/app/board"
	"stillroom/app/rig"
	"stillroom/app/soundfile"
	"stillroom/app/take"
	"stillroom/dsp/level"
)

// source names the files that analyze reads. Channels count from 1; loopback 0
// means that there is none.
type source struct {
	stimulus, recording, impulse string
	stimulusChannel              int
	mic, loopback                int
	curve, sensitivity           string
	gain, voltsFS                float64
}

// analyze is the command that reads a stimulus and its recording, made with any
// program, or an impulse response.
func (p *program) analyze() *cobra.Command {
	var from source
	var how reading
	var show string
	cmd := &cobra.Command{
		Use:   "analyze",
		Short: "Analyse a recording made elsewhere",
		Long: "Analyse what was recorded of a stimulus: a log sweep or any other broadband signal, from sound files at one sample rate.\n" +
			"Levels are re the stimulus; with --loopback-channel they are re what that channel heard, and so is the delay.",
		Example: "  stillroom analyze --stimulus sweep.wav --recording mic.wav --gate 5ms --plot curve.png\n" +
			"  stillroom analyze --impulse ir.wav --json --at 100,1000,10000\n" +
			"  stillroom analyze --impulse ir.wav --gate 4.7ms --show decay,excess-phase,step --plot decay.pdf",
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			views, err := board.ParseViews(show)
			if show != "" && err != nil {
				return usageError("--show: %w", err)
			}
			study, rate, err := p.open(from)
			if err != nil {
				return err
			}
			chain, known, err := from.chain()
			if err != nil {
				return err
			}
			if known {
				study.Calibrate(chain)
			}
			if from.sensitivity != "" && how.re == "" {
				how.re = string(take.SPL)
			}
			set, frequencies, err := how.settings(cmd, rate)
			if err != nil {
				return err
			}
			a, err := study.AnalyseAt(set, frequencies)
			if err != nil {
				return err
			}
			if show != "" {
				return p.showAnalysis(cmd.Context(), study, a, set, views, how)
			}
			return p.tell(study, a, set, how, "")
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&from.stimulus, "stimulus", "", "the sound file that was played")
	flags.StringVar(&from.recording, "recording", "", "the sound file that was recorded")
	flags.StringVar(&from.impulse, "impulse", "", "an impulse response, instead of the two")
	flags.IntVar(&from.stimulusChannel, "stimulus-channel", 1, "channel of the stimulus file, from 1")
	flags.IntVar(&from.mic, "mic-channel", 1, "channel of the microphone in the recording, from 1")
	flags.IntVar(&from.loopback, "loopback-channel", 0, "channel of the recording that heard the output by wire; 0: none")
	flags.StringVar(&from.curve, "mic-curve", "", "take out the microphone's curve: a text file of frequency, dB and, if known, phase")
	flags.StringVar(&from.sensitivity, "sensitivity", "", "of the microphone, with its unit: \"12.5 mV/Pa\" or \"-38 dB re 1 V/Pa\"; levels are then in dB SPL")
	flags.Float64Var(&from.gain, "mic-gain", 0, "gain of the preamplifier in dB")
	flags.Float64Var(&from.voltsFS, "volts-full-scale", 1, "rms voltage of a sine that reaches full scale at the converter")
	flags.StringVar(&show, "show", "", "draw and tell these charts, with commas between them: "+showHelp())
	how.add(cmd, "none")
	return cmd
}

// chain is what the flags say of the microphone's channel.
func (from source) chain() (rig.Chain, bool, error) {
	c := rig.Chain{PascalAtFS: math.NaN(), VoltsAtFS: math.NaN(), LevelUncertaintyDB: math.NaN(), CurveUncertaintyDB: math.NaN()}
	if from.curve != "" {
		file, err := os.Open(from.curve)
		if err != nil {
			return c, false, fmt.Errorf("the microphone's curve cannot be read: %w", err)
		}
		defer file.Close()
		curve, err := rig.ReadCurve(file)
		if err != nil {
			return c, false, fmt.Errorf("%s: %w", from.curve, err)
		}
		c.Microphone = &curve
	}
	if from.sensitivity != "" {
		milliVolts, err := sensitivity(from.sensitivity)
		if err != nil {
			return c, false, err
		}
		c.PascalAtFS = level.PascalAtFS(milliVolts, from.gain, from.voltsFS)
		if !(c.PascalAtFS > 0) || math.IsInf(c.PascalAtFS, 0) {
			return c, false, usageError("--sensitivity, --mic-gain and --volts-full-scale do not make a level: check them")
		}
	}
	return c, from.curve != "" || from.sensitivity != "", nil
}

// sensitivity reads a sensitivity with its unit, in mV/Pa.
func sensitivity(text string) (float64, error) {
	fields := strings.Fields(strings.ReplaceAll(text, "mV/Pa", " mV/Pa"))
	if len(fields) > 0 {
		v, err := strconv.ParseFloat(fields[0], 64)
		switch unit := strings.Join(fields[1:], " "); {
		case err != nil:
		case unit == "mV/Pa" && v > 0:
			return v, nil
		case unit == "dB" || unit == "dB re 1 V/Pa" || unit == "dBV/Pa":
			return level.SensitivityMilliVolts(v), nil
		}
	}
	return 0, usageError("--sensitivity %q: give a figure and its unit, such as \"12.5 mV/Pa\" or \"-38 dB re 1 V/Pa\"", text)
}

// open reads the files and deconvolves.
func (p *program) open(from source) (*take.Study, float64, error) {
	if from.impulse != "" {
		if from.stimulus != "" || from.recording != "" {
			return nil, 0, usageError("give either --impulse, or --stimulus and --recording")
		}
		sound, err := p.readSound(from.impulse)
		if err != nil {
			return nil, 0, err
		}
		samples, err := channel(sound, from.mic, "--mic-channel", from.impulse)
		if err != nil {
			return nil, 0, err
		}
		study, err := take.NewStudyOfImpulse(samples, sound.RateHz)
		return study, sound.RateHz, err
	}
	if from.recording == "" || from.stimulus == "" && from.loopback == 0 {
		return nil, 0, usageError("give --stimulus and --recording, or --impulse")
	}
	recording, err := p.readSound(from.recording)
	if err != nil {
		return nil, 0, err
	}
	stimulus, err := p.stimulus(from, recording)
	if err != nil {
		return nil, 0, err
	}
	mic, err := channel(recording, from.mic, "--mic-channel", from.recording)
	if err != nil {
		return nil, 0, err
	}
	study, err := take.NewStudyOf(stimulus, mic, recording.RateHz)
	return study, recording.RateHz, err
}

// stimulus is what was played, or, where a loopback channel is named, what it heard.
func (p *program) stimulus(from source, recording soundfile.Sound) ([]float64, error) {
	if from.loopback != 0 {
		if from.loopback == from.mic {
			return nil, usageError("--mic-channel and --loopback-channel name the same channel")
		}
		return channel(recording, from.loopback, "--loopback-channel", from.recording)
	}
	sound, err := p.readSound(from.stimulus)
	if err != nil {
		return nil, err
	}
	if sound.RateHz != recording.RateHz {
		return nil, fmt.Errorf("the stimulus has %g Hz and the recording %g Hz: bring both to one sample rate", sound.RateHz, recording.RateHz)
	}
	return channel(sound, from.stimulusChannel, "--stimulus-channel", from.stimulus)
}

// readSound reads a file and passes on what it warns of.
func (p *program) readSound(path string) (soundfile.Sound, error) {
	sound, err := soundfile.Read(path)
	for _, warning := range sound.Warnings {
		fmt.Fprintf(p.errs, "stillroom: %s: %s\n", path, warning)
	}
	return sound, err
}

func channel(sound soundfile.Sound, number int, flag, path string) ([]float64, error) {
	if number < 1 || number > len(sound.Channels) {
		return nil, usageError("%s %d: %s has channels 1 to %d", flag, number, path, len(sound.Channels))
	}
	return sound.Channels[number-1], nil
}
