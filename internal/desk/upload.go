package desk

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/tus/tusd/v2/pkg/filestore"
	tus "github.com/tus/tusd/v2/pkg/handler"
	"github.com/tus/tusd/v2/pkg/memorylocker"
	oldslog "golang.org/x/exp/slog" // the one that the upload library takes

	"steadfall/internal/archive"
	"steadfall/internal/safefile"
	"steadfall/kinematics"
)

// mostUpload is how large a clip may be: minutes of 4K.
const mostUpload = 1 << 30

// uploads answers the calls of the tus protocol, version 1.0, by which a clip comes in
// pieces and goes on where a broken connection left it.
func (d *Desk) newUploads() (*tus.UnroutedHandler, error) {
	parts := tus.NewStoreComposer()
	parts.UseCore(filestore.FileStore{Path: d.Archive.Incoming(), DirModePerm: 0o700, FileModePerm: 0o600})
	memorylocker.New().UseIn(parts)
	return tus.NewUnroutedHandler(tus.Config{
		StoreComposer: parts, MaxSize: mostUpload, BasePath: "/upload/", DisableDownload: true, DisableTermination: true, DisableConcatenation: true,
		Cors: &tus.CorsConfig{Disable: true}, Logger: oldslog.New(oldslog.NewTextHandler(io.Discard, nil)),
		PreUploadCreateCallback: d.beginUpload,
		PreFinishResponseCallback: func(e tus.HookEvent) (tus.HTTPResponse, error) {
			if err := d.endUpload(e.Context, e.Upload.ID); err != nil {
				return tus.HTTPResponse{}, tusError(err)
			}
			return tus.HTTPResponse{}, nil
		},
	})
}

// tusError is a refusal in the form of the protocol.
func tusError(err error) error {
	status, words := http.StatusInternalServerError, "the clip could not be kept: "+safefile.Why(err)
	var no *refusal
	if errors.As(err, &no) {
		status, words = no.status, no.words
	}
	return tus.NewError("REFUSED", words, status)
}

// whoKey carries the login to the calls of the upload library.
type whoKey struct{}

// tusRoute lets the upload library answer a call with one of its handlers.
func (d *Desk) tusRoute(handle func(*tus.UnroutedHandler) http.HandlerFunc) func(request) error {
	return func(r request) error {
		if id := r.PathValue("id"); id != "" {
			if !uploadID.MatchString(id) {
				return &refusal{http.StatusNotFound, "There is no such upload."}
			}
			// The answer to the last piece may have been lost on its way.
			if err := d.endIfWhole(r.Context(), id); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
		}
		q := r.WithContext(context.WithValue(r.Context(), whoKey{}, r.login.Staff.Name))
		http.StripPrefix("/upload/", d.uploads.Middleware(handle(d.uploads))).ServeHTTP(r.w, q)
		return nil
	}
}

var (
	uploadID = regexp.MustCompile(`^[0-9a-f]{32}$`)
	takeKey  = regexp.MustCompile(`^[0-9a-zA-Z-]{8,64}$`)
)

// beginUpload checks what is said of a clip before any of it comes.
func (d *Desk) beginUpload(e tus.HookEvent) (tus.HTTPResponse, tus.FileInfoChanges, error) {
	who, _ := e.Context.Value(whoKey{}).(string)
	t, f, err := d.takeFrom(e.Context, e.Upload.MetaData)
	if err == nil {
		t.By = who
		b := make([]byte, 16)
		_, _ = rand.Read(b) // never fails, says its documentation
		f.File = hex.EncodeToString(b)
		if err = d.Archive.BeginUpload(e.Context, t, f); errors.Is(err, archive.ErrUploaded) {
			err = &refusal{http.StatusConflict, "This landing was uploaded already."}
		}
	}
	if err != nil {
		return tus.HTTPResponse{}, tus.FileInfoChanges{}, tusError(err)
	}
	d.news.tell(sessionTopic(t.Session.ID))
	return tus.HTTPResponse{}, tus.FileInfoChanges{ID: f.File, MetaData: tus.MetaData{}}, nil
}

