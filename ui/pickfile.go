package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
)

// pickFile lets a file be chosen; its path is then in the field.
func (s *shell) pickFile(into *entry) {
	d := dialog.NewFileOpen(func(file fyne.URIReadCloser, err error) {
		if file == nil || err != nil {
			return
		}
		path := file.URI().Path()
		_ = file.Close() // it is read again by its path
		into.SetText(path)
	}, s.window)
	d.Resize(fyne.NewSize(820, 560))
	d.Show()
}
