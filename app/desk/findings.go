package desk

import (
	"fmt"
	"slices"
	"strings"

	"stillroom/app/take"
)

// Verdicts of a finding row. They differ by shape and by word in the window.
const (
	Clean  = "clean"
	Noted  = "note"
	Remark = "remark"
	Void   = "void"
)

// FindingRow is one line of what a take says about itself.
type FindingRow struct {
	Verdict string // Clean, Noted, Remark or Void
	Lead    string // shown strong; empty for a clean row
	Text    string // what follows
}

// FindingRows are the findings of a, worst first, and then a line for each group
// of checks that found nothing. repeats is how often the sweep was played.
func FindingRows(a *take.Analysis, repeats int) []FindingRow {
	if a == nil {
		return nil
	}
	var rows []FindingRow
	for _, severity := range []take.Severity{take.Void, take.Remark, take.Note} {
		for _, f := range a.Findings {
			if f.Severity == severity {
				rows = append(rows, found(f))
			}
		}
	}
	return append(rows, cleanRows(a, repeats)...)
}

// Worst is the verdict of the whole take: that of its worst finding.
func Worst(findings []take.Finding) string {
	worst := Clean
	rank := map[string]int{Clean: 0, Noted: 1, Remark: 2, Void: 3}
	for _, f := range findings {
		if v := verdict(f.Severity); rank[v] > rank[worst] {
			worst = v
		}
	}
	return worst
}

func verdict(s take.Severity) string {
	switch s {
	case take.Void:
		return Void
	case take.Remark:
		return Remark
	}
	return Noted
}

// found splits a message after its first clause, so that the eye finds what it
// is about.
func found(f take.Finding) FindingRow {
	lead, rest := f.Message, ""
	if i := strings.IndexAny(f.Message, ",:;"); i > 0 && i < 60 {
		lead, rest = f.Message[:i], f.Message[i:]
	} else if i := strings.Index(f.Message, ". "); i > 0 {
		lead, rest = f.Message[:i+1], f.Message[i+1:]
	}
	return FindingRow{Verdict: verdict(f.Severity), Lead: lead, Text: rest}
}

// cleanRows say which checks were made and found nothing. A check that could not
// be made is not mentioned.
func cleanRows(a *take.Analysis, repeats int) []FindingRow {
	has := func(codes ...string) bool {
		return slices.ContainsFunc(a.Findings, func(f take.Finding) bool {
			return slices.Contains(codes, f.Code)
		})
	}
	var rows []FindingRow
	add := func(text string) { rows = append(rows, FindingRow{Verdict: Clean, Text: text}) }
	if !has("no-signal", "clipped", "lost-samples", "low-signal", "start-muted") {
		add("Level, clipping, lost samples: clean")
	}
	if !has("no-signal", "noisy-band") {
		if s := noiseLine(a.Noise); s != "" {
			add(s)
		}
	}
	if !has("no-signal", "hum", "click") {
		add("No mains hum, no clicks")
	}
	if repeats > 1 && !has("no-signal", "repeats-differ") {
		add(fmt.Sprintf("%d repeats agree", repeats))
	}
	return rows
}

func noiseLine(n take.Noise) string {
	snr := number(n.SNRDB, 0)
	if snr == unknown {
		return ""
	}
	return fmt.Sprintf("Signal to noise %s dB in the worst octave, %s", snr, band(n.SNRFromHz, n.SNRToHz))
}
