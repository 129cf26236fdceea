package bot_test

import (
	"fmt"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/require"
)

// Who saw or changed a player's medical data stands in the audit, by pseudonym,
// action after action; what they read there does not.
func TestMedicalDataLeaveATrail(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby", "Quintavale", "Harkwell")
		player, doctor := k.must("Farrowby"), k.must("Quintavale")
		trail := func(who int) []string {
			return column(t, k.dir, fmt.Sprintf(`SELECT a.action FROM audit a
JOIN person w ON w.pseudo = a.actor JOIN person p ON p.pseudo = a.target WHERE w.id = %d AND p.id = %d ORDER BY a.id`,
				k.people[who].ID, k.people[player].ID))
		}
		k.act("12:01 Farrowby writes: left hamstring pain 6")
		require.Contains(t, trail(doctor), "alert.shown")
		k.act("12:02 Quintavale taps [Read, I take care]")
		require.Contains(t, trail(doctor), "acknowledge")

		before := len(trail(doctor))
		step := func(data string) {
			require.NoError(t, k.set(t.Context(), k.Now().Add(5e9)))
			k.press(doctor, data)
		}
		step(fmt.Sprintf("v:player:%d", k.people[player].ID))
		require.Contains(t, trail(doctor)[before:], "read")
		for _, f := range []string{"start:", "region:calf", "cap:0", "days:3"} {
			step(fmt.Sprintf("hf:%d:0:%s", k.people[player].ID, f))
		}
		step(k.confirms(doctor))
		step(fmt.Sprintf("hf:%d:1:start:", k.people[player].ID))
		require.Contains(t, trail(doctor)[before:], "hold")
		require.Contains(t, trail(doctor)[before:], "holds.shown", "before a release")

		// The coach sees that something is held, and leaves no trail of health read.
		require.NotContains(t, trail(k.must("Harkwell")), "read")
		for _, row := range column(t, k.dir, `SELECT actor || target || action || detail FROM audit`) {
			for _, word := range []string{"hamstring", "calf", "Farrowby", "Quintavale"} {
				require.NotContains(t, row, word)
			}
		}
	})
}
