// Package drawing makes charts of a board that was worked out: one description of
// app/chart for each view.
package drawing
