package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

// sheet is the toolkit's theme made of a look, for the widgets that are the
// toolkit's own: entries, selects, scroll bars, dialogs.
type sheet struct {
	look  look
	faces faces
	icons fyne.Theme
}

// faces are the type faces: Inter for text, JetBrains Mono for readings.
type faces struct {
	regular, bold, mono fyne.Resource
}

func newSheet(l *look, f faces) fyne.Theme {
	return &sheet{look: *l, faces: f, icons: theme.DefaultTheme()}
}

// Color gives the toolkit our colour for each of its names.
func (s *sheet) Color(name fyne.ThemeColorName, v fyne.ThemeVariant) color.Color {
	t := s.look
	switch name {
	case theme.ColorNameBackground:
		return t.Ground
	case theme.ColorNameForeground:
		return t.Ink
	case theme.ColorNamePlaceHolder, theme.ColorNameDisabled:
		return t.Second
	case theme.ColorNamePrimary, theme.ColorNameHyperlink:
		return t.Accent
	case theme.ColorNameForegroundOnPrimary:
		return t.OnAccent
	case theme.ColorNameButton, theme.ColorNameInputBackground, theme.ColorNameMenuBackground:
		return t.Card
	case theme.ColorNameOverlayBackground, theme.ColorNameHeaderBackground:
		return t.Panel
	case theme.ColorNameInputBorder:
		return t.field
	case theme.ColorNameSeparator, theme.ColorNameDisabledButton:
		return t.Hairline
	case theme.ColorNameHover:
		return t.hover
	case theme.ColorNameFocus, theme.ColorNameSelection, theme.ColorNamePressed:
		return t.accentSoft
	case theme.ColorNameScrollBar:
		return t.field
	case theme.ColorNameScrollBarBackground:
		return color.Transparent
	case theme.ColorNameShadow:
		return color.NRGBA{A: 0x30}
	case theme.ColorNameError:
		return t.Fail
	case theme.ColorNameWarning:
		return t.Remark
	case theme.ColorNameSuccess:
		return t.Pass
	}
	variant := theme.VariantLight
	if t.Dark {
		variant = theme.VariantDark
	}
	return s.icons.Color(name, variant)
}

// Font gives one of the three faces.
func (s *sheet) Font(style fyne.TextStyle) fyne.Resource {
	switch {
	case style.Monospace:
		return s.faces.mono
	case style.Bold:
		return s.faces.bold
	case style.Symbol:
		return s.icons.Font(style)
	}
	return s.faces.regular
}

// Icon gives the toolkit's own small icons: arrows of selects, ticks of boxes.
func (s *sheet) Icon(name fyne.ThemeIconName) fyne.Resource { return s.icons.Icon(name) }

// Size gives the sizes of the sheet.
func (s *sheet) Size(name fyne.ThemeSizeName) float32 {
	switch name {
	case theme.SizeNameText:
		return textBody
	case theme.SizeNameCaptionText:
		return textSmall
	case theme.SizeNameSubHeadingText, theme.SizeNameHeadingText:
		return textHead
	case theme.SizeNamePadding:
		return 4
	case theme.SizeNameInnerPadding:
		return 7
	case theme.SizeNameInputRadius, theme.SizeNameSelectionRadius:
		return fieldRadius
	case theme.SizeNameInputBorder:
		return 1
	case theme.SizeNameScrollBar:
		return 10
	case theme.SizeNameScrollBarSmall:
		return 4
	}
	return s.icons.Size(name)
}
