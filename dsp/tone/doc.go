// Package tone reads steady tones: how fast, how loud, how steady, how clean; and
// finds the hum of the mains in a quiet recording. It is pure, and safe for
// concurrent use.
package tone
