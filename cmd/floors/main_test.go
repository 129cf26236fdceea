package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const output = `goos: linux
pkg: pegcard/cmd/pegcard
BenchmarkFloorMorning/players=1000-2         	       1	 100 ns/op	       500.0 floor-µs/player	         2.000 x-floor	      1000 µs/player
BenchmarkFloorMorning/players=10000-2        	       1	 100 ns/op	       500.0 floor-µs/player	         1.400 x-floor	      1300 µs/player
BenchmarkFloorPush-2   	       1	33781806306 ns/op	        97.69 %-of-pace	         1.000 429s	       111.0 ms-alert
BenchmarkOther-2   	       1	33781806306 ns/op
PASS
`

func TestTable(t *testing.T) {
	var out strings.Builder
	require.NoError(t, run(strings.NewReader(output), &out))
	require.Equal(t, `| what | floor in the same run | figure | aim |
|---|---|---|---|
| … 1,000 players | the same rows with raw SQL | 2.00× |  |
| … 10,000 players | the same rows with raw SQL | 1.40× | ≤ 1.5× |
| … time for a player, 10,000 against 1,000 | 1,000 players | 1.30× | ≤ 1.1×, missed |
| cards to 1,000 chats, ten of them slow or failing | 30 a second | 97.7 % | ≥ 98 %, missed |
| … refusals for writing too fast | 30 a second | 1 | 0, missed |
| … an alert among the cards goes out after | 30 a second | 111 ms |  |
`, out.String())
	require.ErrorContains(t, run(strings.NewReader("PASS\n"), &out), "go test -run")
}
