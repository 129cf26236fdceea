package prescribe_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
)

// session is a card under way: one set of the trap-bar deadlift is done.
func session() prescribe.Begun {
	item := func(id prescribe.ExerciseID, sets int, percent prescribe.Percent) prescribe.Item {
		return prescribe.Item{Exercise: id, Sets: sets, Reps: 5, Percent: percent, Minutes: 10}
	}
	return prescribe.Begun{
		Card: prescribe.Card{Day: 20_000, Kind: prescribe.CardTrain, Template: "main", Minutes: 50, Items: []prescribe.Item{
			item("trap_bar_deadlift", 4, 85), item("nordic_hamstring", 2, 0), item("bench_press", 3, 75), item("standing_calf_raise", 3, 0),
		}},
		Done: []int{1, 0, 0, 0},
	}
}

func after(es ...prescribe.Event) prescribe.State {
	var s prescribe.State
	for i, e := range es {
		e.At, e.Day, e.Key = prescribe.Instant(i+1), 20_000, string(rune('a'+i))
		s = prescribe.Fold(s, e, prescribe.DefaultRules())
	}
	return s
}

// What a stop in the middle of a session leaves, as "exercise sets", "!" for one
// that has ended.
func TestCurtail(t *testing.T) {
	for name, c := range map[string]struct {
		event prescribe.Event
		kind  prescribe.CardKind
		left  []string
	}{
		"nothing":      {prescribe.Event{Soreness: &prescribe.Soreness{Region: prescribe.Hamstring, Score: 9}}, prescribe.CardTrain, []string{"trap_bar_deadlift 4", "nordic_hamstring 2", "bench_press 3", "standing_calf_raise 3"}},
		"warning sign": {prescribe.Event{Warning: &prescribe.Warning{Sign: prescribe.SignPop}}, prescribe.CardWithheld, []string{"trap_bar_deadlift 1!", "nordic_hamstring 0!", "bench_press 0!", "standing_calf_raise 0!"}},
		"medical hold": {prescribe.Event{Hold: &prescribe.Hold{ID: "h", Medical: true}}, prescribe.CardWithheld, []string{"trap_bar_deadlift 1!", "nordic_hamstring 0!", "bench_press 0!", "standing_calf_raise 0!"}},
		"pain":         {prescribe.Event{Pain: &prescribe.Pain{Region: prescribe.Hamstring, Score: 8}}, prescribe.CardTrain, []string{"trap_bar_deadlift 1!", "nordic_hamstring 0!", "bench_press 3", "standing_calf_raise 3"}},
		"no number":    {prescribe.Event{Pain: &prescribe.Pain{Region: prescribe.Shoulder, Unclear: true}}, prescribe.CardTrain, []string{"trap_bar_deadlift 4", "nordic_hamstring 2", "bench_press 0!", "standing_calf_raise 3"}},
		"no place":     {prescribe.Event{Pain: &prescribe.Pain{Score: 3, Unclear: true}}, prescribe.CardWithheld, []string{"trap_bar_deadlift 1!", "nordic_hamstring 0!", "bench_press 0!", "standing_calf_raise 0!"}},
		"limit":        {prescribe.Event{Hold: &prescribe.Hold{ID: "h", Medical: true, MaxLoad: 80}}, prescribe.CardTrain, []string{"trap_bar_deadlift 1!", "nordic_hamstring 2", "bench_press 3", "standing_calf_raise 3"}},
	} {
		t.Run(name, func(t *testing.T) {
			begun := session()
			before, err := json.Marshal(begun)
			require.NoError(t, err)
			card := prescribe.Curtail(after(c.event), begun, prescribe.DefaultRules())
			var left []string
			for _, it := range card.Items {
				s := string(it.Exercise) + " " + string(rune('0'+it.Sets))
				if it.Ended {
					s += "!"
				}
				left = append(left, s)
			}
			require.Equal(t, c.left, left)
			require.Equal(t, c.kind, card.Kind)
			if name == "nothing" {
				require.Equal(t, begun.Card, card)
			} else {
				require.NotEmpty(t, card.Reasons)
				require.Less(t, card.Minutes, begun.Card.Minutes)
			}
			unchanged, err := json.Marshal(begun)
			require.NoError(t, err)
			require.Equal(t, string(before), string(unchanged), "the card under way was written to")

			// Curtailed again, it stays as it is.
			done := make([]int, len(card.Items))
			for i, it := range card.Items {
				if it.Ended {
					done[i] = it.Sets
				}
			}
			require.Equal(t, card, prescribe.Curtail(after(c.event), prescribe.Begun{Card: card, Done: done}, prescribe.DefaultRules()))
		})
	}
}
