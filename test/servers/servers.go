// Package servers starts PostgreSQL servers for tests: each in a folder of its own,
// on a free port, with a password and a certificate. A server that its test left
// behind, however that ended, ends by itself.
package servers

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"net"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// Owner is the person who owns all of a private server.
const Owner = "owner"

// Server is one PostgreSQL server. A test may stop it, kill it and start it again.
type Server struct {
	Folder   string // of its data, its log, its socket and its certificate
	Port     int    // on 127.0.0.1
	Password string // of Owner

	programs string // folder of postgres, initdb …
	identity *syscall.Credential
	guard    io.Closer
	process  *exec.Cmd
	ended    chan error // of process
}

// Start makes and starts a server. Stop it and remove its folder with Close.
func Start(ctx context.Context) (s *Server, err error) {
	s = &Server{Password: rand.Text()}
	if s.programs, err = programs(); err != nil {
		return nil, err
	}
	if s.identity, err = identity(); err != nil {
		return nil, err
	}
	if s.Folder, err = os.MkdirTemp("", "postgres-"); err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, s.Close())
		}
	}()
	if err := s.make(ctx); err != nil {
		return nil, err
	}
	if s.guard, err = s.watch(); err != nil {
		return nil, err
	}
	return s, s.Resume(ctx)
}

// programs finds the server's programs: on the path, or where Debian puts them.
func programs() (string, error) {
	if path, err := exec.LookPath("postgres"); err == nil {
		if path, err = filepath.EvalSymlinks(path); err == nil {
			return filepath.Dir(path), nil
		}
	}
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/postgres")
	if err != nil || len(found) == 0 {
		return "", errors.New("there is no PostgreSQL server to test with: run scripts/packages build test, or install postgresql")
	}
	slices.SortFunc(found, func(a, b string) int { return version(a) - version(b) })
	return filepath.Dir(found[len(found)-1]), nil
}

// version is the number in the path of Debian's postgres.
func version(path string) int {
	n, _ := strconv.Atoi(filepath.Base(filepath.Dir(filepath.Dir(path))))
	return n
}

// make fills the folder: the data, the certificate, the settings.
func (s *Server) make(ctx context.Context) error {
	if err := s.certify(); err != nil {
		return err
	}
	secret := filepath.Join(s.Folder, "password")
	if err := os.WriteFile(secret, []byte(s.Password), 0o600); err != nil {
		return err
	}
	if err := s.give(); err != nil {
		return err
	}
	if out, err := s.run(ctx, "initdb", "--pgdata", s.data(), "--username", Owner, "--pwfile", secret, "--auth", "scram-sha-256",
		"--auth-local", "trust", "--encoding", "UTF8", "--locale", "C.UTF-8", "--no-sync"); err != nil {
		return fmt.Errorf("initdb: %w: %s", err, out)
	}
	var err error
	if s.Port, err = freePort(); err != nil {
		return err
	}
	settings, err := os.OpenFile(filepath.Join(s.data(), "postgresql.conf"), os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(settings, `
listen_addresses = '127.0.0.1'
port = %d
unix_socket_directories = '%s'
ssl = on
ssl_cert_file = '%[2]s/server.crt'
ssl_key_file = '%[2]s/server.key'
max_connections = 60
shared_buffers = 64MB
fsync = on
`, s.Port, s.Folder)
	return errors.Join(err, settings.Close())
}

func (s *Server) data() string { return filepath.Join(s.Folder, "data") }

// command is a program of the server, run by the one who may run it.
func (s *Server) command(ctx context.Context, name string, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, filepath.Join(s.programs, name), args...)
	cmd.Dir = s.Folder
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "LC_ALL=C.UTF-8"}
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: s.identity}
	return cmd
}

func (s *Server) run(ctx context.Context, name string, args ...string) (string, error) {
	out, err := s.command(ctx, name, args...).CombinedOutput()
	return string(bytes.TrimSpace(out)), err
}

// Resume starts the server after a Stop or a Kill, and waits until it answers.
func (s *Server) Resume(ctx context.Context) error {
	deadline := time.Now().Add(30 * time.Second)
	for {
		err := s.begin(ctx)
		if err == nil {
			return nil
		}
		if ctx.Err() != nil || time.Now().After(deadline) {
			return fmt.Errorf("the server does not start: %w: %s", err, s.Log())
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// begin starts the first process. It ends at once where processes of one that was
// killed are still there.
func (s *Server) begin(ctx context.Context) error {
	log, err := os.OpenFile(filepath.Join(s.Folder, "log"), os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	defer log.Close()
	process := s.command(context.WithoutCancel(ctx), "postgres", "-D", s.data())
	process.Stdout, process.Stderr = log, log
	process.SysProcAttr.Setpgid = true // a Ctrl+C at the test is not for the server
	if err := process.Start(); err != nil {
		return err
	}
	ended := make(chan error, 1)
	go func() { ended <- process.Wait() }()
	for {
		if _, err := s.run(ctx, "pg_isready", "-q", "-h", s.Folder, "-p", strconv.Itoa(s.Port)); err == nil {
			s.process, s.ended = process, ended
			return nil
		}
		select {
		case err := <-ended:
			return fmt.Errorf("it ended: %w", err)
		case <-ctx.Done():
			process.Process.Signal(syscall.SIGQUIT)
			return ctx.Err()
		case <-time.After(10 * time.Millisecond):
		}
	}
}

// Stop ends the server as its own administrator would, without waiting for those who
// are connected.
func (s *Server) Stop() error { return s.end(syscall.SIGINT) }

// Kill ends the server's first process with SIGKILL. The others notice it and end.
func (s *Server) Kill() error { return s.end(syscall.SIGKILL) }

func (s *Server) end(signal syscall.Signal) error {
	if s.process == nil {
		return nil
	}
	process := s.process
	s.process = nil
	err := process.Process.Signal(signal)
	<-s.ended // how it ended is no news
	return err
}

// Log is what the server said last.
func (s *Server) Log() string {
	text, _ := os.ReadFile(filepath.Join(s.Folder, "log"))
	return string(text[max(0, len(text)-4000):])
}

// Close stops the server and removes its folder.
func (s *Server) Close() error {
	err := s.Stop()
	if s.guard != nil {
		err = errors.Join(err, s.guard.Close())
	}
	return errors.Join(err, os.RemoveAll(s.Folder))
}

// URL is the address of a database for a person, with further settings such as
// "sslmode=disable". The password is in it where one is given.
func (s *Server) URL(database, person, password, settings string) string {
	where := url.URL{Scheme: "postgres", User: url.UserPassword(person, password),
		Host: net.JoinHostPort("127.0.0.1", strconv.Itoa(s.Port)), Path: "/" + database, RawQuery: settings}
	if password == "" {
		where.User = url.User(person)
	}
	return where.String()
}

// Run runs SQL as the owner with PostgreSQL's own shell, and returns what it prints.
func (s *Server) Run(ctx context.Context, database, text string) (string, error) {
	cmd := s.command(ctx, "psql", "-X", "-q", "-A", "-t", "-v", "ON_ERROR_STOP=1", "-h", s.Folder, "-p", strconv.Itoa(s.Port), "-U", Owner, "-d", database)
	cmd.Stdin = strings.NewReader(text)
	out, err := cmd.CombinedOutput()
	if err != nil {
		err = fmt.Errorf("psql: %w: %s", err, out)
	}
	return strings.TrimSpace(string(out)), err
}

// freePort is a port of this machine that nothing listens on.
func freePort() (int, error) {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	defer listener.Close()
	return listener.Addr().(*net.TCPAddr).Port, nil
}
