package prescribe

// Soreness 0–10 by region. The bands are here and nowhere else:
//
//	below soreness.reduce_from     as written
//	from soreness.reduce_from      one set fewer in that region, no eccentric progression
//	from soreness.withdraw_from    the same, eccentric work withdrawn there, the rest there lighter
//
// The upper band keeps what the lower one takes away, so that more soreness is
// never more work.
type soreBand int

const (
	soreNone soreBand = iota
	soreReduce
	soreWithdraw
)

func sorenessBand(score Score, r Rules) soreBand {
	switch {
	case int(score) >= r.Int("soreness.withdraw_from"):
		return soreWithdraw
	case int(score) >= r.Int("soreness.reduce_from"):
		return soreReduce
	}
	return soreNone
}

func (s State) foldSoreness(x Soreness, e Event) State {
	s.Sore = with(s.Sore, placeKey(x.Region, x.Side), SoreMark{
		Region: x.Region, Side: x.Side, Score: clampScore(x.Score), At: e.At,
	}, maxPlaces)
	return s
}

// sorest is the highest soreness that still counts at the instant, over the
// regions that the exercise stresses. Reports of a side count for both legs:
// there is one session.
func (s State) sorest(ex Exercise, at Instant, r Rules) (SoreMark, soreBand) {
	var worst SoreMark
	for _, key := range sortedKeys(s.Sore) {
		m := s.Sore[key]
		if at.Hours(m.At) > r.Num("soreness.hold_hours") || !stresses(ex, m.Region) {
			continue
		}
		if m.Score > worst.Score {
			worst = m
		}
	}
	return worst, sorenessBand(worst.Score, r)
}

func clampScore(x Score) Score { return min(max(x, 0), 10) }
