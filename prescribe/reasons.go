package prescribe

// ReasonCodes lists every reason the engine gives, with the names of its
// arguments in order. The wording catalogues are written against it; a test
// checks that no card carries a code or an argument that is missing here.
//
// An argument named "cause" is the code of another reason, or one of the
// causes in SlotCauses. One named "criterion" is in PlacementCriteria. One
// named "edit" is an EditKind.
var ReasonCodes = map[string][]string{
	// Why there is a session today, or none.
	"rest.closed":          {"outcome"},                                   // today's session is already answered
	"rest.match":           {},                                            // match day
	"rest.off":             {},                                            // day off
	"rest.youth_alone":     {},                                            // under 18 and nobody supervises
	"rest.no_session":      {"phase"},                                     // the programme has no session for this phase
	"rest.week_done":       {"sessions"},                                  // the week's sessions are done
	"rest.other_day":       {"day", "template", "criterion"},              // the next session fits better on day; criterion decided
	"rest.no_day":          {"match_day"},                                 // what is left of the week has no lawful day
	"rest.nothing_left":    {},                                            // every exercise of the session fell away
	"rest.no_calendar":     {},                                            // the day is outside the calendar
	"place.today":          {"template", "match_day", "criterion", "day"}, // better than doing it on day; criterion decided
	"place.only_day":       {"template", "match_day"},                     // no other day is left
	"place.crowded":        {"days", "sessions"},                          // matches days apart: so many small sessions this week
	"place.nonstarter":     {"minutes"},                                   // played less than an hour: main session the day after
	"place.carried":        {"template", "day"},                           // missed on day, carried over
	"place.priming":        {},                                            // optional session the day before a match
	"place.remote":         {"setting"},                                   // away from the gym: session written for that
	"place.md1_option":     {},                                            // the coach wants lower-body work on MD+1
	"place.too_early":      {"hours"},                                     // no lower-body work for so long after a match played
	"place.after_break":    {"days"},                                      // first session after so many days
	"approval.medical":     {},                                            // first card after a medical stop
	"approval.youth":       {},                                            // under 18
	"approval.accentuated": {"exercise"},                                  // accentuated eccentric loading
	"ask.rir":              {"sessions"},                                  // please report repetitions in reserve
	"ask.pain":             {"region"},                                    // ask about pain there before training

	// Stops and holds.
	"stop.warning":      {"sign"},                     // medical and player
	"stop.hold":         {"id"},                       // hold of the whole player
	"stop.lapsed":       {"region", "day"},            // a medical review passed on day; region empty: whole player
	"stop.pain":         {"region", "score", "cause"}, // region stopped for pain; cause in PainCauses
	"stop.reported":     {"region", "score"},          // pain of a complaint nobody has classified: withheld for the day
	"stop.unclear":      {"region"},                   // said to hurt, no number yet: withheld until answered
	"stop.unplaced":     {},                           // said to hurt, no place yet: everything withheld until answered
	"stop.unanswered":   {"region", "score"},          // silence after pain: withheld until answered
	"stop.region":       {"region", "id"},             // region held by staff
	"stop.restricted":   {},                           // for coaches: ask medical staff
	"limit.cap":         {"percent", "day"},           // set by a coach, until day
	"limit.medical_cap": {"percent", "day"},           // cap after release, review on day
	"limit.restricted":  {},                           // for coaches: load or sets limited by medical staff or pain

	// Coach's edits.
	"edit.hold":         {},
	"edit.approved":     {},
	"edit.add":          {"template"},
	"edit.exercise":     {"from", "to"},
	"edit.load":         {"load"},
	"edit.load_clamped": {"asked", "allowed"}, // above what the record carries at the intended percentage, or a limit
	"edit.sets":         {"from", "to"},
	"edit.reps":         {"from", "to"},
	"edit.drop":         {"exercise"},
	"edit.refused":      {"edit", "slot", "cause"},

	// Which exercise.
	"slot.chosen":  {"exercise"},
	"slot.swapped": {"from", "to", "cause"},
	"slot.dropped": {"slot", "exercise", "cause"},

	// From the record to the target.
	"record.estimate":       {"exercise", "median", "low", "high", "used", "sets", "days"},
	"record.side":           {"side", "difference"},  // weaker side starts
	"record.one_side":       {"side"},                // only this side has a record
	"record.from_bilateral": {"exercise", "percent"}, // from the two-legged lift's record
	"record.none":           {"exercise"},
	"record.too_old":        {"days"}, // break so long that the record is found again
	"finding.ramp":          {"reps", "rir", "rir_high", "sets"},
	"scheme.percent":        {"sets", "reps", "percent"},
	"scheme.rir":            {"sets", "reps", "rir", "percent"},
	"scheme.reps":           {"sets", "reps"},
	"scheme.hold":           {"sets", "seconds"},
	"scheme.beyond_table":   {"reps", "percent"},
	"six.cluster":           {"reps", "percent", "pause"},
	"six.straight":          {"from", "to", "percent"},
	"six.lighter":           {"reps", "from", "to"},
	"limit.alone":           {"rir"},
	"limit.youth_rir":       {"rir"},
	"limit.youth_percent":   {"from", "to"},
	"limit.youth_unknown":   {},
	"limit.md2":             {"rir"},
	"limit.md2_sets":        {"from", "to"},
	"limit.md2_light":       {"to"}, // not one of the heavy lifts of the day: kept below the heavy percentage

	// Sets.
	"dose.small":       {"from", "to"},            // minimum dose of a crowded week
	"dose.off_season":  {"percent", "from", "to"}, // builds up to the next phase
	"dose.eccentric":   {"limit", "from", "to"},   // the week's lifting leaves so many lowering sets
	"break.volume":     {"days", "week", "percent", "from", "to"},
	"break.volume_max": {"limit", "from", "to"},
	"fever.volume":     {"percent", "from", "to"},
	"soreness.sets":    {"region", "score", "from", "to"},

	// Load.
	"load.target":          {"load"}, // fraction × estimate used
	"load.cap":             {"percent", "last", "to"},
	"load.kept":            {"last", "days"},
	"load.harder":          {"left", "plan"},            // fewer left than planned last time: it may get lighter
	"load.reps_first":      {"reps", "step", "percent"}, // the next step that can be built is too large
	"load.step":            {"from", "to", "percent"},
	"load.no_step":         {"step", "percent"},
	"soreness.load":        {"region", "score", "percent", "to"},
	"soreness.hold":        {"region", "score"}, // no eccentric progression
	"pain.hold":            {"region", "score", "to"},
	"pain.lower":           {"region", "score", "percent", "to"},
	"pain.no_eccentric":    {"region", "score"},                // no new lowering work there or, from the lower band on, none
	"pain.no_progress":     {"region", "score"},                // lowering work no more than last time
	"pain.recent":          {"region", "score", "hours", "to"}, // pain of the last hours: not heavier than the lowered load
	"pain.recent_new":      {"region", "score", "hours"},       // pain of the last hours: no new lowering work
	"break.load":           {"days", "percent", "to"},
	"load.lowest":          {"cause", "to"}, // of several reductions
	"load.body_mass":       {"fraction", "mass", "total", "added"},
	"load.no_body_mass":    {},
	"load.bodyweight":      {},              // no record needed: bodyweight
	"load.bodyweight_reps": {"from", "to"},  // the body alone is more than the target: fewer repetitions
	"load.by_effort":       {"reps", "rir"}, // the player chooses the load that leaves so many
	"load.rounded":         {"from", "to"},
	"load.lightest":        {"load", "target"}, // the lightest that can be built is above the target
	"load.rest":            {"seconds"},

	// Eccentric and flywheel.
	"nordic.step":        {"step", "sets", "reps"},
	"nordic.gap":         {"days", "sets", "reps"},
	"nordic.restart":     {"days"},
	"nordic.first":       {},
	"nordic.low_dose":    {"reps", "hours"}, // inside the 72 hours, used to it
	"nordic.after_pitch": {},                // after pitch work, never before sprinting
	"eccentric.new":      {"hours"},         // new or overload; so long before kick-off
	"copenhagen.level":   {"level", "reps"},
	"copenhagen.gap":     {"days", "level", "reps"},
	"copenhagen.first":   {},
	"accentuated.load":   {"percent", "load"},
	"accentuated.plain":  {"cause"},        // done as a plain lift
	"accentuated.most":   {"sets", "reps"}, // no more than that
	"flywheel.first":     {"inertia"},
	"flywheel.familiar":  {"session", "of"},
	"flywheel.stale":     {"days"},
	"flywheel.untested":  {"inertia"},                           // no power test: lowest inertia
	"flywheel.best":      {"device", "inertia", "power", "day"}, // highest mean concentric power
	"flywheel.tie":       {"inertia", "power", "within"},        // as good as the best, lower
	"flywheel.youth":     {"inertia"},
	"flywheel.no_higher": {"inertia"}, // a higher one is new work, too close to the match
	"flywheel.uncounted": {"reps"},

	// What changed since the last time.
	"change.load_up":      {"from", "to", "cause"},
	"change.load_down":    {"from", "to", "cause"},
	"change.load_harder":  {"from", "to", "left", "plan"}, // lighter: fewer were left last time than planned
	"change.sets_up":      {"from", "to", "cause"},
	"change.sets_down":    {"from", "to", "cause"},
	"change.reps_up":      {"from", "to", "cause"},
	"change.reps_down":    {"from", "to", "cause"},
	"change.inertia_up":   {"from", "to", "cause"},
	"change.inertia_down": {"from", "to", "cause"},
	"change.swapped":      {"from", "to", "cause"},
	"change.withdrawn":    {"exercise", "cause"},
	"change.same":         {"day"},
}

