package intake

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"steadfall/internal/archive"
	"steadfall/internal/pipeline"
	"steadfall/scoring"
)

// Import is a folder on its way into a session.
type Import struct {
	Archive   *archive.Archive
	Session   archive.Session
	Folder    string
	Patterns  []Pattern
	Usual     pipeline.Request // task, limb, box, rate, points and checklist where names do not say
	KeepClips bool
	Move      bool                                   // files that are kept under another name are filed under this one
	Wait      func()                                 // told when another import must finish first; may be nil
	Kept      func(t archive.Trial, s scoring.Score) // told when a trial is safe on the disk
	Tell      func(stage string, done, total int)
	Pipeline  pipeline.Runner // nil: pipeline.Run
}

// Done says what became of the files.
type Done struct {
	Kept    int      // trials, with their landings counted one by one
	Already int      // that were there before
	Moved   []string // what was filed anew, and from where
	Failed  []string
	Other   []string // files whose names do not fit
}

// candidate is one trial in the folder. A view has a clip, a track, or both.
type candidate struct {
	key
	front, side pipeline.Files
	hashes      map[string]string // of the files' content, by their names
}

func (c candidate) name() string {
	return archive.Trial{Athlete: c.athlete, Task: c.task, Limb: c.limb, Number: c.number}.ShortName()
}

// given are the files that the views are known by, the front first: clips, and tracks where there
// is no clip.
func (c candidate) given() (out []string) {
	for _, f := range []string{cmp.Or(c.front.Clip, c.front.Track), cmp.Or(c.side.Clip, c.side.Track)} {
		if f != "" {
			out = append(out, f)
		}
	}
	return out
}

func (c candidate) files() []string {
	var out []string
	for _, f := range []string{c.front.Clip, c.front.Track, c.side.Clip, c.side.Track} {
		if f != "" {
			out = append(out, f)
		}
	}
	return out
}

// filmed reports whether a file is what a view is known by.
func (c candidate) filmed(file string) bool { return slices.Contains(c.given(), file) }

// Run scores and keeps every trial of the folder that is not in the archive yet. A trial
// that cannot be scored is named in Failed and the others go on. When interrupted, what
// was kept stays, and the same import goes on from there.
func (im Import) Run(ctx context.Context) (Done, error) {
	found, other, err := im.find()
	if err != nil {
		return Done{Other: other}, err
	}
	out := Done{Other: other}
	over, err := im.Archive.Turn(ctx, im.Wait)
	if err != nil {
		return out, err
	}
	defer over()
	athletes, err := im.Archive.Athletes(ctx)
	if err != nil {
		return out, err
	}
	if found, err = im.distinct(ctx, found, &out); err != nil {
		return out, err
	}
	var lock sync.Mutex
	g, gctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	if slices.ContainsFunc(found, func(c candidate) bool { return c.front.Clip != "" || c.side.Clip != "" }) {
		g.SetLimit(1) // placing points uses every core by itself
	}
	done := 0
	for _, c := range found {
		if gctx.Err() != nil {
			break
		}
		g.Go(func() error {
			kept, moved, err := im.one(gctx, c, athletes)
			lock.Lock()
			defer lock.Unlock()
			done++
			if im.Tell != nil {
				im.Tell("importing "+filepath.Base(im.Folder), done, len(found))
			}
			var no *failure
			switch {
			case errors.As(err, &no):
				out.Failed = append(out.Failed, fmt.Sprintf("%s: %v", c.name(), err))
				return nil
			case err != nil:
				return err
			case moved != "":
				out.Moved = append(out.Moved, moved)
			case len(kept) == 0:
				out.Already++
			}
			for _, r := range kept {
				out.Kept++
				if im.Kept != nil {
					im.Kept(r.Trial, r.Result.Score)
				}
			}
			return nil
		})
	}
	err = g.Wait()
	if ctx.Err() != nil {
		err = ctx.Err()
	}
	slices.Sort(out.Failed)
	slices.Sort(out.Moved)
	return out, err
}

// failure is a trial that could not be taken, as against an archive that cannot be used.
type failure struct{ err error }

func (f *failure) Error() string { return f.err.Error() }

// find sorts the folder's files into trials.
func (im Import) find() (found []candidate, other []string, err error) {
	entries, err := os.ReadDir(im.Folder)
	if err != nil {
		return nil, nil, fmt.Errorf("the folder %q cannot be read; check its name", im.Folder)
	}
	at := map[key]int{}
	usual := key{task: im.Usual.Task, limb: im.Usual.Limb, number: 1}
	for _, e := range entries {
		if e.IsDir() || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		ext := filepath.Ext(e.Name())
		k, front, ok := firstMatch(im.Patterns, strings.TrimSuffix(e.Name(), ext), usual)
		if !ok {
			other = append(other, e.Name())
			continue
		}
		id := k
		id.athlete = strings.ToLower(id.athlete)
		if _, ok := at[id]; !ok {
			at[id] = len(found)
			found = append(found, candidate{key: k})
		}
		c := &found[at[id]]
		view := &c.side
		if front {
			view = &c.front
		}
		file := &view.Clip
		if strings.EqualFold(ext, ".csv") {
			file = &view.Track
		}
		if *file != "" {
			return nil, other, fmt.Errorf("%q and %q are the same view of the same trial by their names; remove or rename one", filepath.Base(*file), e.Name())
		}
		*file = filepath.Join(im.Folder, e.Name())
	}
	if len(found) == 0 {
		return nil, other, fmt.Errorf("no file in %q is named by the pattern %s", im.Folder, im.patternWords())
	}
	slices.SortFunc(found, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(strings.ToLower(a.athlete), strings.ToLower(b.athlete)), cmp.Compare(a.task, b.task), cmp.Compare(a.limb, b.limb), cmp.Compare(a.number, b.number))
	})
	return found, other, nil
}

