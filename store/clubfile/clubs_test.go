package clubfile_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/clubfile"
)

const clubs = "../../testdata/clubs"

// asOf is what the clubs in testdata are read against.
func asOf() clubfile.Options {
	london, err := time.LoadLocation("Europe/London")
	if err != nil {
		panic(err)
	}
	return clubfile.Options{
		Now:    time.Date(2026, time.March, 10, 7, 30, 0, 0, london),
		Zone:   "Europe/London",
		Squads: []clubfile.SquadZone{{Slug: "first"}, {Slug: "academy"}},
		Gyms:   []string{"main", "home"},
	}
}

// Each folder of testdata/clubs whose name begins with "broken" has a
// problems.txt with every problem that its files have, one a line, in order.
// The others have none.
func TestEveryProblemOfABrokenClubIsNamed(t *testing.T) {
	folders, err := os.ReadDir(clubs)
	require.NoError(t, err)
	require.NotEmpty(t, folders)
	for _, f := range folders {
		if !f.IsDir() {
			continue
		}
		t.Run(f.Name(), func(t *testing.T) {
			dir := filepath.Join(clubs, f.Name())
			want := ""
			if b, err := os.ReadFile(filepath.Join(dir, "problems.txt")); err == nil {
				want = string(b)
			} else {
				require.True(t, strings.HasPrefix(f.Name(), "valid"), "no problems.txt")
			}
			_, problems := clubfile.Read(os.DirFS(dir), asOf())
			var got strings.Builder
			for _, p := range problems {
				got.WriteString(p.Error() + "\n")
				require.NotEmpty(t, p.What)
				require.NotEmpty(t, p.Mend, p.What)
			}
			require.Equal(t, want, got.String())
		})
	}
}

func readValid(t *testing.T, folder string) store.Import {
	t.Helper()
	in, problems := clubfile.ReadDir(filepath.Join(clubs, folder), asOf())
	require.Empty(t, problems)
	return in
}

func TestASmallClub(t *testing.T) {
	in := readValid(t, "valid-small")
	lb := func(x float64) prescribe.Kg { return prescribe.Kg(x * prescribe.KgPerLb) }

	require.Equal(t, store.ClubDef{
		Name: "Small Club", Zone: "Europe/London", Language: "en", Emergency: "999",
		Squads: []store.SquadDef{{
			Slug: "first", Name: "First team", Gym: "main",
			CardsAt: 450, EveningAt: 1080, DigestAt: 1200, StrengthAt: 630, CutOff: 840, QuietFrom: 1290, QuietTo: 420,
			Review: "look", Unapproved: "go", WeeklyOn: "monday", Monthly: true,
			Phases: []store.PhaseDef{{Phase: prescribe.InSeason, From: prescribe.Date(2025, 8, 1), To: prescribe.Date(2026, 5, 31)}},
		}},
		Gyms: []store.GymDef{{Slug: "main", Name: "Gym", Setting: prescribe.Setting{
			Place: "gym", Supervised: true,
			Equipment: prescribe.Equipment{
				Bars:      []prescribe.Bar{{Kind: "straight", Mass: lb(45)}},
				Plates:    []prescribe.Plate{{Mass: lb(45), Pairs: 3}},
				Dumbbells: []prescribe.Kg{lb(20), 10, lb(25)},
				Has:       []prescribe.GearItem{prescribe.GearBench, prescribe.GearRack},
			},
		}}},
		Staff: []store.StaffDef{
			{At: store.At{File: "club.toml", Line: 33, Column: 1}, Key: "coach", Name: "A Coach", Role: store.RoleCoach},
			{At: store.At{File: "club.toml", Line: 38, Column: 1}, Key: "doctor", Name: "A Doctor", Role: store.RoleMedical, Order: 1, Phone: "+44 1632 960101"},
		},
	}, *in.Club)

	require.Equal(t, prescribe.Programme{
		Name:  "Small programme",
		Doses: []prescribe.PhaseDose{{Phase: prescribe.InSeason, Sessions: 1, Crowded: 1, WorkingSets: 3, Exercises: 1}},
		Sessions: []prescribe.SessionTemplate{{ID: "main", Phase: prescribe.InSeason, Slots: []prescribe.Slot{{
			ID: "squat", Pattern: prescribe.Squat, Method: prescribe.Traditional, Scheme: prescribe.SchemePercent,
			Candidates: []prescribe.ExerciseID{"back_squat", "dumbbell_squat"}, Sets: 3, MinSets: 1, Reps: 5, Intensity: 80, RIR: 2,
		}}}},
	}, in.Programme.Programme)
	require.Contains(t, in.Programme.Source, "candidates")

	require.Equal(t, map[string]float64{"soreness.reduce_from": 4, "record.quantile": 25}, in.Rules.Values)

	require.Equal(t, []store.PlayerRow{
		{At: store.At{File: "players.csv", Line: 2, Column: 1}, Key: "7", Name: "Stone, Ada", Squad: "first", Born: prescribe.Date(2001, 3, 12), BodyMass: 71.5, Language: "fr", TrainingAge: 4},
		{At: store.At{File: "players.csv", Line: 3, Column: 1}, Key: "9", Name: "Ben Field", Squad: "first", Born: prescribe.Date(1998, 11, 30), BodyMass: 82},
	}, in.Players)

	one, zero, two, four := prescribe.RIR(1), prescribe.RIR(0), prescribe.RIR(2), prescribe.RIR(4)
	sets := []prescribe.Set{
		{Exercise: "back_squat", Load: 102.5, Reps: 5, RIR: &one, Ordinal: 1, Test: true},
		{Exercise: "back_squat", Load: 105, Reps: 3, RIR: &zero, ToFail: true, Ordinal: 2, Test: true},
		{Exercise: "rear_foot_elevated_split_squat", Side: prescribe.Left, Load: 22.5, Reps: 6, RIR: &two, Ordinal: 1, Test: true},
		{Exercise: "rear_foot_elevated_split_squat", Side: prescribe.Right, Load: 25, Reps: 6, RIR: &four, Ordinal: 1, Test: true},
		{Exercise: "pull_up", Reps: 5, Ordinal: 1, Test: true},
		{Exercise: "pull_up", Load: 12.5, Reps: 3, RIR: &one, Ordinal: 2, Test: true},
	}
	require.Len(t, in.Tests, 7)
	for i, want := range sets {
		require.Equal(t, want, *in.Tests[i].Set)
		require.Equal(t, "kg", in.Tests[i].Unit)
	}
	require.Equal(t, prescribe.PowerTest{Exercise: "flywheel_squat", Device: "wheel-1", Inertia: 0.05, Power: 1012.5}, *in.Tests[6].Power)

	require.Equal(t, []store.MinutesRow{
		{At: store.At{File: "minutes.csv", Line: 2, Column: 1}, Player: "7", Day: prescribe.Date(2026, 3, 7), Minutes: 90},
		{At: store.At{File: "minutes.csv", Line: 3, Column: 1}, Player: "9", Day: prescribe.Date(2026, 3, 7)},
	}, in.Minutes)
	require.Len(t, in.Fixtures, 1)
}

