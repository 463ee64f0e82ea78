package scoring

// Overridden returns the score with people's words in place of the tool's; of several on
// one finding the last one counts. Each finding keeps what the tool said. Expected is
// moved by what was decided; the range stays the tool's.
func (s Score) Overridden(all []Override) Score {
	items := make([]Finding, len(s.Items))
	copy(items, s.Items)
	s.Items = items
	for _, o := range all {
		for i := range items {
			f := &items[i]
			if f.ID != o.Item || f.Side != o.Side {
				continue
			}
			was := 0.0 // what the finding gave to the expected total before
			switch {
			case f.Override != nil:
				was = float64(f.Points)
			case f.Probability != nil:
				was = *f.Probability * float64(f.Worth)
			default:
				s.Most += f.Worth
			}
			if f.Override == nil {
				f.Tool = f.Finding
			}
			word := o
			s.Errors -= f.Points
			f.Override, f.Finding, f.Points = &word, o.Finding, 0
			if o.Finding == Error {
				f.Points = f.Worth
			}
			s.Errors += f.Points
			s.Expected += float64(f.Points) - was
		}
	}
	return s
}
