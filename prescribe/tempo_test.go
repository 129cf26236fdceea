package prescribe

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSlowTempo(t *testing.T) {
	r := DefaultRules()
	for tempo, want := range map[string]bool{"": false, "3-0-1-0": false, "4-2-1-0": false, "5-0-1-0": true, "3-1-3-0": true, "fast": false} {
		require.Equal(t, want, slowTempo(tempo, r), tempo)
	}
	strict, err := r.With("record.slow_from", 4)
	require.NoError(t, err)
	require.True(t, slowTempo("3-0-1-0", strict), "a coach may change it")
}