// The same tables as a European spreadsheet writes them: semicolons or tabs,
// decimal commas, a byte order mark, CRLF, a "sep=" line, columns in another
// order, empty columns and lines at the end.
func TestSpreadsheetDialectsGiveTheSameRows(t *testing.T) {
	plain, sheet := readValid(t, "valid-small"), readValid(t, "valid-spreadsheet")
	shift := 1 // minutes.csv has a "sep=" line more
	for i := range sheet.Minutes {
		sheet.Minutes[i].At.Line -= shift
	}
	require.Equal(t, plain.Players, sheet.Players)
	require.Equal(t, plain.Tests, sheet.Tests)
	require.Equal(t, plain.Minutes, sheet.Minutes)
}

func TestAFileSentAlone(t *testing.T) {
	const csv = "player,date,minutes\n7,2026-03-07,90\n"
	for _, name := range []string{"minutes.csv", "Minutes.CSV", "minutes (2).csv", `C:\Users\x\minutes.csv`} {
		in, problems := clubfile.ReadOne(name, strings.NewReader(csv), asOf())
		require.Empty(t, problems, name)
		require.Len(t, in.Minutes, 1, name)
		require.Equal(t, name, in.Minutes[0].At.File)
	}
	_, problems := clubfile.ReadOne("minutse.csv", strings.NewReader(csv), asOf())
	require.Len(t, problems, 1)
	require.Equal(t, `minutse.csv: this is not one of the club's files; name it "minutes.csv"`, problems[0].Error())
}

func TestAFolderThatIsNotThere(t *testing.T) {
	_, problems := clubfile.ReadDir(filepath.Join(clubs, "nowhere"), asOf())
	require.Len(t, problems, 1)
	require.Equal(t, filepath.Join(clubs, "nowhere")+": the folder cannot be read: no such file or directory; check its name and that it may be read", problems[0].Error())
}

func TestTooLargeAFile(t *testing.T) {
	for _, name := range clubfile.Files() {
		_, problems := clubfile.ReadOne(name, strings.NewReader(strings.Repeat("x", clubfile.MaxSize+1)), asOf())
		require.Len(t, problems, 1, name)
		require.Contains(t, problems[0].Error(), "more than 5 MB")
	}
}

func TestProblemsAreCountedNotPiledUp(t *testing.T) {
	csv := "player,date,minutes\n" + strings.Repeat("7,yesterday,90\n", 1000)
	rows, problems := clubfile.ReadMinutes(strings.NewReader(csv), "minutes.csv", asOf())
	require.Len(t, rows, 1000)
	require.Len(t, problems, 201)
	require.Equal(t, "minutes.csv: 800 more problems are not shown; mend these first and read the file again", problems[200].Error())
}
