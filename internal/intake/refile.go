package intake

import (
	"context"
	"errors"
	"fmt"

	"steadfall/internal/archive"
)

// refile files the landings of a trial that is kept under another name under that of its
// files now. They are measured again from their kept tracks, since another athlete is of
// another height and another leg has other measures.
func (im Import) refile(ctx context.Context, c candidate, p archive.Athlete, kept []archive.Trial) (moved string, err error) {
	was := kept[0]
	var all []archive.Recording
	for _, t := range kept {
		if t.Athlete != was.Athlete || t.Session != was.Session || t.Task != was.Task || t.Limb != was.Limb || t.Number != was.Number {
			return "", &failure{fmt.Errorf("this file is in the archive as %s and as %s; take one of them out with steadfall session remove", was.Name(), t.Name())}
		}
		views, err := im.Archive.Views(ctx, t.ID)
		if err != nil {
			return "", err
		}
		if len(views) != len(c.given()) {
			return "", &failure{fmt.Errorf("this file is in the archive as %s, with other views; take that out with steadfall session remove and import again", was.Name())}
		}
		for i := range views {
			o := &views[i].Options
			o.Task, o.Limb, o.StatureCM = c.task, c.limb, p.HeightCM
		}
		to := archive.Trial{ID: t.ID, Athlete: p.Code, Session: im.Session, Task: c.task, Limb: c.limb, Number: c.number, Landing: t.Landing}
		o, err := again(ctx, to, p, views, im.Usual.Checklist, im.Usual.Tool)
		if ctx.Err() != nil {
			return "", ctx.Err()
		}
		if err != nil {
			return "", &failure{err}
		}
		to.Limb = o.Result.Limb
		all = append(all, archive.Recording{Trial: to, Views: views, Result: o.Result, Checklist: o.Checklist})
	}
	if err := im.Archive.Move(ctx, all...); errors.Is(err, archive.ErrThere) {
		return "", &failure{err}
	} else if err != nil {
		return "", err
	}
	return fmt.Sprintf("%s, to %s", was.Name(), all[0].Trial.Name()), nil
}
