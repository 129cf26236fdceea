package prescribe

// decisionRules are the thresholds of the decisions: adjusting, placing,
// stopping. Each states its value, unit, allowed range, mark and source.
func decisionRules() []Rule {
	return []Rule{}
}