func (im Import) patternWords() string {
	var out []string
	for _, p := range im.Patterns {
		out = append(out, p.text)
	}
	return strings.Join(out, " or ")
}

// one scores and keeps one trial and returns its landings; none when it was there before. One
// that was there under another name is said in moved once it is filed anew.
func (im Import) one(ctx context.Context, c candidate, athletes []archive.Athlete) (kept []archive.Recording, moved string, err error) {
	i := slices.IndexFunc(athletes, func(p archive.Athlete) bool { return strings.EqualFold(p.Code, c.athlete) })
	if i < 0 {
		return nil, "", &failure{fmt.Errorf("there is no athlete %q in the archive; add them with steadfall athlete add", c.athlete)}
	}
	p := athletes[i]
	if !p.Agreed() {
		return nil, "", &failure{fmt.Errorf("no consent is on record; record it with steadfall athlete consent %s --by NAME", p.Code)}
	}
	there, elsewhere, err := im.known(ctx, c, p.Code)
	switch {
	case err != nil || there:
		return nil, "", err
	case len(elsewhere) > 0 && im.Move:
		moved, err = im.refile(ctx, c, p, elsewhere)
		return nil, moved, err
	case len(elsewhere) > 0:
		return nil, "", &failure{fmt.Errorf("this file is in the archive as %s; if its name and the date are right now, say --move", elsewhere[0].Name())}
	}
	r, err := im.request(c, p)
	if err != nil {
		return nil, "", &failure{err}
	}
	run := pipeline.Run
	if im.Pipeline != nil {
		run = im.Pipeline
	}
	outcomes, err := run(ctx, r)
	if ctx.Err() != nil {
		return nil, "", ctx.Err()
	}
	if err != nil {
		return nil, "", &failure{err}
	}
	var recordings []archive.Recording
	for n, o := range outcomes {
		t := archive.Trial{Athlete: p.Code, Session: im.Session, Task: c.task, Limb: o.Result.Limb, Number: c.number, Landing: n + 1}
		recordings = append(recordings, Recording(t, o, c.kept(im.KeepClips)))
	}
	ids, err := im.Archive.Add(ctx, recordings...)
	if errors.Is(err, archive.ErrThere) {
		return nil, "", &failure{err}
	}
	if err != nil {
		return nil, "", err
	}
	for n := range recordings {
		recordings[n].Trial.ID = ids[n]
	}
	return recordings, "", nil
}

// distinct hashes the files of every trial, and leaves out those whose files are another's
// too: one landing is not two, whatever its files are called.
func (im Import) distinct(ctx context.Context, found []candidate, out *Done) (rest []candidate, err error) {
	first := map[string]candidate{}
	for _, c := range found {
		c.hashes = map[string]string{}
		why := ""
		for _, f := range c.files() {
			hash, err := archive.HashFile(ctx, f)
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			if err != nil {
				why = fmt.Sprintf("%q cannot be read; check the file", f)
				break
			}
			if other, ok := first[hash]; ok && c.filmed(f) {
				why = fmt.Sprintf("%q is the same file as one of %s; remove or rename one", filepath.Base(f), other.name())
				break
			}
			c.hashes[f] = hash
		}
		if why != "" {
			out.Failed = append(out.Failed, c.name()+": "+why)
			continue
		}
		for f, hash := range c.hashes {
			if c.filmed(f) {
				first[hash] = c
			}
		}
		rest = append(rest, c)
	}
	return rest, nil
}

// known reports whether all files of a trial are in the archive as that trial, whatever its
// number, or returns the trials that hold them under another athlete, day, task or leg.
func (im Import) known(ctx context.Context, c candidate, code string) (there bool, elsewhere []archive.Trial, err error) {
	there = true
	for _, f := range c.given() {
		trials, err := im.Archive.KeptFrom(ctx, c.hashes[f])
		if err != nil {
			return false, nil, err
		}
		here := false
		for _, t := range trials {
			same, err := im.same(ctx, t, c, code)
			if err != nil {
				return false, nil, err
			}
			if here = here || same; !same && !slices.Contains(elsewhere, t) {
				elsewhere = append(elsewhere, t)
			}
		}
		there = there && here
	}
	return there, elsewhere, nil
}

// same reports whether a kept trial is of the athlete, day, task and leg of a candidate. The
// leg may have been told from the landing where none was asked for.
func (im Import) same(ctx context.Context, t archive.Trial, c candidate, code string) (bool, error) {
	if t.Athlete != code || t.Session.Date != im.Session.Date || t.Session.Title != im.Session.Title || t.Task != c.task {
		return false, nil
	}
	if t.Limb == c.limb {
		return true, nil
	}
	views, err := im.Archive.Views(ctx, t.ID)
	return err == nil && slices.ContainsFunc(views, func(v archive.View) bool { return v.Options.Limb == c.limb }), err
}

// request is the trial to be scored, of an athlete.
func (im Import) request(c candidate, p archive.Athlete) (pipeline.Request, error) {
	r := About(im.Usual, p, im.Session.Date)
	r.Task, r.Limb = c.task, c.limb
	var err error
	if r.Front, err = c.front.Read(true); err != nil {
		return r, err
	}
	r.Side, err = c.side.Read(false)
	return r, err
}

// kept is what is kept of the files of each view.
func (c candidate) kept(clips bool) (out []File) {
	for _, f := range c.given() {
		file := File{Hash: c.hashes[f]}
		if clips && (f == c.front.Clip || f == c.side.Clip) {
			file.Clip = f
		}
		out = append(out, file)
	}
	return out
}
