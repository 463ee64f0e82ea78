package desk

import (
	"crypto/subtle"
	"errors"
	"net/http"
	"strings"
	"time"

	"steadfall/internal/archive"
)

// cookieName is the cookie of a login.
const cookieName = "steadfall"

func (d *Desk) signInPage(r request) error {
	return d.show(r, "signin.html", "Sign in", r.URL.Query().Has("wrong"))
}

func (d *Desk) signIn(r request) error {
	if !d.mayTry(addressOf(r.Request)) {
		return &refusal{http.StatusTooManyRequests, "Too many tries. Wait a minute and try again."}
	}
	name, password := r.PostForm.Get("name"), r.PostForm.Get("password")
	s, err := d.Archive.StaffNamed(r.Context(), name)
	hash := s.Password
	if errors.Is(err, archive.ErrNoEntry) {
		hash = nobodysHash
	} else if err != nil {
		return err
	}
	if !fits(password, hash) || s.ID == 0 {
		return see(r, "/signin?wrong")
	}
	if err := d.Archive.Audit(r.Context(), s.Name, "signed in", ""); err != nil {
		return err
	}
	return d.enter(r, s)
}

// enter signs somebody in.
func (d *Desk) enter(r request, s archive.Staff) error {
	until := time.Now().Add(loginLasts)
	token, err := d.Archive.SignIn(r.Context(), s, until)
	if err != nil {
		return err
	}
	http.SetCookie(r.w, &http.Cookie{Name: cookieName, Value: token, Path: "/", Expires: until, HttpOnly: true, Secure: d.Secure, SameSite: http.SameSiteLaxMode})
	return see(r, "/")
}

func (d *Desk) signOut(r request) error {
	c, err := r.Cookie(cookieName)
	if err != nil {
		return see(r, "/signin")
	}
	if err := d.Archive.SignOut(r.Context(), c.Value); err != nil {
		return err
	}
	http.SetCookie(r.w, &http.Cookie{Name: cookieName, Path: "/", MaxAge: -1, HttpOnly: true, Secure: d.Secure, SameSite: http.SameSiteLaxMode})
	return see(r, "/signin")
}

// firstToken checks the one-time link.
func (d *Desk) firstToken(token string) error {
	d.lock.Lock()
	defer d.lock.Unlock()
	if d.first == "" || subtle.ConstantTimeCompare([]byte(token), []byte(d.first)) != 1 {
		return &refusal{http.StatusForbidden, "This link has been used or is not right. Start steadfall serve again for a new one, or sign in."}
	}
	return nil
}

func (d *Desk) firstPage(r request) error {
	token := r.URL.Query().Get("token")
	if err := d.firstToken(token); err != nil {
		return err
	}
	squad, err := d.Archive.Squad(r.Context())
	if err != nil {
		return err
	}
	return d.show(r, "first.html", "The first account", struct{ Token, Squad string }{token, squad.Name})
}

func (d *Desk) makeFirst(r request) error {
	if err := d.firstToken(r.PostForm.Get("token")); err != nil {
		return err
	}
	squad := strings.TrimSpace(r.PostForm.Get("squad"))
	if squad == "" || len(squad) > 80 {
		return bad("the squad needs a name of at most 80 letters")
	}
	s, err := d.newStaff(r, archive.Admin)
	if err != nil {
		return err
	}
	if err := d.Archive.NameSquad(r.Context(), squad); err != nil {
		return err
	}
	d.lock.Lock()
	d.first = ""
	d.lock.Unlock()
	if s, err = d.Archive.StaffNamed(r.Context(), s.Name); err != nil {
		return err
	}
	return d.enter(r, s)
}

// newStaff adds an account from a form.
func (d *Desk) newStaff(r request, role archive.Role) (archive.Staff, error) {
	s := archive.Staff{Name: strings.TrimSpace(r.PostForm.Get("name")), Role: role}
	if s.Name == "" || len(s.Name) > 60 {
		return s, bad("the account needs a name of at most 60 characters")
	}
	var err error
	if s.Password, err = hashPassword(r.PostForm.Get("password")); err != nil {
		return s, bad("%v", err)
	}
	if err := d.Archive.AddStaff(r.Context(), s); err != nil {
		return s, bad("%v", err)
	}
	return s, d.Archive.Audit(r.Context(), s.Name, "got an account as "+string(role), "")
}

func (d *Desk) staff(r request) error {
	all, err := d.Archive.Staff(r.Context())
	if err != nil {
		return err
	}
	return d.show(r, "staff.html", "Staff", all)
}

func (d *Desk) addStaff(r request) error {
	role := archive.Role(r.PostForm.Get("role"))
	if role != archive.Coach && role != archive.Physio && role != archive.Admin {
		return bad("the role must be coach, physio or admin")
	}
	if _, err := d.newStaff(r, role); err != nil {
		return err
	}
	return see(r, "/staff")
}

func (d *Desk) removeStaff(r request) error {
	name := r.PostForm.Get("name")
	if strings.EqualFold(name, r.login.Staff.Name) {
		return bad("nobody can remove their own account; another admin can")
	}
	if err := d.Archive.RemoveStaff(r.Context(), name); err != nil {
		return err
	}
	if err := d.Archive.Audit(r.Context(), r.login.Staff.Name, "removed the account of "+name, ""); err != nil {
		return err
	}
	return see(r, "/staff")
}

func (d *Desk) audit(r request) error {
	all, err := d.Archive.Audits(r.Context(), 500)
	if err != nil {
		return err
	}
	return d.show(r, "audit.html", "Who did what", all)
}
