package ui

import (
	"context"

	"stillroom/app/comparing"
	"stillroom/app/desk"
)

// openExport asks what is written of the charts, and where.
func (v *compareView) openExport() {
	s := v.shell
	st := v.table.State()
	form := st.ExportForm()
	f := newFields(s, 252, "Width", "Height", "File")
	f.caption("Width", "Width, pixels at 1×; empty: paper").caption("Height", "Height, pixels at 1×")
	f.fill(map[string]string{"File": form.Path})
	kind := newChoice(s, "As", func(id string) {
		form.Path, form.Width, form.Height = f.text("File"), f.text("Width"), f.text("Height")
		form = form.WithKind(id)
		f.fill(map[string]string{"File": form.Path, "Width": form.Width, "Height": form.Height})
	})
	kind.set(comparing.KindChoices(), form.Kind)
	which := v.traceChoice("Which", st.WhichChoices(), &form.Which)
	fine := v.traceChoice("Fineness of a picture", comparing.FinenessChoices(), &form.Fineness)
	over := v.traceChoice("A file of that name", comparing.OverChoices(), &form.Over)
	cp := newTextLink(s.look, "Copy a picture instead", func() { s.sheet.hide(); v.copyPicture() })
	body := newColumn(12, 520, pairs(kind.box, which.box, f.of["Width"].box, f.of["Height"].box, fine.box, over.box), f.of["File"].box, linkRow(cp))
	s.openForm("Export the charts as they are shown", body, f.of, f.of["File"].entry, func() []desk.Field {
		form.Path, form.Width, form.Height = f.text("File"), f.text("Width"), f.text("Height")
		shown := v.charts.shown()
		wrong := v.table.CheckExport(form, shown)
		if len(wrong) == 0 {
			s.run(func(ctx context.Context) error { return v.table.Export(ctx, form, shown) })
		}
		return wrong
	})
}

// copyPicture puts a picture of the charts on the clipboard.
func (v *compareView) copyPicture() {
	shown := v.charts.shown()
	v.shell.run(func(ctx context.Context) error { return v.table.CopyPicture(ctx, shown) })
}
