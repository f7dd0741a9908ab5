// Package window_test walks through the real window of the program: a virtual
// screen (Xvfb) with a window manager (openbox), the mouse and the keyboard moved
// from outside (xdotool), on the simulated rig in a home of its own. What happened
// is read from the trace that the program writes and from its records.
package window_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// screen is a virtual screen with a window manager.
type screen struct {
	t       *testing.T
	display string
	home    string
	width   int
	height  int
}

// newScreen starts a screen. A missing tool fails the test: the walk is not to be
// left out unseen.
func newScreen(t *testing.T, width, height int) *screen {
	t.Helper()
	for _, tool := range []string{"Xvfb", "openbox", "xdotool", "import"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Fatalf("%s is needed: install the Debian packages xvfb, openbox, xdotool and imagemagick", tool)
		}
	}
	s := &screen{t: t, home: t.TempDir(), width: width, height: height}
	s.startServer()
	s.start("openbox", "--config-file", s.undecorated())
	time.Sleep(500 * time.Millisecond)
	return s
}

// startServer starts Xvfb, which chooses a free display and tells it.
func (s *screen) startServer() {
	read, write, err := os.Pipe()
	if err != nil {
		s.t.Fatal(err)
	}
	defer read.Close()
	cmd := exec.Command("Xvfb", "-displayfd", "3", "-nolisten", "tcp", "-screen", "0", fmt.Sprintf("%dx%dx24", s.width, s.height))
	cmd.ExtraFiles = []*os.File{write}
	s.run(cmd)
	write.Close()
	var number int
	if _, err := fmt.Fscan(read, &number); err != nil {
		s.t.Fatalf("the virtual screen did not start: %v", err)
	}
	s.display = fmt.Sprintf(":%d", number)
}

// undecorated is a configuration of the window manager without title bars, so that
// the window is as large as the screen; Alt+F4 asks a window to close.
func (s *screen) undecorated() string {
	path := filepath.Join(s.home, "openbox.xml")
	config := `<openbox_config xmlns="http://openbox.org/3.4/rc"><keyboard><keybind key="A-F4"><action name="Close"/></keybind></keyboard><applications><application class="*"><decor>no</decor><maximized>true</maximized></application></applications></openbox_config>`
	if err := os.WriteFile(path, []byte(config), 0o600); err != nil {
		s.t.Fatal(err)
	}
	return path
}

// env is a home of its own, so that nothing of the user's is touched.
func (s *screen) env() []string {
	return append(os.Environ(), "DISPLAY="+s.display, "LANG=en_US.UTF-8", "HOME="+s.home,
		"XDG_CONFIG_HOME="+s.home+"/config", "XDG_DATA_HOME="+s.home+"/data", "XDG_CACHE_HOME="+s.home+"/cache",
		"XDG_RUNTIME_DIR="+s.home, "JACK_NO_START_SERVER=1", "STILLROOM_STORE=", "STILLROOM_TRACE="+s.trace())
}

func (s *screen) trace() string { return filepath.Join(s.home, "trace") }

func (s *screen) records() string { return filepath.Join(s.home, "data", "stillroom", "records.db") }

func (s *screen) start(name string, args ...string) { s.run(exec.Command(name, args...)) }

// run starts a process that ends with the test.
func (s *screen) run(cmd *exec.Cmd) {
	s.t.Helper()
	cmd.Env = s.env()
	if err := cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() {
		cmd.Process.Signal(syscall.SIGTERM)
		cmd.Wait()
	})
}

// program is the program under test, running.
type program struct {
	*screen
	cmd    *exec.Cmd
	output bytes.Buffer
	seen   int // bytes of the trace that were looked at
}

// open starts the program and waits for its window.
func (s *screen) open(path string) *program {
	s.t.Helper()
	p := &program{screen: s, cmd: exec.Command(path)}
	if old, err := os.ReadFile(s.trace()); err == nil {
		p.seen = len(old)
	}
	p.cmd.Env = s.env()
	p.cmd.Stdout, p.cmd.Stderr = &p.output, &p.output
	if err := p.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { p.cmd.Process.Kill() })
	p.await("open")
	p.tool("xdotool", "search", "--sync", "--onlyvisible", "--name", "^Stillroom$")
	time.Sleep(time.Second)
	return p
}

