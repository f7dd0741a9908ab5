package rigs

import (
	"runtime"
	"sync/atomic"
	"syscall"
	"time"
)

// LateLimit is the oversleep from which a machine counts as late: a small part of the
// 50 ms that a stop may take.
const LateLimit = 4 * time.Millisecond

// WatchSleep has a thread sleep a millisecond again and again. The function it
// returns ends that and tells by how much it overslept at worst: how late the
// machine was in running a thread that was due. A check of timing that fails counts
// unless that is above LateLimit.
func WatchSleep() (worst func() time.Duration) {
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
