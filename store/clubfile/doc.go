// Package clubfile reads the files that a club brings. It reads whatever subset
// is there, reports every problem with file, line, column, what is wrong and
// what to write, and never stops at the first one. It writes nothing and knows
// no database: what it gives is a store.Import.
//
// # In general
//
// Files are plain text in UTF-8, at most 5 MB (settings files 512 KB, tables
// 20000 rows), with any line ends. Dates are
// year-month-day, such as 2026-03-04. Times of day are "07:30". Time zones are
// names of the IANA list, such as "Europe/London". Languages are tags such as
// "en", "pt" or "ar". A key or slug is the club's own short id: letters a–z,
// digits, dots, dashes and underscores, at most 32. Exercises are ids of the
// library, such as back_squat, or their English names.
//
// Masses are kilograms unless pounds are written. An unknown name is an error
// that says which known name is nearest. Hidden files, folders and files that
// end in .md, .txt or .go may lie beside the club's; any other is reported, so
// that a misspelt name loses nothing.
//
// # club.toml
//
// The club, its squads, places to train and staff.
//
//	name = "Brackwater Rovers"
//	zone = "Europe/London"       # of everybody who has no other
//	language = "en"              # of everybody who has not chosen one
//	emergency = "999"            # the local emergency number that players are told
//
//	[[squad]]
//	slug = "first"               # the first squad gets fixtures that name none
//	name = "First team"
//	gym = "main"                 # slug of a [[gym]]: where it usually trains
//	youth = false                # true: under-18s; needs a safeguarding officer
//	zone = "Europe/London"       # optional
//	cards_at = "07:30"           # when cards go out; outside the quiet hours
//	strength_at = "10:30"        # when strength training usually begins
//	cut_off = "14:00"            # a late card is not sent after this
//	evening_at = "18:00"         # when staff look over tomorrow's cards
//	digest_at = "20:00"          # the daily digest
//	quiet_from = "21:30"         # nothing but urgent alerts …
//	quiet_to = "07:00"           # … until then
//	review = "look"              # "none", "look", or "must": no card without approval
//	unapproved = "go"            # or "wait": cards that changed after approval
//	off_days = ["monday"]        # no training
//	pitch_days = ["tuesday"]     # pitch training
//	weekly_on = "monday"         # when the report of the week before goes out, at digest_at; "none": never
//	monthly = true               # the report of the month before, on the 1st
//	md1_option = false           # true: lower-body work the day after a match is allowed
//
//	[[squad.phase]]              # one after the other, without gap or overlap
//	phase = "season"             # "pre_season", "season" or "off_season"
//	from = "2025-08-09"          # both days included
//	to = "2026-05-17"
//
// Everything of a squad but slug, name, gym and phases may be left out; the
// values above are what it is then, with no off, pitch or option days.
//
//	[[gym]]
//	slug = "main"
//	name = "Training ground"
//	place = "gym"                # "gym", "hotel", "home" or "travel"
//	supervised = true            # false when left out: the player is alone there
//	unit = "kg"                  # or "lb": of the numbers below
//	has = ["rack", "bench"]      # also pull_up_bar, band, box, cable, slider, leg_press, ankle_anchor, weight_releasers
//	dumbbells = [5, 7.5, 10]     # each as a pair
//	added = [2.5, 5]             # belt plates and vests
//
//	[[gym.bar]]
//	kind = "straight"            # "trap", "sled"
//	mass = 20
//
//	[[gym.plate]]
//	mass = 25
//	pairs = 4                    # how many pairs one bar can get
//
//	[[gym.flywheel]]
//	device = "wheel-1"           # inertias compare only within one device
//	inertias = [0.05, 0.1]       # kg·m², all that it can be set to
//
// A single mass may be in the other unit: "45 lb".
//
//	[[staff]]
//	key = "s-doctor"
//	name = "Dr Ines Quintavale"
//	role = "medical"             # "strength_coach", "head_coach", "safeguarding", "administrator"
//	squads = ["first"]           # left out: all
//	language = "en"              # optional
//	order = 1                    # medical only: who is asked first
//	phone = "+44 1632 960101"    # optional; shown to players who report a warning sign
//
// Every squad needs a strength coach and somebody medical; a youth squad needs a
// safeguarding officer.
//
// # programme.toml
//
// What each phase asks for at least, and the sessions.
//
//	name = "Strength 2025–26"
//
//	[[dose]]                     # one a phase
//	phase = "season"
//	sessions = 2                 # a week
//	crowded = 1                  # a week when matches crowd; 1 when left out
//	working_sets = 4             # heavy sets a session …
//	exercises = 2                # … over at least so many exercises; 1
//	nordic_weekly = 1            # Nordic exposures a week; 0
//	flywheel_weekly = 1          # flywheel exposures a week; 0
//
//	[[session]]
//	id = "main-a"
//	phase = "season"
//	small = false                # true: the one small dose of a crowded week
//	priming = false              # true: optional, the day before a match
//	remote = false               # true: written for home or hotel
//
//	[[session.slot]]
//	id = "squat"
//	pattern = "squat"            # hinge, single_leg, knee_flexion, hip_adduction, hip_abduction, calf_raise, push, pull, trunk, rotation
//	method = "traditional"       # eccentric, flywheel, support
//	scheme = "percent"           # how load and repetitions are chosen, below
//	candidates = ["back_squat", "dumbbell_squat"]   # the first that can be done is
//	sets = 4
//	min_sets = 2                 # when matches crowd; 1 when left out
//	reps = 6                     # a set, and a side
//	intensity = 85               # % of the record
//	rir = 1                      # repetitions to leave in reserve
//	six = "cluster"              # six or more at 85 % or more: "cluster", "straight" or "lighter"
//	rest = 180                   # seconds; by rule when left out
//	tempo = "3-0-1-0"            # seconds down, held, up, held
//	optional = false
//
// The schemes and what each needs:
//
//	percent      reps, intensity          a share of the player's record
//	rir          reps, rir                the load that leaves rir in reserve
//	nordic                                the Nordic build-up decides sets and repetitions
//	copenhagen                            levels of Copenhagen adduction
//	accentuated  reps, intensity, ecc     ecc % (100–130) down, intensity % up; supervised only
//	flywheel     reps                     the inertia with the most power in the player's test
//	reps         reps                     as written
//	hold         seconds                  held for so long
//
// # rules.toml
//
// Thresholds that the coach changes, each within its range. Both forms name the
// same rule:
//
//	soreness.reduce_from = 4
//
//	[soreness]
//	reduce_from = 4
//
// # Tables
//
// players.csv, tests.csv and minutes.csv begin with a line of column names, in
// any order and case. Values are separated by commas, semicolons or tabs; which
// is found out. A decimal may have a point or a comma (in quotation marks where
// commas separate values). Thousands separators are refused: "1,250" could be
// either. Values with separators in them stand in quotation marks. Empty lines,
// empty columns at the end, a byte order mark and a first line "sep=;" do no
// harm.
//
// players.csv:
//
//	key           the club's own id, such as the shirt number
//	name
//	squad         slug
//	born          ages from 12 to 50
//	body_mass     optional: "72.5", "160 lb"
//	language      optional
//	zone          optional: a player who is elsewhere
//	gym           optional: slug of where he or she trains, if not with the squad
//	training_age  optional: years of strength training
//	from, until   optional: first and last day in the squad
//
// tests.csv, one set or one flywheel test a row:
//
//	player        key
//	date
//	exercise
//	load          on the bar with the bar; of one dumbbell; added to body mass (may be empty)
//	unit          optional: kg or lb for the row; or write "225 lb" as the load
//	reps          1 for a tested maximum, up to 30
//	rir           repetitions that were left, 0 for a set to failure; empty if not known; "4+" is 4 or more
//	side          left or right for one-sided exercises, one row for each
//	device        flywheel: the device's name,
//	inertia       its moment of inertia in kg·m²,
//	power         and the mean concentric power in watts; load, reps and rir stay empty
//
// Write the best set of an exercise first: the first row of a player, day and
// exercise counts as the fresh one.
//
// minutes.csv, one player and match a row:
//
//	player        key
//	date          of the match
//	minutes       0 to 150
//
// # fixtures.ics
//
// Matches and trips as iCalendar (RFC 5545). Everything in it counts as a match,
// so leave training out.
//
//   - DTSTART is the kick-off, DTEND or DURATION the final whistle; two hours
//     later when left out. A time may name its zone (TZID), be in UTC, or be
//     without a zone: then it is the squad's. The day of a match is the date where
//     it is played; for a time in UTC, the date where the squad is.
//   - A date without a time is a match whose kick-off is not known; 12:00 is
//     assumed.
//   - TZID is a name of the IANA list or a zone that the calendar defines
//     (VTIMEZONE).
//   - RRULE (daily to yearly), RDATE and EXDATE repeat an event; an event with
//     the same UID and a RECURRENCE-ID moves or changes one occurrence. A weekly
//     match at 15:00 stays at 15:00 when the clocks change.
//   - STATUS:CANCELLED calls a match off. A match that is in a later file no
//     more, from today on, is called off as well.
//   - CATEGORIES names squads by slug; without one it is the first squad's.
//     CATEGORIES:TRAVEL is a trip, first to last day, not a match.
//   - UID stays the same when a match moves; a higher SEQUENCE is newer.
//
// Occurrences are worked out from 400 days ago to 400 days ahead, at most 1000.
package clubfile
