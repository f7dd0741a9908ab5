package main

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// release is the version of the program, kept in each take.
const release = "0.1.0"

// about is the command that tells the version. It is "version" to the user.
func (p *program) about() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Tell the version of the program",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if p.json {
				return p.printJSON(map[string]string{"version": version()})
			}
			_, err := fmt.Fprintln(p.out, "stillroom", version())
			return err
		},
	}
}

// version is the release with the commit it was built from, where that is known.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return release
	}
	commit, changed := "", ""
	for _, setting := range info.Settings {
		switch {
		case setting.Key == "vcs.revision" && len(setting.Value) >= 12:
			commit = "+" + setting.Value[:12]
		case setting.Key == "vcs.modified" && setting.Value == "true":
			changed = ".changed"
		}
	}
	if commit == "" {
		return release
	}
	return release + commit + changed
}
