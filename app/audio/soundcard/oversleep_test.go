package soundcard_test

import (
	"runtime"
	"sync/atomic"
	"syscall"
	"time"
)

// watchSleep has a thread sleep a millisecond again and again. The function it
// returns ends that and tells by how much it overslept at worst: how late the
// machine is in running a thread that is due.
func watchSleep() (worst func() time.Duration) {
	var quit atomic.Bool
	most := make(chan time.Duration, 1)
	go func() {
		runtime.LockOSThread() // the thread ends with the goroutine
		var late time.Duration
		for !quit.Load() {
			began := time.Now()
			syscall.Nanosleep(&syscall.Timespec{Nsec: 1e6}, nil)
			late = max(late, time.Since(began)-time.Millisecond)
		}
		most <- late
	}()
	return func() time.Duration { quit.Store(true); return <-most }
}
