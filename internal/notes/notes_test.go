package notes_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"steadfall/internal/notes"
	"steadfall/kinematics"
)

// constants are the values of all constants of a type in a package.
func constants(t *testing.T, dir, of string) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%s: %v, %v", dir, files, err)
	}
	var out []string
	for _, name := range files {
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			v, ok := n.(*ast.ValueSpec)
			if !ok || len(v.Values) != 1 {
				return true
			}
			kind, ok := v.Type.(*ast.Ident)
			if other, is := v.Type.(*ast.SelectorExpr); is {
				kind, ok = other.Sel, true
			}
			text, is := v.Values[0].(*ast.BasicLit)
			if ok && is && kind.Name == of {
				words, err := strconv.Unquote(text.Value)
				if err != nil {
					t.Fatal(err)
				}
				out = append(out, words)
			}
			return true
		})
	}
	return out
}

// Every code and every hint has its English, and no two codes are one.
func TestEveryCodeHasItsWords(t *testing.T) {
	codes := append(constants(t, "../../kinematics", "Code"), constants(t, ".", "Code")...)
	if len(codes) < 80 {
		t.Fatalf("%d codes are found", len(codes))
	}
	twice := map[string]bool{}
	for _, c := range codes {
		if twice[c] {
			t.Errorf("%q stands for two things", c)
		}
		twice[c] = true
		n := kinematics.Note{Code: kinematics.Code(c), Args: []any{}}
		if c != "" && notes.English(n, notes.CommandLine) == "" {
			t.Errorf("%q says nothing", c)
		}
	}
	hints := append(constants(t, "../../kinematics", "Hint"), constants(t, ".", "Hint")...)
	if len(hints) < 20 {
		t.Fatalf("%d hints are found", len(hints))
	}
	for _, h := range hints {
		n := kinematics.Note{Code: kinematics.NoteNoFlight, Hint: kinematics.Hint(h)}
		if !strings.Contains(notes.English(n, notes.CommandLine), "; ") {
			t.Errorf("the hint %q says nothing", h)
		}
		if said := notes.English(n, notes.Desk); strings.Contains(said, "--") {
			t.Errorf("the desk is told of flags: %q", said)
		}
	}
}

// Sentences as results of before hold them are read as the notes they were made of, and said again
// as they were; what to do is said without flags at the desk.
func TestStoredSentences(t *testing.T) {
	for _, c := range []struct {
		sentence string
		severity kinematics.Severity
		want     kinematics.Note
		desk     string
	}{
		{
			"front: the athlete leans by 5° in the picture while standing; if the phone was tilted, give an upright line of the picture with --front-plumb, such as a door frame, and score again", kinematics.Warning,
			kinematics.Note{Code: kinematics.NoteLeans, Severity: kinematics.Warning, View: kinematics.Front, Args: []any{5.0}, Hint: kinematics.HintGivePlumb},
			"front: the athlete leans by 5° in the picture while standing; if the phone was tilted, hold it upright next time",
		},
		{
			"side_left: the clip's times or the lengths given cannot be trusted, so nothing that rests on them is told: bodies fall as in 4× slow motion; if it was filmed so, score it again with --capture-fps 240", kinematics.Doubt,
			kinematics.Note{Code: kinematics.NoteSlowMotion, Severity: kinematics.Doubt, View: kinematics.SideLeft, Args: []any{4.0, 240.0}, Hint: kinematics.HintGiveRate},
			"side_left: the clip's times or the lengths given cannot be trusted, so nothing that rests on them is told: bodies fall as in 4× slow motion; if it was filmed so, give it again and say that it was filmed at 240 frames a second",
		},
		{
			"the landing was not on the feet that were asked for, so nothing of it is scored; if it was meant so, say with --limb which landed", kinematics.Doubt,
			kinematics.Note{Code: notes.OtherFeet, Severity: kinematics.Refusal, Hint: notes.SayWhichLanded},
			"the landing was not on the feet that were asked for, so nothing of it is scored; if it was meant so, give it again as a landing on that leg",
		},
		{
			"the athlete came nearer to the camera and looks 14 ± 2 % larger at landing; heights and depths in cm hold less well: film from further away, and let them step down rather than out", kinematics.Warning,
			kinematics.Note{Code: kinematics.NoteNearer, Severity: kinematics.Warning, Args: []any{14.0, 2.0}, Hint: kinematics.HintFilmFurther},
			"the athlete came nearer to the camera and looks 14 ± 2 % larger at landing; heights and depths in cm hold less well: film from further away, and let them step down rather than out",
		},
		{
			"front: the file says that the front camera filmed it; the athlete's left leg is taken to be the one on the right of the picture: if the picture you see is a mirror image, add --mirrored", kinematics.Warning,
			kinematics.Note{Code: notes.FrontCamera, Severity: kinematics.Warning, View: kinematics.Front, Args: []any{"the one on the right of the picture"}, Hint: notes.SayMirrored},
			"front: the file says that the front camera filmed it; the athlete's left leg is taken to be the one on the right of the picture: if the picture you see is a mirror image, give it again and say so",
		},
		{
			"the two views differ in held still: 2.1 ± 0.1 s from the front, 1.0 ± 0.2 s from the side; are both clips of the same landing, with the same height or length given?", kinematics.Warning,
			kinematics.Note{
				Code: notes.ViewsDiffer, Severity: kinematics.Warning, Hint: notes.SameLanding,
				Args: []any{"held still", 2.1, 0.1, "s", "from the front", 1.0, 0.2, "s", "from the side"},
			},
			"the two views differ in held still: 2.1 ± 0.1 s from the front, 1.0 ± 0.2 s from the side; are both clips of the same landing, with the same height or length given?",
		},
		{
			"front: nobody knows this sentence; 5 cm", kinematics.Warning,
			kinematics.Note{Code: notes.Verbatim, Severity: kinematics.Warning, View: kinematics.Front, Args: []any{"nobody knows this sentence; 5 cm"}},
			"front: nobody knows this sentence; 5 cm",
		},
	} {
		got := notes.Read(c.sentence, c.severity)
		if !reflect.DeepEqual(got, c.want) {
			t.Errorf("%q is read as %#v", c.sentence, got)
		}
		if again := notes.English(got, notes.CommandLine); again != c.sentence {
			t.Errorf("%q is said again as %q", c.sentence, again)
		}
		if desk := notes.English(got, notes.Desk); desk != c.desk {
			t.Errorf("the desk says %q, want %q", desk, c.desk)
		}
	}
}
