package database

import (
	"context"
	"crypto/rand"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"stillroom/test/servers"
)

func TestMain(m *testing.M) {
	if work, isChild := childWorks()[os.Getenv(childWork)]; isChild {
		os.Exit(work())
	}
	status := m.Run()
	if err := endShared(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		status = 1
	}
	os.Exit(status)
}

// The server that most tests share is started when the first one asks for it.
// STILLROOM_POSTGRES names another one, by an address whose person may make schemas.
var shared = struct {
	sync.Mutex
	server  *servers.Server
	address string
}{}

func sharedAddress(t testing.TB) string {
	t.Helper()
	shared.Lock()
	defer shared.Unlock()
	if shared.address == "" {
		shared.address = os.Getenv("STILLROOM_POSTGRES")
	}
	if shared.address == "" {
		server, err := servers.Start(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		shared.server, shared.address = server, server.URL("postgres", servers.Owner, server.Password, "")
	}
	return shared.address
}

func endShared() error {
	if shared.server == nil {
		return nil
	}
	return shared.server.Close()
}

// place is where a test keeps its records.
type place struct {
	engine engine
	url    string
}

// both runs a test on each engine, in a new place.
func both(t *testing.T, test func(t *testing.T, p place)) {
	t.Helper()
	t.Run("SQLite", func(t *testing.T) { test(t, newFile(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { test(t, newSchema(t, sharedAddress(t))) })
}

func newFile(t testing.TB) place {
	path := filepath.Join(t.TempDir(), "records.db")
	return place{lite{path}, path}
}

// newSchema makes an empty schema at an address, and drops it after the test.
func newSchema(t testing.TB, address string) place {
	t.Helper()
	name := "t" + strings.ToLower(rand.Text())
	conn, err := pgx.Connect(context.Background(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	if _, err := conn.Exec(context.Background(), "CREATE SCHEMA "+name); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		conn, err := pgx.Connect(context.Background(), address)
		if err != nil {
			return // the server is gone, and the schema with it
		}
		defer conn.Close(context.Background())
		if _, err := conn.Exec(context.Background(), "DROP SCHEMA "+name+" CASCADE"); err != nil {
			t.Error(err)
		}
	})
	return place{server{}, withSetting(t, address, "search_path", name)}
}

func withSetting(t testing.TB, address, name, value string) string {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	settings := u.Query()
	settings.Set(name, value)
	u.RawQuery = settings.Encode()
	return u.String()
}

// open opens the records of a place for the test. It waits shortly for what is locked.
func (p place) open(t testing.TB) *database {
	t.Helper()
	d, err := openShortly(context.Background(), p.url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { d.Close() })
	return d
}

func openShortly(ctx context.Context, address string) (*database, error) {
	if strings.HasPrefix(address, "postgres://") {
		return openPostgres(ctx, address, 5*time.Second)
	}
	return openSQLite(ctx, address, 200*time.Millisecond)
}
