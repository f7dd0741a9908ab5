package rigs

import "syscall"

// dieWithTest has the program killed when the test process is, so that no
// server outlives a test that was ended by force.
func dieWithTest(a *syscall.SysProcAttr) { a.Pdeathsig = syscall.SIGKILL }
