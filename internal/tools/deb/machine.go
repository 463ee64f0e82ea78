package main

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// machine is a Debian in a folder, with a systemd that runs as the first process of its own
// namespaces. The network is that of this machine.
type machine struct {
	root  string
	pid   string // of its first process
	begun *exec.Cmd
	group string // its control group
}

//go:embed boot.sh
var bootScript string

// boot makes a clean Debian 12 in a folder and starts it.
func boot(ctx context.Context, root string) (*machine, error) {
	if err := run(ctx, "debootstrap", "--variant=minbase", "--include=systemd,systemd-sysv,dbus", "bookworm", root); err != nil {
		return nil, err
	}
	names, err := os.ReadFile("/etc/resolv.conf")
	if err != nil {
		return nil, err
	}
	if err := os.WriteFile(filepath.Join(root, "etc/resolv.conf"), names, 0o644); err != nil {
		return nil, err
	}
	groups, err := exec.CommandContext(ctx, "findmnt", "--noheadings", "--first-only", "--types", "cgroup2", "--output", "TARGET").Output()
	if err != nil {
		return nil, errors.New("this machine has no control groups of version 2, which systemd needs")
	}
	m := &machine{root: root, group: filepath.Join(strings.TrimSpace(string(groups)), "steadfall-deb")}
	if err := os.Mkdir(m.group, 0o755); err != nil && !errors.Is(err, os.ErrExist) {
		return nil, fmt.Errorf("a control group cannot be made: %w", err)
	}
	m.begun = exec.Command("sh", "-c", bootScript, "boot", root, m.group)
	m.begun.Stdout, m.begun.Stderr = os.Stderr, os.Stderr
	if err := m.begun.Start(); err != nil {
		return nil, err
	}
	err = wait(ctx, func() (bool, error) {
		first, err := exec.Command("pgrep", "-P", strconv.Itoa(m.begun.Process.Pid)).Output()
		m.pid = strings.TrimSpace(string(first))
		if err != nil {
			return false, nil // not yet
		}
		state, _ := m.inside(ctx, "systemctl", "is-system-running").Output() // its status is not 0 until all is up
		return strings.HasPrefix(string(state), "running") || strings.HasPrefix(string(state), "degraded"), nil
	})
	if err != nil {
		return nil, errors.Join(fmt.Errorf("systemd did not start: %w", err), m.halt())
	}
	return m, nil
}

// halt ends every process of the machine.
func (m *machine) halt() error {
	if pid, err := strconv.Atoi(m.pid); err == nil {
		_ = syscall.Kill(pid, syscall.SIGKILL) // all others of its namespace go with it
	}
	_ = m.begun.Wait() // it was killed
	return run(context.Background(), "find", m.group, "-depth", "-type", "d", "-exec", "rmdir", "{}", "+")
}

// inside is a command in the machine.
func (m *machine) inside(ctx context.Context, args ...string) *exec.Cmd {
	enter := append([]string{"--target", m.pid, "--mount", "--pid", "--uts", "--ipc", "--cgroup", "--root", "--wd"}, args...)
	cmd := exec.CommandContext(ctx, "nsenter", enter...)
	cmd.Env = []string{"PATH=/usr/sbin:/usr/bin:/sbin:/bin", "DEBIAN_FRONTEND=noninteractive", "LC_ALL=C.UTF-8", "HOME=/root"}
	return cmd
}

// say runs a command in the machine and shows what it says.
func (m *machine) say(ctx context.Context, args ...string) error {
	cmd := m.inside(ctx, args...)
	cmd.Stdout, cmd.Stderr = os.Stdout, os.Stderr
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("%s: %w", strings.Join(args, " "), err)
	}
	return nil
}

// until runs a command in the machine until it succeeds.
func (m *machine) until(ctx context.Context, args ...string) error {
	return wait(ctx, func() (bool, error) { return m.inside(ctx, args...).Run() == nil, nil })
}

// install installs a package with what it depends on, and nothing else.
func (m *machine) install(ctx context.Context, file string) error {
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(m.root, "root", filepath.Base(file)), data, 0o644); err != nil {
		return err
	}
	if err := m.say(ctx, "apt-get", "update", "-qq"); err != nil {
		return err
	}
	out, err := m.inside(ctx, "apt-get", "install", "-y", "-qq", "--no-install-recommends", "/root/"+filepath.Base(file)).CombinedOutput()
	if err != nil {
		return fmt.Errorf("the package cannot be installed: %w\n%s", err, out)
	}
	return nil
}

// firstLink is the link of the first account, which the desk writes into the journal.
func (m *machine) firstLink(ctx context.Context) (link string, err error) {
	err = wait(ctx, func() (bool, error) {
		text, err := m.inside(ctx, "journalctl", "--unit=steadfall", "--output=cat", "--no-pager").Output()
		if err != nil {
			return false, err
		}
		if _, at, ok := strings.Cut(string(text), "once: "); ok {
			link, _, _ = strings.Cut(at, "\n")
		}
		return link != "", nil
	})
	return strings.TrimSpace(link), err
}

// run runs a command of this machine; what it says is shown when it fails.
func run(ctx context.Context, name string, args ...string) error {
	if out, err := exec.CommandContext(ctx, name, args...).CombinedOutput(); err != nil {
		return fmt.Errorf("%s: %w\n%s", name, err, out)
	}
	return nil
}

// patience is how long the service may take to come up, and a clip to be scored.
const patience = 5 * time.Minute

// wait asks until the answer is yes.
func wait(ctx context.Context, done func() (bool, error)) error {
	ctx, stop := context.WithTimeout(ctx, patience)
	defer stop()
	for {
		if ok, err := done(); err != nil || ok {
			return err
		}
		select {
		case <-ctx.Done():
			return errors.New("it did not happen in " + patience.String())
		case <-time.After(500 * time.Millisecond):
		}
	}
}
