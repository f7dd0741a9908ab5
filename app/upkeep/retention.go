package upkeep

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"stillroom/app/model"
	"stillroom/app/records"
	"stillroom/app/take"
)

// ReferenceTag marks a take whose recording is kept as that of a reference.
const ReferenceTag = "reference"

// Plan is what the policies of all models would let go.
type Plan struct {
	Models []ModelPlan // those whose policy lets anything go, by name
}

// ModelPlan is the part of one model.
type ModelPlan struct {
	Model string
	Rule  model.Retention
	Sheds []Recording
	Keeps int // takes of the model whose recordings stay
}

// Recording is one that would go.
type Recording struct {
	TakeID string
	Bytes  int64 // as it is packed now
}

// Bytes is the size of the recordings of the model that would go.
func (m ModelPlan) Bytes() (n int64) {
	for _, r := range m.Sheds {
		n += r.Bytes
	}
	return n
}

// Takes is how many recordings would go.
func (p Plan) Takes() (n int) {
	for _, m := range p.Models {
		n += len(m.Sheds)
	}
	return n
}

// Bytes is the size of the recordings that would go. What comes in their place, their
// impulse responses, takes a part of it again.
func (p Plan) Bytes() (n int64) {
	for _, m := range p.Models {
		n += m.Bytes()
	}
	return n
}

// listPage is how many rows are listed at a time.
const listPage = 500

// MakePlan says which recordings the policies of the models let go at a given moment.
// It changes nothing. Takes that are deleted are left out: who restores one finds it
// whole.
func MakePlan(ctx context.Context, store records.Store, now time.Time) (Plan, error) {
	models, err := records.Models(store).Values(ctx)
	if err != nil {
		return Plan{}, err
	}
	references, err := referenced(ctx, store)
	if err != nil {
		return Plan{}, err
	}
	var p Plan
	for _, m := range models {
		if m.KeepRaw.Rule != "chosen" {
			continue
		}
		one, err := planModel(ctx, store, m, references, now)
		if err != nil {
			return Plan{}, err
		}
		p.Models = append(p.Models, one)
	}
	return p, nil
}

func planModel(ctx context.Context, store records.Store, m model.Model, references map[string]bool, now time.Time) (ModelPlan, error) {
	p := ModelPlan{Model: m.Name, Rule: m.KeepRaw}
	for offset := 0; ; offset += listPage {
		rows, err := store.List(ctx, records.Query{Model: m.Name, Until: now, Limit: listPage, Offset: offset})
		if err != nil {
			return p, err
		}
		for _, r := range rows {
			switch {
			case !r.Raw():
			case stays(r, m.KeepRaw, references, now):
				p.Keeps++
			default:
				p.Sheds = append(p.Sheds, Recording{r.ID, r.Bytes})
			}
		}
		if len(rows) < listPage {
			return p, nil
		}
	}
}

// stays tells whether a policy keeps the recording of a take.
func stays(r records.Row, rule model.Retention, references map[string]bool, now time.Time) bool {
	switch {
	case rule.Failures && (r.Worst == take.Void || r.Status == records.Failed):
		return true
	case rule.References && (references[r.ID] || slices.Contains(r.Tags, ReferenceTag)):
		return true
	}
	return rule.Days > 0 && r.At.After(now.AddDate(0, 0, -rule.Days))
}

// referenced are the texts in all references, the IDs of their takes among them.
func referenced(ctx context.Context, store records.Store) (map[string]bool, error) {
	documents, err := store.Documents(ctx, records.ReferenceKind)
	if err != nil {
		return nil, err
	}
	texts := map[string]bool{}
	for _, d := range documents {
		var body any
		if err := json.Unmarshal(d.Body, &body); err != nil {
			return nil, fmt.Errorf("the reference %q cannot be read, so nothing is let go: %w", d.Name, err)
		}
		gather(body, texts)
	}
	return texts, nil
}

func gather(value any, texts map[string]bool) {
	switch v := value.(type) {
	case string:
		texts[v] = true
	case []any:
		for _, x := range v {
			gather(x, texts)
		}
	case map[string]any:
		for key, x := range v {
			texts[key] = true
			gather(x, texts)
		}
	}
}

// Freed is what was let go.
type Freed struct {
	Takes int
	Bytes int64    // size of the recordings that went, as they were packed
	Left  []string // one line each: takes whose recording stays after all, and why
}

// Run lets the recordings of a plan go. Each take keeps its impulse responses, and what
// was found in its recording; one from which they cannot be read keeps its recording.
// It cannot be undone.
func Run(ctx context.Context, store records.Store, p Plan, now time.Time, progress Progress) (Freed, error) {
	var f Freed
	done, all := 0, p.Takes()
	for _, m := range p.Models {
		for _, r := range m.Sheds {
			if err := ctx.Err(); err != nil {
				return f, err
			}
			if err := f.shed(ctx, store, r, now); err != nil {
				return f, err
			}
			done++
			progress.tell(done, all)
		}
	}
	return f, nil
}

// shed lets one recording go. What concerns this take alone is noted and no error.
func (f *Freed) shed(ctx context.Context, store records.Store, r Recording, now time.Time) error {
	t, err := store.Take(ctx, r.TakeID)
	var less *take.Take
	if err == nil {
		less, err = take.Shed(t, now)
	}
	if err == nil {
		err = store.Shed(ctx, less)
	}
	switch {
	case err == nil:
		f.Takes++
		f.Bytes += r.Bytes
		return nil
	case records.Unreachable(err), errors.Is(err, records.ErrNotAllowed), ctx.Err() != nil:
		return err
	}
	f.Left = append(f.Left, fmt.Sprintf("take %s: %v", r.TakeID, err))
	return nil
}
