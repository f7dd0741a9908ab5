// Package tone reads steady tones: how fast, how loud, how steady, how clean. It is
// pure, and safe for concurrent use.
package tone
