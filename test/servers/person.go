package servers

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
)

// identity is whom the server runs as. It refuses to run as root, so there it is the
// user that its package made, or nobody. Otherwise it is whoever runs the test.
func identity() (*syscall.Credential, error) {
	if os.Getuid() != 0 {
		return nil, nil
	}
	for _, name := range []string{"postgres", "nobody"} {
		found, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, err1 := strconv.Atoi(found.Uid)
		gid, err2 := strconv.Atoi(found.Gid)
		if err := errors.Join(err1, err2); err != nil {
			return nil, err
		}
		return &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}, nil
	}
	return nil, errors.New("the server refuses to run as root, and there is no user postgres or nobody: run the tests as another user")
}

// give makes everything in the folder belong to the one whom the server runs as.
func (s *Server) give() error {
	if s.identity == nil {
		return nil
	}
	return filepath.WalkDir(s.Folder, func(path string, _ fs.DirEntry, err error) error {
		return errors.Join(err, os.Lchown(path, int(s.identity.Uid), int(s.identity.Gid)))
	})
}

// watch starts a shell that waits until this program closes its end of a pipe, by
// Close or by its death, and then ends the server and removes the folder.
func (s *Server) watch() (io.Closer, error) {
	cmd := exec.Command("/bin/sh", "-c", `read gone
		kill -QUIT "$(head -n 1 "$1/data/postmaster.pid" 2>/dev/null)" 2>/dev/null && sleep 1
		rm -rf "$1"`, "watch", s.Folder)
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	pipe, err := cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	go cmd.Wait()
	return pipe, nil
}
