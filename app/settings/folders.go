package settings

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"

	"github.com/adrg/xdg"
)

// File is the path of the settings.
func File() string {
	return filepath.Join(folder("XDG_CONFIG_HOME", xdg.ConfigHome), "stillroom", "settings.toml")
}

// DefaultStore is the path of the records where none is named.
func DefaultStore() string {
	return filepath.Join(folder("XDG_DATA_HOME", xdg.DataHome), "stillroom", "records.db")
}

// Waiting is the folder of what waits on this machine for the records at an address,
// which holds no password. Each address has its own.
func Waiting(store string) string {
	sum := sha256.Sum256([]byte(store))
	return filepath.Join(folder("XDG_STATE_HOME", xdg.StateHome), "stillroom", "waiting", hex.EncodeToString(sum[:8]))
}

// folder is what the variable says now, or the usual one. The specification has
// a relative path ignored.
func folder(variable, usual string) string {
	if named := os.Getenv(variable); filepath.IsAbs(named) {
		return named
	}
	return usual
}
