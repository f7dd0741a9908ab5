package desk

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"stillroom/app/audio"
)

// sound lets one work at a time have the sound interface.
type sound struct {
	desk *Desk

	mu     sync.Mutex
	cancel context.CancelFunc
	done   chan struct{} // closed when the present work has ended
	work   Work
}

// begin takes the interface for w. A meter that only listens gives way; any other
// work that runs makes begin fail with audio.ErrBusy. end must be called.
func (s *sound) begin(ctx context.Context, w Work) (context.Context, func(), error) {
	for {
		s.mu.Lock()
		if s.cancel == nil {
			ctx, cancel := context.WithCancel(ctx)
			s.cancel, s.done, s.work = cancel, make(chan struct{}), w
			s.mu.Unlock()
			s.desk.change(WorkTopic, func(st *State) { st.Work = w })
			return ctx, s.end, nil
		}
		work, done := s.work, s.done
		if work != Listening {
			s.mu.Unlock()
			return nil, nil, fmt.Errorf("the desk is still %s: wait, or press Esc to stop it: %w", work, audio.ErrBusy)
		}
		s.cancel()
		s.mu.Unlock()
		<-done
	}
}

func (s *sound) end() {
	s.desk.change(WorkTopic|LevelTopic, func(st *State) {
		st.Work = Idle
		st.Level.On = false
	})
	s.mu.Lock()
	defer s.mu.Unlock()
	s.cancel()
	close(s.done)
	s.cancel, s.done, s.work = nil, nil, Idle
}

func (s *sound) cancelNow() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.cancel != nil {
		s.cancel()
	}
}

func (s *sound) wait() {
	s.mu.Lock()
	done := s.done
	s.mu.Unlock()
	if done != nil {
		<-done
	}
}

// stopped tells whether err only says that somebody pressed stop.
func stopped(err error) bool {
	return errors.Is(err, context.Canceled)
}
