package database

import (
	"errors"
	"io"
	"net"
	"net/url"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"stillroom/app/records"
)

// A network that is half dead: connections stay open, and nothing comes through. Each
// call ends in time and says that the server cannot be reached; when the network is
// back the same store works, and the take in hand goes in.
func TestSilentNetworkEndsInTime(t *testing.T) {
	t.Parallel()
	const patience, margin = 1500 * time.Millisecond, time.Second
	direct := newSchema(t, sharedAddress(t))
	wire := startWire(t, direct.url)
	store, err := openPostgres(t.Context(), wire.url, patience)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	one, two := sampleTake(1, 2000), sampleTake(2, 2000)
	keepAll(t, store, one)
	changes, err := store.Watch(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	wire.silent.Store(true)
	keep := func() error { return store.Keep(t.Context(), records.Kept{Take: two, Summary: sampleSummary()}) }
	for what, do := range map[string]func() error{
		"keep": keep,
		"read": func() error { _, err := store.Take(t.Context(), one.ID); return err },
		"list": func() error { _, err := store.List(t.Context(), records.Query{}); return err },
		"unit": func() error { _, err := store.KeepUnit(t.Context(), records.Unit{Serial: "1"}); return err },
		"walk": func() (last error) {
			for _, err := range store.Everything(t.Context()) {
				last = err
			}
			return last
		},
	} {
		began := time.Now()
		err := do()
		took := time.Since(began)
		if !errors.Is(err, records.ErrAway) || took > patience+margin {
			t.Errorf("%s: after %v: %v", what, took.Round(time.Millisecond), err)
		}
		t.Logf("%s ended after %v", what, took.Round(time.Millisecond))
	}
	if _, err := openPostgres(t.Context(), wire.url, patience); !errors.Is(err, records.ErrAway) {
		t.Errorf("opening: %v", err)
	}
	wire.silent.Store(false)
	if err := keep(); err != nil && !errors.Is(err, records.ErrExists) {
		t.Errorf("when the network is back: %v", err)
	}
	got, err := store.Take(t.Context(), two.ID)
	if err != nil || !sameBits(got.Capture.Channels, two.Capture.Channels) {
		t.Errorf("the take in hand: %v", err)
	}
	select { // the watch finds out by itself, at the latest when it asks
	case <-changes:
	case <-time.After(quietFor + askFor + 3*time.Second):
		t.Error("the watch does not say that something may have changed")
	}
}

// The commit goes out and the answer never comes: nobody can know whether the take is
// there, and to keep it again tells.
func TestAnswerThatIsLost(t *testing.T) {
	t.Parallel()
	wire := startWire(t, newSchema(t, sharedAddress(t)).url)
	store, err := openPostgres(t.Context(), wire.url, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	keepAll(t, store, sampleTake(1, 10))
	wire.deaf.Store(true)
	keep := func() error {
		return store.Keep(t.Context(), records.Kept{Take: sampleTake(2, 10), Summary: sampleSummary()})
	}
	if err := keep(); !errors.Is(err, records.ErrAway) {
		t.Errorf("got %v", err)
	}
	wire.deaf.Store(false)
	if err := keep(); err != nil && !errors.Is(err, records.ErrExists) {
		t.Errorf("again: %v", err)
	}
	if n, err := store.Count(t.Context(), records.Query{}, 0); n.Takes != 2 || err != nil {
		t.Errorf("%d takes (%v)", n.Takes, err)
	}
}

// wire hands bytes on to a server.
type wire struct {
	url    string
	server string
	silent atomic.Bool // it swallows what comes, in both directions
	deaf   atomic.Bool // it swallows what the server says
}

// startWire listens until the test ends.
func startWire(t *testing.T, address string) *wire {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	w := &wire{server: u.Host}
	u.Host = listener.Addr().String()
	w.url = u.String()
	var open sync.WaitGroup
	open.Go(func() {
		for {
			conn, err := listener.Accept()
			if err != nil {
				return
			}
			open.Go(func() { w.carry(conn) })
		}
	})
	t.Cleanup(func() { listener.Close() })
	return w
}

// carry copies both ways until one side closes.
func (w *wire) carry(client net.Conn) {
	defer client.Close()
	server, err := net.Dial("tcp", w.server)
	if err != nil {
		return
	}
	defer server.Close()
	done := make(chan struct{}, 2)
	go func() { w.copy(server, client, &w.silent, &w.silent); done <- struct{}{} }()
	go func() { w.copy(client, server, &w.silent, &w.deaf); done <- struct{}{} }()
	<-done
}

// copy hands on what comes, as long as none of the two swallows it.
func (w *wire) copy(to io.Writer, from io.Reader, one, other *atomic.Bool) {
	buffer := make([]byte, 64<<10)
	for {
		n, err := from.Read(buffer)
		if err != nil {
			return
		}
		if one.Load() || other.Load() {
			continue
		}
		if _, err := to.Write(buffer[:n]); err != nil {
			return
		}
	}
}
