package desk

import (
	"net/http"

	tus "github.com/tus/tusd/v2/pkg/handler"
)

func (d *Desk) routes() []route {
	return []route{
		{"GET /{$}", everyone, d.squad, false},
		{"GET /athlete/{code}", everyone, d.athlete, false},
		{"GET /wall", everyone, d.wall, false},
		{"GET /athlete/{code}/physio", everyone, d.physio, false},
		{"GET /trial/{id}", everyone, d.trial, false},
		{"POST /trial/{id}/override", everyone, d.override, false},
		{"POST /trial/{id}/sign", everyone, d.sign, false},
		{"GET /sessions", everyone, d.sessions, false},
		{"POST /sessions", everyone, d.addSession, false},
		{"GET /session/{id}", everyone, d.session, false},
		{"GET /session/{id}/queue", everyone, d.sessionQueue, false},
		{"GET /session/{id}/events", everyone, d.sessionEvents, false},
		{"POST /upload/{$}", everyone, d.tusRoute(func(u *tus.UnroutedHandler) http.HandlerFunc { return u.PostFile }), true},
		{"HEAD /upload/{id}", everyone, d.tusRoute(func(u *tus.UnroutedHandler) http.HandlerFunc { return u.HeadFile }), true},
		{"PATCH /upload/{id}", everyone, d.tusRoute(func(u *tus.UnroutedHandler) http.HandlerFunc { return u.PatchFile }), true},
		{"POST /take/{id}/start", everyone, d.startTake, false},
		{"POST /take/{id}/drop", everyone, d.dropTake, false},
		{"GET /trial/{id}/sheet", everyone, d.sheet, false},
		{"GET /trial/{id}/look", everyone, d.look, false},
		{"GET /trial/{id}/frame/{view}/{frame}", everyone, d.frameOf, false},
		{"GET /trial/{id}/events", everyone, d.trialEvents, false},
		{"GET /trial/{id}/again", everyone, d.again, false},
		{"POST /trial/{id}/points", everyone, d.correct, true},
		{"GET /static/{file}", nil, d.file, false},
		{"POST /athletes", deciders, d.addAthlete, false},
		{"POST /athlete/{code}/decide", deciders, d.decide, false},
		{"POST /athlete/{code}/pain", everyone, d.pain, false},
		{"POST /athlete/{code}/pain-over", everyone, d.painOver, false},
		{"POST /athlete/{code}/consent", deciders, d.consent, false},
		{"POST /athlete/{code}/share", everyone, d.share, false},
		{"POST /athlete/{code}/revoke", everyone, d.revoke, false},
		{"GET /athlete/{code}/export", admins, d.export, false},
		{"POST /athlete/{code}/delete", admins, d.delete, false},
		{"GET /staff", admins, d.staff, false},
		{"POST /staff", admins, d.addStaff, false},
		{"POST /staff/remove", admins, d.removeStaff, false},
		{"GET /audit", admins, d.audit, false},
		{"POST /signout", everyone, d.signOut, false},
		{"GET /signin", nil, d.signInPage, false},
		{"POST /signin", nil, d.signIn, false},
		{"GET /first", nil, d.firstPage, false},
		{"POST /first", nil, d.makeFirst, false},
		{"GET /shared/{token}", nil, d.shared, false},
		{"GET /shared/{token}/all", nil, d.sharedAll, false},
		{"GET /shared/{token}/trial/{id}", nil, d.sharedSheet, false},
		{"GET /shared/{token}/trial/{id}/numbers", nil, d.sharedTrial, false},
	}
}

// Handler is the desk as a handler.
func (d *Desk) Handler() http.Handler {
	mux := http.NewServeMux()
	for _, r := range d.routes() {
		mux.HandleFunc(r.pattern, func(w http.ResponseWriter, q *http.Request) { d.serve(w, q, r) })
	}
	mux.HandleFunc("/", func(w http.ResponseWriter, q *http.Request) {
		d.refuse(w, http.StatusNotFound, "There is no such page.")
	})
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		d.refuse(w, http.StatusForbidden, "This came from another site and was not done.")
	}))
	return d.guard(cross.Handler(mux))
}
