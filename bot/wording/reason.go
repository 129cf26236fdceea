package wording

import (
	"html"
	"strings"

	"pegcard/prescribe"
)

// Reason is one reason as a sentence, HTML. A code without words, as from a
// newer engine, is shown by its code.
func (sp *Speaker) Reason(r prescribe.Reason) string {
	id := "reason." + r.Code
	if !sp.Has(id) {
		return sp.isolate(html.EscapeString(r.Code))
	}
	return sp.directed(sp.say(id, sp.args(r.Args)))
}

func (sp *Speaker) args(list []prescribe.Arg) map[string]any {
	args := make(map[string]any, len(list))
	for _, a := range list {
		args[a.Name] = sp.arg(a)
	}
	return args
}

// Reasons are the sentences a reader may see, in order.
func (sp *Speaker) Reasons(rs []prescribe.Reason, who prescribe.Audience) []string {
	var out []string
	for _, r := range rs {
		if r.See&who != 0 {
			out = append(out, sp.Reason(r))
		}
	}
	return out
}

// arg is an argument of a reason or a notice as a value that Format knows.
// Counts stay numbers, so that they can choose a plural form.
func (sp *Speaker) arg(a prescribe.Arg) any {
	switch a.Kind {
	case prescribe.ArgKg:
		return prescribe.Kg(a.Num)
	case prescribe.ArgPercent:
		return prescribe.Percent(a.Num)
	case prescribe.ArgInteger:
		return int(a.Num)
	case prescribe.ArgNumber:
		return HTML(sp.isolate(sp.rounded(a.Num, 2)))
	case prescribe.ArgDays:
		return HTML(sp.Days(int(a.Num)))
	case prescribe.ArgHours:
		return HTML(sp.Hours(int(a.Num + 0.5)))
	case prescribe.ArgSeconds:
		return prescribe.Seconds(a.Num)
	case prescribe.ArgInertia:
		return prescribe.Inertia(a.Num)
	case prescribe.ArgWatts:
		return prescribe.Watts(a.Num)
	case prescribe.ArgDay:
		if a.Day == 0 { // without an end
			return HTML("–")
		}
		return a.Day
	case prescribe.ArgScore:
		return prescribe.Score(a.Num)
	case prescribe.ArgRegion:
		return HTML(sp.place(a.ID))
	case prescribe.ArgExercise:
		return HTML(sp.liftKey(a.ID))
	case prescribe.ArgMatchDay:
		return HTML(sp.MatchDay(a.ID))
	}
	if a.ID != "" {
		return HTML(sp.id(a.Name, a.ID))
	}
	return HTML(sp.isolate(sp.rounded(a.Num, 2)))
}

// id words an argument that is an id: those of the vocabulary by name, the
// rest, such as a template or a device, as they are.
func (sp *Speaker) id(name, id string) string {
	switch name {
	case "cause":
		return sp.cause(id)
	case "side", "sign", "phase", "outcome", "criterion", "edit":
		return sp.name(name, id)
	case "setting":
		return sp.Place(id)
	}
	return sp.isolate(html.EscapeString(id))
}

// cause is a short phrase for why: one of prescribe.SlotCauses or PainCauses,
// or the code of another reason, named by its group.
func (sp *Speaker) cause(id string) string {
	if sp.Has("cause." + id) {
		return sp.t("cause." + id)
	}
	if group, _, ok := strings.Cut(id, "."); ok {
		return sp.name("cause", "of_"+group)
	}
	return sp.name("cause", id)
}
