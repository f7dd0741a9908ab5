//go:build !linux

package rigs

import "syscall"

// dieWithTest has no counterpart here.
func dieWithTest(*syscall.SysProcAttr) {}
