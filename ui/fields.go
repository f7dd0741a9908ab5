package ui

import "fyne.io/fyne/v2"

// fields are the lines of one form by name.
type fields struct {
	of    map[string]*field
	heads map[string]*line
	names []string // in their order
}

func newFields(s *shell, width float32, names ...string) *fields {
	f := &fields{of: map[string]*field{}, heads: map[string]*line{}, names: names}
	for _, n := range names {
		one := newField(s, n, width)
		f.of[n], f.heads[n] = one, one.box.Objects[0].(*line)
	}
	return f
}

// caption gives a line a longer caption than its name.
func (f *fields) caption(name, text string) *fields {
	f.heads[name].set(text)
	return f
}

func (f *fields) fill(values map[string]string) {
	for n, v := range values {
		f.of[n].entry.SetText(v)
	}
}

func (f *fields) text(name string) string { return f.of[name].entry.Text }

func (f *fields) boxes(names ...string) []fyne.CanvasObject {
	var list []fyne.CanvasObject
	for _, n := range names {
		list = append(list, f.of[n].box)
	}
	return list
}
