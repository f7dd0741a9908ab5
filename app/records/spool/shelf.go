package spool

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"stillroom/app/records"
)

// shelf is what is known on this machine of the documents of the main store: as they
// were read last, and as they were changed since while it was away.
type shelf struct {
	folder string

	mu     sync.Mutex
	lists  map[records.Kind][]paper // nil: not read from the disk yet
	failed error                    // writing the list for another day
}

// paper is one document.
type paper struct {
	records.Document
	Base    int  // version in the main store that a change was made to; 0: none there
	Changed bool `json:",omitzero"` // while the main store was away
}

// held are the kinds that are needed to go on measuring.
func held() []records.Kind {
	return []records.Kind{records.RigKind, records.ModelKind, records.ReferenceKind}
}

func newShelf(folder string) *shelf {
	return &shelf{folder: folder, lists: map[records.Kind][]paper{}}
}

// list is what is known of a kind, by name. The lock is held.
func (h *shelf) list(kind records.Kind) []paper {
	if list, known := h.lists[kind]; known {
		return list
	}
	var list []paper
	if text, err := os.ReadFile(h.file(kind)); err == nil && json.Unmarshal(text, &list) != nil {
		list = nil // it was not written whole: as if nothing had been read before
	}
	h.lists[kind] = list
	return list
}

func (h *shelf) file(kind records.Kind) string {
	sum := sha256.Sum256([]byte(kind))
	return filepath.Join(h.folder, "known-"+hex.EncodeToString(sum[:6])+".json")
}

// put holds a list from now on, and on the disk. The lock is held.
func (h *shelf) put(kind records.Kind, list []paper) error {
	slices.SortFunc(list, func(a, b paper) int { return strings.Compare(a.Name, b.Name) })
	text, err := json.Marshal(list)
	if err != nil {
		return err
	}
	if before, err := json.Marshal(h.lists[kind]); err == nil && bytes.Equal(before, text) && h.failed == nil {
		return nil
	}
	h.lists[kind] = list
	h.failed = h.write(h.file(kind), text)
	return h.failed
}

// write replaces a file: all of it or nothing.
func (h *shelf) write(path string, text []byte) error {
	if err := os.MkdirAll(h.folder, 0o700); err != nil {
		return err
	}
	draft, err := os.CreateTemp(h.folder, draftHead)
	if err != nil {
		return err
	}
	defer os.Remove(draft.Name())
	_, err = draft.Write(text)
	if err == nil {
		err = draft.Sync()
	}
	if closing := draft.Close(); err == nil {
		err = closing
	}
	if err == nil {
		err = os.Rename(draft.Name(), path)
	}
	if err == nil {
		err = syncFolder(h.folder)
	}
	return err
}

// read remembers what the main store has of a kind, and returns it with what was
// changed here and did not go over yet.
func (h *shelf) read(kind records.Kind, documents []records.Document) []records.Document {
	h.mu.Lock()
	defer h.mu.Unlock()
	var list []paper
	for _, p := range h.list(kind) {
		if p.Changed {
			list = append(list, p)
		}
	}
	for _, d := range documents {
		if !slices.ContainsFunc(list, func(p paper) bool { return p.Name == d.Name }) {
			list = append(list, paper{Document: d, Base: d.Version})
		}
	}
	_ = h.put(kind, list) // without it the next start knows less, and nothing is lost
	return plain(h.list(kind))
}

// known is what is known of a kind.
func (h *shelf) known(kind records.Kind) []records.Document {
	h.mu.Lock()
	defer h.mu.Unlock()
	return plain(h.list(kind))
}

func plain(list []paper) []records.Document {
	documents := make([]records.Document, len(list))
	for i, p := range list {
		documents[i] = p.Document
	}
	return documents
}

// replace takes a document away; another one takes its place where one is given.
func (h *shelf) replace(kind records.Kind, name string, by ...paper) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	list := slices.DeleteFunc(slices.Clone(h.list(kind)), func(p paper) bool { return p.Name == name })
	return h.put(kind, append(list, by...))
}

// find is one document; found is false where none is known.
func (h *shelf) find(kind records.Kind, name string) (p paper, found bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, p := range h.list(kind) {
		if p.Name == name {
			return p, true
		}
	}
	return paper{}, false
}

// changes are what was changed here and did not go over yet.
func (h *shelf) changes() []paper {
	h.mu.Lock()
	defer h.mu.Unlock()
	var all []paper
	for _, kind := range held() {
		for _, p := range h.list(kind) {
			if p.Changed {
				all = append(all, p)
			}
		}
	}
	return all
}