// SlotCauses are why an exercise was not chosen.
var SlotCauses = []string{
	"unknown",     // not in the library
	"equipment",   // cannot be done or loaded there
	"alone",       // only supervised, or only in a rack with safeties when alone
	"age",         // too young
	"restricted",  // a region is stopped, capped or waits for an answer
	"sore",        // soreness 7 or more
	"match",       // new or overload eccentric work inside 72 hours of kick-off
	"played",      // lower-body work inside 24 hours of a match played
	"md1",         // the day before a match: priming only
	"md2",         // Nordics and more heavy sets two days before a match
	"no_record",   // needs a record, and today is not the day to find one
	"body",        // the body alone is too heavy for enough repetitions
	"stale",       // accentuated: no exact set within 28 days
	"unused",      // added load: not used to the exercise
	"edit",        // by a coach
	"matchday",    // no session on a match day
	"closed",      // today's session is already answered
	"no_load",     // the exercise has no load to change
	"no_slot",     // the card has no such slot
	"no_template", // the programme has no such session
	"number",      // the number makes no sense
}

// PlacementCriteria are what decides between two ways to lay out a week, in
// their order.
var PlacementCriteria = []string{
	"dose",       // more of the week's working sets
	"exposures",  // more of the weekly Nordic and flywheel exposures
	"gap",        // not too many days without a session
	"nonstarter", // main session the day after a match not played
	"soreness",   // most-sore work farther before the match
	"spread",     // sessions farther apart
	"earlier",    // otherwise the earlier day
}

// PainCauses are why pain stopped a region.
var PainCauses = []string{
	string(StopScore), string(StopMuscle), string(StopDuring), string(StopGrowth), string(StopMorning), string(StopRising),
}
