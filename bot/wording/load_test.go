package wording

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

// A broken language file stops the start with a sentence that names it.
func TestLoadSaysWhatIsWrong(t *testing.T) {
	const dates = "\"date.months\" = \"1|2|3|4|5|6|7|8|9|10|11|12\"\n\"date.weekdays\" = \"1|2|3|4|5|6|7\"\n"
	for name, one := range map[string]struct {
		files fstest.MapFS
		says  string
	}{
		"no English":    {fstest.MapFS{"lang/de.toml": {Data: []byte(dates)}}, "en.toml is missing"},
		"not TOML":      {fstest.MapFS{"lang/en.toml": {Data: []byte("\"a.b\" = ")}}, "lang/en.toml"},
		"empty message": {fstest.MapFS{"lang/en.toml": {Data: []byte(dates + "\"a.b\" = \"\"\n")}}, `message "a.b" is empty`},
		"few weekdays":  {fstest.MapFS{"lang/en.toml": {Data: []byte("\"date.months\" = \"1|2|3|4|5|6|7|8|9|10|11|12\"\n\"date.weekdays\" = \"1|2\"\n")}}, `"date.weekdays" holds 2 names; write 7`},
		"no language":   {fstest.MapFS{"lang/english words.toml": {Data: []byte(dates)}}, "not a language tag"},
	} {
		_, err := load(one.files, "lang")
		require.ErrorContains(t, err, one.says, name)
	}
	c, err := load(fstest.MapFS{"lang/en.toml": {Data: []byte(dates + "\"a.b\" = \"x {n}\"\n")}, "lang/de.toml": {Data: []byte(dates)}}, "lang")
	require.NoError(t, err)
	require.Equal(t, "x 3", c.For("de").T("a.b", "n", 3), "what a language lacks is said in English")
}