// await waits for a line of the trace that begins with want, after those that were
// waited for before, and returns it.
func (p *program) await(want string) string {
	p.t.Helper()
	for end := time.Now().Add(60 * time.Second); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		if line, ok := p.next(want); ok {
			return line
		}
	}
	text, _ := os.ReadFile(p.trace())
	p.picture("failed")
	p.t.Fatalf("the window never told %q.\ntrace:\n%s\noutput:\n%s", want, text, p.output.String())
	return ""
}

// next is the first line of the trace that begins with want and was not looked at
// before, if there is one.
func (p *program) next(want string) (string, bool) {
	text, err := os.ReadFile(p.trace())
	if err != nil || len(text) <= p.seen {
		return "", false
	}
	at := p.seen
	for line := range strings.Lines(string(text[p.seen:])) {
		at += len(line)
		if strings.HasPrefix(line, want) && strings.HasSuffix(line, "\n") {
			p.seen = at
			return strings.TrimSpace(line), true
		}
	}
	return "", false
}

// tool runs one of the X tools.
func (p *program) tool(name string, args ...string) string {
	p.t.Helper()
	ctx, stop := context.WithTimeout(context.Background(), 30*time.Second)
	defer stop()
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Env = p.env()
	out, err := cmd.CombinedOutput()
	if err != nil {
		p.t.Fatalf("%s %v: %v: %s", name, args, err, out)
	}
	return string(out)
}

func (p *program) click(x, y int) {
	p.t.Helper()
	p.tool("xdotool", "mousemove", fmt.Sprint(x), fmt.Sprint(y), "click", "1")
}

// drag moves the mouse with its button held, in steps as a hand does.
func (p *program) drag(fromX, toX, y int) {
	p.t.Helper()
	p.tool("xdotool", "mousemove", fmt.Sprint(fromX), fmt.Sprint(y), "mousedown", "1")
	for i := 1; i <= 8; i++ {
		p.tool("xdotool", "mousemove", fmt.Sprint(fromX+(toX-fromX)*i/8), fmt.Sprint(y))
		time.Sleep(40 * time.Millisecond)
	}
	p.tool("xdotool", "mouseup", "1")
}

func (p *program) key(keys ...string) {
	p.t.Helper()
	p.tool("xdotool", append([]string{"key", "--delay", "60"}, keys...)...)
}

// where is the middle of something of the bench, as the window told it last.
func (p *program) where(name string) (x, y int) {
	p.t.Helper()
	time.Sleep(500 * time.Millisecond)
	for end := time.Now().Add(10 * time.Second); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		text, err := os.ReadFile(p.trace())
		if err != nil {
			continue
		}
		last := string(text[max(bytes.LastIndex(text, []byte("\nplaces")), 0):])
		if _, rest, ok := strings.Cut(last, " "+name+"="); ok {
			if _, err := fmt.Sscanf(rest, "%d,%d", &x, &y); err == nil {
				return x, y
			}
		}
	}
	p.picture("failed")
	p.t.Fatalf("the window never told where %q is", name)
	return 0, 0
}

// press clicks something of the bench.
func (p *program) press(name string) {
	p.t.Helper()
	x, y := p.where(name)
	p.click(x, y)
}

// fill types into a field of the bench, in place of what stands there.
func (p *program) fill(name, text string) {
	p.t.Helper()
	p.press(name)
	p.key("ctrl+a")
	p.tool("xdotool", "type", "--delay", "25", text)
}

// shut closes the window as the window manager does and waits for the program.
func (p *program) shut() {
	p.t.Helper()
	p.key("alt+F4")
	p.ended()
}

// ended waits until the program has ended by itself.
func (p *program) ended() {
	p.t.Helper()
	done := make(chan error, 1)
	go func() { done <- p.cmd.Wait() }()
	select {
	case err := <-done:
		if err != nil {
			p.t.Errorf("the program ended with %v: %s", err, p.output.String())
		}
	case <-time.After(20 * time.Second):
		p.t.Fatalf("the program did not end: %s", p.output.String())
	}
}

// picture keeps what the screen shows, in the folder that STILLROOM_PICTURES names.
func (p *program) picture(name string) {
	p.t.Helper()
	folder := os.Getenv("STILLROOM_PICTURES")
	if folder == "" {
		return
	}
	time.Sleep(600 * time.Millisecond)
	p.tool("import", "-window", "root", filepath.Join(folder, fmt.Sprintf("%s-%d.png", name, p.width)))
}