// takeFrom reads what the phone says of a clip.
func (d *Desk) takeFrom(ctx context.Context, m tus.MetaData) (archive.Take, archive.TakeFile, error) {
	t := archive.Take{Key: m["key"], Athlete: m["athlete"], Wants: m["wants"]}
	f := archive.TakeFile{View: m["view"]}
	id, err := strconv.ParseInt(m["session"], 10, 64)
	if err == nil {
		t.Session, err = d.Archive.Session(ctx, id)
	}
	if err != nil {
		return t, f, bad("there is no such session; open the page again")
	}
	p, err := d.Archive.Athlete(ctx, t.Athlete)
	switch {
	case err != nil:
		return t, f, bad("there is no athlete %q any more; open the page again", t.Athlete)
	case !p.Agreed():
		return t, f, &refusal{http.StatusForbidden, "No consent is on record for this athlete; record it on their page before filming."}
	}
	if t.Task, err = kinematics.ParseTask(m["task"]); err != nil {
		return t, f, bad("%v", err)
	}
	t.Limb = kinematics.Side(m["limb"])
	views, limbs := []string{"front", "side"}, []kinematics.Side{kinematics.Both, kinematics.Left, kinematics.Right}
	if !takeKey.MatchString(t.Key) || !slices.Contains(views, f.View) || !slices.Contains(limbs, t.Limb) || t.Wants != "both" && t.Wants != f.View {
		return t, f, bad("what is said of this clip does not fit together; open the page again")
	}
	t.Options, err = takeOptions(m)
	return t, f, err
}

// takeOptions reads box, slow motion, mirror and person.
func takeOptions(m map[string]string) (archive.TakeOptions, error) {
	o := archive.TakeOptions{Mirrored: m["mirrored"] == "yes"}
	for _, n := range []struct {
		name, words string
		least, most float64
		into        *float64
	}{
		{"box_cm", "the box is 5 to 150 cm high", 5, 150, &o.BoxCM},
		{"capture_fps", "slow motion is filmed at 50 to 1000 frames a second", 50, 1000, &o.CaptureFPS},
	} {
		text := strings.TrimSpace(m[n.name])
		if text == "" {
			continue
		}
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || !(v >= n.least && v <= n.most) {
			return o, bad("%s, not %q", n.words, text)
		}
		*n.into = v
	}
	if text := m["person"]; text != "" {
		v, err := strconv.Atoi(text)
		if err != nil || v < 0 || v > 9 {
			return o, bad("the person is a number from the left of the picture")
		}
		o.Person = v
	}
	return o, nil
}

// endUpload keeps a clip that has come whole, and its job; when it returns nil both are on
// the disk.
func (d *Desk) endUpload(ctx context.Context, id string) error {
	f, err := os.OpenFile(filepath.Join(d.Archive.Incoming(), id), os.O_RDWR, 0)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil {
		return err
	}
	session, err := d.Archive.EndUpload(ctx, id)
	if err == nil {
		d.enqueue(context.WithoutCancel(ctx)) // the phone may hang up: the clip is kept
	}
	d.news.tell(sessionTopic(session))
	return err
}

// endIfWhole ends an upload that has come whole and was not ended: the desk was cut off
// between the two.
func (d *Desk) endIfWhole(ctx context.Context, id string) error {
	whole, err := d.Archive.Whole(ctx, id)
	if err != nil || whole {
		return err
	}
	store, err := filestore.New(d.Archive.Incoming()).GetUpload(ctx, id)
	if err != nil {
		return fs.ErrNotExist
	}
	info, err := store.GetInfo(ctx)
	if err != nil || info.Offset != info.Size {
		return err
	}
	return d.endUpload(ctx, id)
}
