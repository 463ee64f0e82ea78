// Command deb tries the Debian package in a Debian 12 of its own, started with its own
// systemd: installed, the demo run, the desk as a service scoring a clip, upgraded with the
// archive in place, removed, purged. It needs root, debootstrap and a network, and prints
// each step.
//
//	go run ./internal/tools/deb PACKAGE.deb NEWER.deb
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"

	"steadfall/internal/archive"
	"steadfall/internal/testkit/desktest"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	err := errors.New("name the package and a newer one of it")
	if len(os.Args) == 3 {
		err = try(ctx, os.Args[1], os.Args[2])
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "deb: error:", err)
		stop()
		os.Exit(1)
	}
}

// kept is the archive, in the root.
const kept = "var/lib/steadfall/squad"

func try(ctx context.Context, first, newer string) (err error) {
	tmp, err := os.MkdirTemp("", "steadfall-deb-")
	if err != nil {
		return err
	}
	step := func(words string) { fmt.Println("deb:", words) }
	step("making a clean Debian 12")
	m, err := boot(ctx, filepath.Join(tmp, "root"))
	if err != nil {
		return errors.Join(err, os.RemoveAll(tmp))
	}
	defer func() { err = errors.Join(err, m.halt(), os.RemoveAll(tmp)) }()
	// A squad that is there before the service is, so that somebody may film at once.
	squad, session, err := desktest.NewSquad(ctx, filepath.Join(m.root, kept), "Ash")
	if err != nil {
		return err
	}
	defer squad.Close()

	step("installing " + first)
	if err := m.install(ctx, first); err != nil {
		return err
	}
	link, err := m.firstLink(ctx)
	if err != nil {
		return err
	}
	for _, check := range [][]string{
		{"systemd-analyze", "verify", "steadfall.service"},
		{"systemctl", "show", "--property=User,ActiveState,SubState,NRestarts", "steadfall"},
		{"systemctl", "is-enabled", "steadfall"},
		{"su", "nobody", "-s", "/bin/sh", "-c", "! ls /var/lib/steadfall"}, // others see nothing
	} {
		if err := m.say(ctx, check...); err != nil {
			return err
		}
	}
	step("a clip is filmed, sent to the desk and scored")
	if err := film(ctx, squad, session, link); err != nil {
		return err
	}
	step("the demo, as somebody with no rights")
	if err := m.say(ctx, "sh", "-c", "useradd --create-home coach; su coach -c 'cd && steadfall demo --dir pages' >/root/demo.log 2>&1; status=$?; tail -n 6 /root/demo.log; exit $status"); err != nil {
		return err
	}
	step("upgrading to " + newer)
	if err := m.install(ctx, newer); err != nil {
		return err
	}
	if err := m.until(ctx, "systemctl", "is-active", "steadfall"); err != nil {
		return err
	}
	if err := m.say(ctx, "steadfall", "--version"); err != nil {
		return err
	}
	if err := intact(ctx, squad); err != nil {
		return err
	}
	for _, how := range []string{"remove", "purge"} {
		step(how)
		if err := m.say(ctx, "apt-get", how, "-y", "-qq", "steadfall"); err != nil {
			return err
		}
		if err := m.say(ctx, "sh", "-c", "! systemctl is-active steadfall && ! command -v steadfall"); err != nil {
			return err
		}
		if err := intact(ctx, squad); err != nil {
			return err
		}
	}
	if left, err := filepath.Glob(filepath.Join(m.root, "etc/default/steadfall*")); err != nil || len(left) > 0 {
		return fmt.Errorf("after the purge there is %v", left)
	}
	step("installed, run, served, upgraded, removed; the archive is whole")
	return nil
}

// film sends a clip to the desk and waits until it is scored.
func film(ctx context.Context, squad *archive.Archive, session archive.Session, link string) error {
	clip, err := os.ReadFile(filepath.Join("testdata", "clips", "two_foot_knee_in_front.mp4"))
	if err != nil {
		return err
	}
	base, _, _ := strings.Cut(strings.TrimPrefix(link, "http://"), "/")
	c := desktest.NewClient("http://" + base)
	if err := c.Enter(ctx, link, "Reed", "long enough now"); err != nil {
		return err
	}
	about := map[string]string{"session": fmt.Sprint(session.ID), "athlete": "Ash", "key": "upload-0001", "task": "drop-landing", "limb": "both", "view": "front", "wants": "front"}
	if err := c.Upload(ctx, about, clip); err != nil {
		return err
	}
	return wait(ctx, func() (bool, error) {
		takes, err := squad.Takes(ctx, session.ID)
		if err != nil || len(takes) != 1 {
			return false, err
		}
		if takes[0].State == archive.Refused {
			return false, fmt.Errorf("the clip was refused: %s", takes[0].Why)
		}
		return len(takes[0].Trials) == 1, nil
	})
}

// intact looks whether the archive still has its trial and no problem.
func intact(ctx context.Context, squad *archive.Archive) error {
	c, err := squad.Check(ctx, nil)
	if err != nil {
		return err
	}
	if len(c.Problems) > 0 || c.Trials != 1 {
		return fmt.Errorf("the archive has %d trials of 1 and these problems: %v", c.Trials, c.Problems)
	}
	return nil
}
